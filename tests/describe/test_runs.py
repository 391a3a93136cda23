"""Runs: what each says of how it is run agrees with what it plans."""

import pytest

from sim import load
from sim.describe.runs import RUNS
from sim.describe.runs.base import COMMANDS
from sim.errors import RunError
from sim.lower.lowering import lower
from tests.synthetic import SCENARIOS

SURFACE = {"name": "firm", "friction": 0.8, "sliding": 0.6, "peak_at": "13 %"}
COURSE = {"kind": "course", "name": "Level", "items": [{"kind": "flat", "length": "30 m"}]}
EXAMPLES = {
    "course": {"course": COURSE, "speed": "20 km/h"},
    "push": {"over": "front", "force": "500 N"},
    "drop": {"height": "50 mm"},
    "release": {"body_up": "20 mm"},
    "launch": {"surface": SURFACE},
    "brake": {"surface": SURFACE, "speed": "30 km/h"},
    "track": {"stages": [{"kind": "drive", "course": COURSE, "speed": "20 km/h", "duration": "1 h"}, {"kind": "stand", "duration": "1 h"}]},
}  # fmt: skip
SETUP = lower(load(SCENARIOS / "vehicles" / "hut_supply_truck.yaml"))


def made(run):
    """Return the example of a run."""
    kind = run.model_fields["kind"].annotation.__args__[0]
    return run.model_validate({"kind": kind, **EXAMPLES[kind]})


@pytest.mark.parametrize("run", RUNS, ids=lambda run: run.__name__)
def test_what_a_run_says_is_what_it_plans(run):
    one = made(run)
    assert one.way in COMMANDS
    assert one.command == ("endure" if one.way == "hours" else "compare")
    if one.way == "hours":
        assert one.start(SETUP).duration_s == 0.0
        with pytest.raises(RunError, match="jounce endure"):
            one.plan(SETUP)
        return
    plan = one.plan(SETUP)
    assert (plan.driving is not None) == (one.way == "driven")
    assert one.start(SETUP) == plan
    crossing = one.crossing(SETUP.vehicle)
    if crossing is not None:
        assert crossing == (plan.course, plan.lead_m, plan.speed_m_per_s)
        assert one.held_speed == plan.speed_m_per_s
    if one.pulls_away_on is not None:
        assert plan.driving.surface == one.pulls_away_on
        assert plan.driving.in_gear
    assert set(one.courses) == ({plan.course} if plan.course is not None else set())


def test_each_stage_of_a_track_says_its_course():
    track = made(next(run for run in RUNS if run.__name__ == "Track"))
    assert [stage.course is None for stage in track.stages] == [False, True]
    assert len(track.courses) == 1
