"""A sweep and a tuning on a real cluster of this machine's own; a worker killed in the middle; nothing lost."""

import os
import signal
import socket
from threading import Thread

import numpy as np
import pytest

import sim
from sim.cli import main
from sim.errors import InputError
from sim.machine import spread
from sim.study.sweep.axes import axis
from sim.study.sweep.sweep import sweep
from sim.study.tuning.ready import tuning_of
from sim.study.tuning.session import Session
from tests.study.tuning.cases import ROOT, loaded, written
from tests.waiting import PATIENCE_S, until

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
        for wait in ("ANSWER_WAIT_S", "WORKER_WAIT_S"):  # as a busy machine needs, and no test should fail for
            patch.setattr(spread, wait, PATIENCE_S)
        yield made


@pytest.mark.long  # a cluster of processes of their own
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


@pytest.mark.long  # a cluster of processes of their own
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


@pytest.fixture
def idle(tmp_path, monkeypatch):
    """A scheduler without workers."""
    import dask

    monkeypatch.setattr(spread, "ANSWER_WAIT_S", PATIENCE_S)

    with (
        dask.config.set({"temporary-directory": str(tmp_path)}),
        distributed.LocalCluster(
            n_workers=0, threads_per_worker=1, processes=True, dashboard_address=None, env={"PYTHONPATH": str(ROOT)}
        ) as made,
    ):
        yield made


def asked(command, address, folder):
    """Return the words of a command that is to be done by a cluster."""
    if command == "tune":
        return ["tune", str(written(folder)), "--cluster", address, "--outputs", str(folder / "out")]
    return [
        "sweep", str(ROOT / "scenarios" / "push_on_the_bumper.yaml"), "--vary", "front.dampers.main.count", "2", "4", "3",
        "--cluster", address, "--outputs", str(folder / "out"),
    ]  # fmt: skip


@pytest.mark.parametrize("command", ["sweep", "tune"])
def test_a_scheduler_without_workers(command, idle, tmp_path, capsys, monkeypatch):
    monkeypatch.setattr(spread, "WORKER_WAIT_S", 0.5)
    address = idle.scheduler_address
    assert main(asked(command, address, tmp_path)) == 2
    error = capsys.readouterr().err
    assert f"The scheduler at {address} has no worker yet: waiting 0.5 s for one." in error
    assert f"Start a worker: dask worker {address}, in an environment that has jounce" in error
    assert "Traceback" not in error
    assert not (tmp_path / "out").exists()


@pytest.mark.long  # a cluster of processes of their own
def test_workers_lost_in_the_middle_of_a_search_are_said(idle, monkeypatch):
    """The second lot of parts finds no worker any more: the same words as at the start, not an error of a library."""
    monkeypatch.setattr(spread, "WORKER_WAIT_S", PATIENCE_S)
    idle.scale(1)
    with spread.Spread(Doubled(), cluster=idle.scheduler_address) as workers:
        assert sorted(workers.each([1, 2])) == [(0, 2), (1, 4)]
        idle.scale(0)
        until(lambda: not workers._client.nthreads())
        monkeypatch.setattr(spread, "WORKER_WAIT_S", 0.5)
        with pytest.raises(InputError, match=r"has no worker\. Start a worker: dask worker"):
            list(workers.each([3]))


class Doubled:
    """A problem whose parts are numbers."""

    def solved(self, part):
        return 2 * part


def test_a_worker_that_is_late_is_waited_for(idle, monkeypatch):
    monkeypatch.setattr(spread, "WORKER_WAIT_S", PATIENCE_S)
    told = []

    def note(text):
        told.append(text)
        idle.scale(1)

    with spread.connected(idle.scheduler_address, note) as client:
        assert client.nthreads()
    assert len(told) == 1
    with spread.connected(idle.scheduler_address, note):  # it is there now
        assert len(told) == 1


@pytest.mark.parametrize("command", ["sweep", "tune"])
def test_no_cluster_there(command, tmp_path, capsys, monkeypatch):
    monkeypatch.setattr(spread, "ANSWER_WAIT_S", 0.5)
    assert main(asked(command, "tcp://127.0.0.1:9", tmp_path)) == 2
    error = capsys.readouterr().err
    assert "no Dask scheduler answers there" in error
    assert "dask worker tcp://127.0.0.1:9" in error
    assert "Traceback" not in error
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    "address", ["", "here", "tcp://127.0.0.1", "tcp://127.0.0.1:port", "http://host/8786", "a b:1"]
)
def test_what_is_no_address(address, tmp_path, capsys):
    assert main(asked("sweep", address, tmp_path)) == 2
    assert "write it like tcp://host:8786" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_a_host_that_is_not_there(monkeypatch):
    """A name of the domain that RFC 2606 keeps unused."""
    monkeypatch.setattr(spread, "ANSWER_WAIT_S", 0.5)
    with pytest.raises(InputError, match="no Dask scheduler answers there"):
        spread.connected("tcp://host.invalid:8786")


@pytest.mark.parametrize("greeting", [b"", b"SSH-2.0-server\r\n"])
def test_something_answers_that_is_no_scheduler(greeting, monkeypatch):
    """A service that waits for its client to speak, and one that greets first (RFC 4253, 4.2)."""
    monkeypatch.setattr(spread, "ANSWER_WAIT_S", 0.5)
    with socket.create_server(("127.0.0.1", 0)) as other:
        taken = []

        def answer():
            while True:
                try:
                    taken.append(other.accept()[0])
                except OSError:  # it has been closed
                    return
                if not greeting:
                    continue
                taken[-1].sendall(greeting)

        answering = Thread(target=answer, daemon=True)
        answering.start()
        with pytest.raises(InputError, match="no Dask scheduler answers there"):
            spread.connected(f"tcp://127.0.0.1:{other.getsockname()[1]}")
        other.shutdown(socket.SHUT_RDWR)
    answering.join()
    for one in taken:
        one.close()
