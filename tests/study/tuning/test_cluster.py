"""A sweep and a tuning on a real cluster of this machine's own; a worker killed in the middle; nothing lost."""

import os
import signal

import numpy as np
import pytest

import sim
from sim.cli import main
from sim.machine import spread
from sim.study.sweep.axes import axis
from sim.study.sweep.sweep import sweep
from sim.study.tuning.ready import tuning_of
from sim.study.tuning.session import Session
from tests.study.tuning.cases import ROOT, loaded
from tests.waiting import PATIENCE_S

distributed = pytest.importorskip("distributed")

pytestmark = pytest.mark.filterwarnings("default")  # of dask's own making


@pytest.fixture(scope="module")
def cluster(tmp_path_factory):
    import dask

    # Test workers have their path by the environment, as other machines have theirs by an installation.
    folder = str(tmp_path_factory.mktemp("dask"))
    started = {"n_workers": 2, "threads_per_worker": 1, "processes": True, "dashboard_address": None}
    with (
        dask.config.set({"temporary-directory": folder, "distributed.comm.timeouts.connect": PATIENCE_S}),
        distributed.LocalCluster(**started, env={"PYTHONPATH": str(ROOT)}) as made,
        pytest.MonkeyPatch.context() as patch,
    ):
        patch.setattr(spread, "ANSWER_WAIT_S", PATIENCE_S)  # as a busy machine needs, and no test should fail for
        yield made


def test_sweep_with_a_worker_killed_in_the_middle(cluster, tmp_path):
    scenario = sim.load(ROOT / "scenarios" / "push_on_the_bumper.yaml")
    coil = axis("front.springs.coil.rate", "30 N/mm", "42 N/mm", "40")
    names = ["front_body_settling_time", "acceleration_rms_driver"]
    alone = sweep(scenario, [coil], names, tmp_path / "alone", workers=1)
    killed, seen = [], []

    def tell(done, of):
        seen.append(done)
        if done and not killed:  # the first part is back, others are under way
            worker = next(iter(cluster.workers.values()))
            os.kill(worker.pid, signal.SIGKILL)
            killed.append(worker.pid)

    many = sweep(scenario, [coil], names, tmp_path / "many", cluster=cluster.scheduler_address, tell=tell)
    assert killed
    assert seen[-1] == 40 * len(scenario.setups)
    for setup in alone.values:
        for name in names:
            assert np.array_equal(alone.values[setup][name], many.values[setup][name], equal_nan=True)


def test_tune_on_the_cluster_is_the_tune_here_even_if_a_worker_is_killed(cluster, tmp_path):
    tuning = tuning_of(loaded(tmp_path))
    here = Session(tuning, tmp_path / "here", workers=1).answer(studies=False)
    killed = []

    def tell(what, tried, best):
        if not killed:  # the first population is back, the others are to come
            worker = next(iter(cluster.workers.values()))
            os.kill(worker.pid, signal.SIGKILL)
            killed.append(worker.pid)

    session = Session(tuning, tmp_path / "there", cluster=cluster.scheduler_address, tell=tell)
    there = session.answer(studies=False)
    assert killed
    assert here.trial == there.trial
    assert np.array_equal(here.best.values, there.best.values)
    assert here.tries == there.tries


def test_no_cluster_there(tmp_path, capsys, monkeypatch):
    monkeypatch.setattr(spread, "ANSWER_WAIT_S", 1.0)
    code = main([
        "sweep", str(ROOT / "scenarios" / "push_on_the_bumper.yaml"), "--vary", "front.dampers.main.count", "2", "4", "3",
        "--cluster", "tcp://127.0.0.1:9", "--outputs", str(tmp_path),
    ])  # fmt: skip
    assert code == 2
    error = capsys.readouterr().err
    assert "no Dask scheduler answers there" in error
    assert "Traceback" not in error
