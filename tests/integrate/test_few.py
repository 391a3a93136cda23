"""A few set-ups at once in the lanes of the kernel: each is as it is run alone, whoever is beside it, and comes under its own place."""

from dataclasses import replace

import numpy as np
import pytest

import sim
from sim.integrate import few
from sim.integrate.given import STEP_S, sampled
from sim.integrate.many.together import together
from sim.integrate.preview import Preview
from sim.integrate.simulation import simulate
from sim.integrate.single import traced
from sim.kernel import layout as at
from sim.lower.packed import pack
from sim.machine.jit import FEW
from tests.integrate.test_preview import LARGEST, rms

ROUNDING = 1e-9
"""Of a channel's range: far below the last digit of single precision, in which pictures are drawn, 6e-8 (IEEE 754)."""

SLOPE = "front.dampers.main.valving.rebound.low"


@pytest.fixture(autouse=True)
def _in_lanes(monkeypatch):
    """Whether or not their kernel has been compiled before."""
    monkeypatch.setattr(few, "_has_lanes", lambda: True)


@pytest.fixture(scope="module")
def scenario():
    return sim.load("scenarios/two_or_four.yaml")


def going(vehicles, run, every=4):
    """Return set-ups at the start of a run with what they are given, the very same where tyres and steps are."""
    roads, runs = {}, []
    for ready in together(vehicles, run):
        tyres = tuple(axle.tyre.radius for _, axle in ready.setup.vehicle.axles)
        if (ready.cut, tyres) not in roads:
            given = sampled(ready.setup.vehicle, ready.plan, STEP_S, ready.cut)
            roads[ready.cut, tyres] = replace(given, every=every * ready.cut)
        runs.append((ready, roads[ready.cut, tyres]))
    return runs


def alone_of(run):
    ready, given = run
    return traced(pack([ready.setup], 1), ready.start, given, kink_m=0.0)


def assert_near(trace, alone, place):
    assert trace.shape == alone.shape
    apart = np.abs(trace - alone).max(axis=0)
    assert np.all(apart <= ROUNDING * np.ptp(alone, axis=0) + 1e-12), (place, apart, np.ptp(alone, axis=0))


def assert_each_is_as_alone(runs):
    found = dict(few.side_by_side(runs))
    assert sorted(found) == list(range(len(runs)))
    for place, run in enumerate(runs):
        assert_near(found[place], alone_of(run), place)
    return found


def slopes(truck, number):
    return [truck.changed({SLOPE: f"{3 + own} kN s/m"}) for own in range(number)]


@pytest.mark.parametrize("number", [1, 2, 3, 4, 5, 9])
def test_any_number_of_them_is_each_as_alone(scenario, number):
    found = assert_each_is_as_alone(going(slopes(scenario.setups["two front"], number), scenario.run))
    # No two of them are the same run.
    ends = {float(trace[-1, at.LOSS_DAMPERS]) for trace in found.values()}
    assert len(ends) == number
    if number < FEW:  # what spare lanes wrote is not kept by any of them
        assert all(trace.base is None or trace.base.nbytes == trace.nbytes for trace in found.values())


def test_those_of_other_parts_or_on_other_roads_are_not_put_beside_each_other(scenario):
    truck = scenario.setups["two front"]
    bare, tall = scenario.setups["bare springs"], truck.changed({"front.tyre.radius": "0.45 m"})
    runs = going([truck, bare, *slopes(truck, 2), tall, bare.changed({"body.mass": "1900 kg"})], scenario.run)
    lots = few._lots(runs)
    assert sorted(place for lot in lots for place in lot) == list(range(len(runs)))
    for lot in lots:
        assert len({id(runs[place][1]) for place in lot}) == 1
        assert len({tuple(line[:3] for line in runs[place][0].setup.lines) for place in lot}) == 1
    assert max(map(len, lots)) > 1
    assert_each_is_as_alone(runs)


@pytest.mark.parametrize("path", ["push_on_the_bumper", "empty_or_loaded", "one_drilled_washer", "what_the_lift_costs"])
def test_set_ups_of_other_scenarios_are_each_as_alone(path):
    scenario = sim.load(f"scenarios/{path}.yaml")
    assert_each_is_as_alone(going(list(scenario.setups.values()), scenario.run))


def test_dampers_on_end_bushes_are_each_as_alone(scenario):
    truck = scenario.setups["two front"].changed({"front.dampers.main.bush_rate": "1 kN/mm"})
    found = assert_each_is_as_alone(going([scenario.setups["two front"], *slopes(truck, 3)], scenario.run))
    # Their law is carried by the bushes, and is another one.
    assert np.max(np.abs(found[1] - found[0])) > 1.0


def test_in_lanes_it_is_as_near_to_the_full_run_as_that_states(scenario):
    """Against `simulate`, at half and a quarter of this step: five times the difference of those two (tests/integrate/test_preview.py)."""
    setups = {f"{number}": own for number, own in enumerate(slopes(scenario.setups["two front"], FEW))}
    seen = Preview(scenario.run, output_s=1e-3).all(setups)
    for name, own in setups.items():
        full, ours = simulate(own, scenario.run), seen[name]
        for channel in (
            lambda run: run.front.tyre_load_n,
            lambda run: run.rear.jounce_m,
            lambda run: run.acceleration_m_per_s2["driver"],
            lambda run: run.front.dampers["main"].force_n,
        ):
            coarse, fine = channel(full.coarse), channel(full)
            assert rms(channel(ours) - fine) <= LARGEST * rms(coarse - fine)
        assert ours.energy.work_in_j == pytest.approx(full.energy.work_in_j, rel=1e-3)
        assert abs(ours.energy.residual_share) < 1e-2


@pytest.mark.parametrize("bad", [0, 2])
def test_one_that_blows_up_ends_where_it_does_alone_and_touches_no_other(scenario, bad):
    runs = going(slopes(scenario.setups["two front"], FEW), scenario.run)
    ready, given = runs[bad]
    start = ready.start.copy()
    start[at.COORDINATES + at.JOUNCE] = 3e5  # no axle flies so fast: tyres and stops throw it back harder and harder
    runs[bad] = replace(ready, start=start), given
    alone = alone_of(runs[bad])
    assert len(alone) < given.steps // given.every + 1
    found = dict(few.side_by_side(runs))
    assert len(found.pop(bad)) == len(alone)
    for place, trace in found.items():
        assert_near(trace, alone_of(runs[place]), place)


def test_where_their_kernel_is_not_compiled_they_run_one_by_one(scenario, monkeypatch):
    monkeypatch.setattr(few, "_has_lanes", lambda: False)
    monkeypatch.setattr(few, "run_few", None)
    runs = going(slopes(scenario.setups["two front"], 3), scenario.run)
    for place, trace in few.side_by_side(runs):
        np.testing.assert_array_equal(trace, alone_of(runs[place]))
