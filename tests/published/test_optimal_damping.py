"""Damping tuned by runs in time against the closed-form optima of the linear quarter car on a white road.

The mean square of an answer to a road whose velocity is white noise is its intensity times the integral of the squared
answer to a unit impulse of that velocity (Parseval), and an impulse of road velocity is a step of its height. So one drop
off level boards of both axles, the very run that a person would ask for, gives in 10 s without chance what a random road
would give in hours: the sums of squares of body acceleration and tyre load have their least values at the same dampings.
"""

import numpy as np
import pytest
import yaml

import sim
from sim.study.tuning.ready import tuning_of
from sim.study.tuning.session import Session
from tests.published.test_quarter_car import KS, KT, MS, MU, two_alike

M = MS + MU
LEAST_ACCELERATION = KS * np.sqrt(M / KT)
LEAST_TYRE_LOAD = np.sqrt((KS**2 * M**3 - 2 * KS * KT * MS * MU * M + KT**2 * MS**2 * MU) / KT) / M
PATHS = [f"{axle}.dampers.main.valving.{side}" for axle in ("front", "rear") for side in ("compression", "rebound")]


def quarter_car(folder, **tune):
    """A scenario file of two quarter cars on boards of a millimetre, whose four slopes move as one."""
    data = dict(two_alike(1500.0)._written.document.data)
    (folder / "car.yaml").write_text(yaml.safe_dump(data), encoding="utf-8")
    asked = {
        "move": {"damping": {"kind": "value", "path": PATHS, "low": "400 N s/m", "high": "4000 N s/m"}},
        "precision": 1e-9, "generations": 60, **tune,
    }  # fmt: skip
    scenario = {
        "kind": "scenario", "name": "quarter car", "vehicle": "car.yaml", "setups": {"as given": {}}, "tune": asked,
        "run": {"kind": "drop", "axle": "both", "height": "1 mm", "watch": "10 s"},
    }  # fmt: skip
    (folder / "scenario.yaml").write_text(yaml.safe_dump(scenario), encoding="utf-8")
    return sim.load(folder / "scenario.yaml")


def test_closed_forms_are_the_published_ones():
    """Least body acceleration k sqrt(M/kt), least tyre load: forms as in Hac (1985), Sharp and Hassan (1986), from memory."""
    assert pytest.approx([956.457, 2416.473], rel=1e-6) == [LEAST_ACCELERATION, LEAST_TYRE_LOAD]


@pytest.mark.parametrize(
    ("measure", "least"),
    [("acceleration_rms_centre of gravity", LEAST_ACCELERATION), ("front_tyre_load_variation", LEAST_TYRE_LOAD)],
)
def test_tuned_damping_is_the_closed_form(measure, least, tmp_path):
    scenario = quarter_car(tmp_path, goal={measure: 1.0})
    answer = Session(tuning_of(scenario), tmp_path / "notes", workers=1).answer(studies=False)
    assert answer.reached
    assert answer.trial.values[0] == pytest.approx(least, rel=5e-3)


def test_trade_off_ends_at_both_closed_forms(tmp_path):
    measures = ["acceleration_rms_centre of gravity", "front_tyre_load_variation"]
    scenario = quarter_car(tmp_path, goal=dict.fromkeys(measures, 1.0), trade_off=measures, generations=15)
    answer = Session(tuning_of(scenario), tmp_path / "notes", workers=1).answer(studies=False)
    dampings = [trial.values[0] for trial, _ in answer.front]
    assert dampings[0] == pytest.approx(LEAST_ACCELERATION, rel=5e-3)
    assert dampings[-1] == pytest.approx(LEAST_TYRE_LOAD, rel=5e-3)
    # Between them it is one curve: less of one measure is more of the other, and more damping.
    worth = np.array([[answer.judge.plain(name, found) for name in measures] for _, found in answer.front])
    assert np.all(np.diff(worth[:, 0]) > 0.0)
    assert np.all(np.diff(worth[:, 1]) < 0.0)
    assert np.all(np.diff(dampings) > 0.0)
    assert len(dampings) > 20
