"""Set-ups that are compared are asked for one rest: a smaller first swing is no handicap."""

from math import inf, log
from types import SimpleNamespace

import numpy as np
import pytest

import sim
from sim.measure.comparison import Comparison
from sim.measure.free_motion import SIGNALS
from sim.measure.rest_band import rest_band, within
from sim.measure.settling import cycles, settling_time
from sim.measure.table import evaluate
from sim.show.report.at_rest import rest_words
from sim.study.compare import compare, judged_alike
from sim.study.many import Track
from sim.study.sweep.points import Points
from tests.measure.decays import viscous
from tests.study.tuning.cases import written
from tests.synthetic import still_run

TIME = np.arange(12001) * 1e-3
BOUNCE = SIGNALS[0]
ZETA, HERTZ = 0.1, 1.2
RATE = ZETA * 2.0 * np.pi * HERTZ / np.sqrt(1.0 - ZETA**2)


def swinging(metres):
    """A viscous decay from a first swing of this size: only the size tells set-ups apart."""
    return still_run(TIME, bounce_m=metres * viscous(TIME, ZETA, HERTZ))


def alike(**runs):
    scenario = SimpleNamespace(reference=next(iter(runs)), setups={}, name="swings", question=None)
    return judged_alike(scenario, {name: swinging(size) for name, size in runs.items()})


def test_half_the_swing_is_at_rest_sooner_by_what_the_decay_takes_to_halve():
    """Time to halve is ln 2 / decay (any vibration text, logarithmic decrement): judged by 5 % of each one's own swing both would be equal."""
    runs = alike(reference=0.02, smaller=0.01, larger=0.04)
    times = {name: settling_time(run, BOUNCE) for name, run in runs.items()}
    assert times["reference"] == pytest.approx(settling_time(swinging(0.02), BOUNCE))
    # each is on its envelope but for the moment after a last peak: a third of a quarter swing at most, here
    assert times["reference"] - times["smaller"] == pytest.approx(log(2.0) / RATE, rel=0.1)
    assert times["larger"] - times["reference"] == pytest.approx(log(2.0) / RATE, rel=0.1)
    assert cycles(runs["smaller"], BOUNCE) < cycles(runs["reference"], BOUNCE) < cycles(runs["larger"], BOUNCE)


def test_what_never_leaves_the_band_is_at_rest_from_the_release():
    runs = alike(
        reference=0.02, still=0.0009, hardly=0.0001
    )  # 1 mm is 5 %; the last is too small to be judged by itself
    assert [settling_time(runs[name], BOUNCE) for name in ("still", "hardly")] == [0.0, 0.0]
    assert [cycles(runs[name], BOUNCE) for name in ("still", "hardly")] == [0.0, 0.0]


def test_what_blew_up_has_no_settling_time_beside_others():
    run = still_run(TIME, bounce_m=np.where(TIME < 6.0, 0.01, np.nan))
    assert np.isnan(settling_time(within(run, {"bounce": 1e-3}), BOUNCE))


def test_what_swings_on_has_not_settled_in_another_ones_band():
    slow = still_run(TIME[:2000], bounce_m=0.02 * viscous(TIME[:2000], 0.02))
    assert settling_time(within(slow, {"bounce": 1e-3}), BOUNCE) == inf


def test_a_run_by_itself_keeps_its_own_band_and_is_left_as_it_is():
    run = swinging(0.01)
    assert judged_alike(SimpleNamespace(reference=None, setups={}), {"alone": run})["alone"] is run
    judged = within(run, rest_band(swinging(0.04)))
    assert run.rests_within is None
    assert settling_time(judged, BOUNCE) < settling_time(run, BOUNCE)


def test_the_band_is_said_with_its_size():
    runs = alike(reference=0.02, smaller=0.01)
    scenario = SimpleNamespace(reference="reference", setups={}, name="swings", question=None)
    comparison = Comparison(scenario, runs, {name: evaluate(run) for name, run in runs.items()})
    said = rest_words(comparison, comparison.measures)
    assert said.startswith("Settled, the same for all: bounce within 1.0 mm")
    assert said.endswith("5 % of the largest swing of “reference”.")


def test_a_small_band_is_said_with_enough_digits():
    runs = alike(reference=0.0012, smaller=0.0011)
    scenario = SimpleNamespace(reference="reference", setups={}, name="swings", question=None)
    comparison = Comparison(scenario, runs, {name: evaluate(run) for name, run in runs.items()})
    # 5 % of 1.2 mm, by 25.4 mm an inch
    assert "bounce within 0.060 mm (0.0024 in)" in rest_words(comparison, comparison.measures)


@pytest.fixture(scope="module")
def pushed(tmp_path_factory):
    scenario = sim.load(written(tmp_path_factory.mktemp("push")))
    return scenario, compare(scenario)


def test_blocks_and_sweeps_are_judged_within_the_band_of_the_comparison(pushed):
    scenario, compared = pushed
    names = ["front_body_settling_time", "front_body_cycles", "bounce_settling_time"]
    other = next(name for name in scenario.setups if name != scenario.reference)
    own = compared.values[other]
    assert own[names[0]].value != pytest.approx(
        evaluate(within(compared.runs[other], rest_band(compared.runs[other])))[names[0]].value, rel=0.01
    )
    track = Track(scenario.run, names, band=compared.runs[other].rests_within)
    swept = Points(scenario, [], names, coarse=False)
    for outcome in (
        track.outcomes([scenario.setups[other]] * 5)[2].values,
        swept.solved([(other, ())])[0]["values"],
    ):
        for name in names:
            assert outcome[name] == pytest.approx(own[name].value, rel=2e-3), name
