"""A lapped road is the same road written out; it begins level; its end meets its beginning."""

import numpy as np
import pytest

from sim.describe.roads.course import Course
from sim.describe.roads.laid import seed_of
from sim.errors import RunError
from sim.lower.road import lap
from sim.lower.road.contact import contact_profile
from sim.lower.road.lap import FADE_S, Lap, circuit
from sim.lower.road.sampling import sample

ITEMS = [
    {"kind": "washboard", "pitch": "0.6 m", "depth": "20 mm", "count": 5},
    {"kind": "flat", "length": "1 m"},
    {"kind": "plank", "height": "40 mm", "width": "300 mm"},
    {"kind": "random", "iso_class": "D", "length": "8 m", "seed": 2},
]
# Long enough that wheels are far from what is drawn anew, whose last metres are felt at the beginning of the next lap.
LONG = [
    {"kind": "random", "iso_class": "D", "length": "3 m", "seed": 2},
    {"kind": "washboard", "pitch": "0.7 m", "depth": "20 mm", "count": 9},
    {"kind": "circular_hump", "height": "60 mm", "chord": "2 m"},
    {"kind": "plank", "height": "40 mm", "width": "300 mm"},
    {"kind": "flat", "length": "2 m"},
]
TYRE, WHEELBASE, STEP = (0.4, 0.17), 2.95, 1e-3


def course(items=ITEMS):
    return Course.model_validate({"kind": "course", "name": "lap", "items": items})


def lapped(speed, items=ITEMS):
    return circuit(course(items), speed, STEP, WHEELBASE, (TYRE, TYRE))


@pytest.mark.parametrize(
    "items", [ITEMS, LONG, [*LONG[1:], *LONG[:1]]], ids=["all is drawn or near it", "a part is", "another part is"]
)
def test_same_as_written_out(items):
    """A lap of a whole number of steps: front and rear, its second and third time round, are those of a course laid out, drawn anew each time."""
    one = course(items)
    speed = one.length_m / 2.0  # two thousand steps a lap
    heights, rates = lapped(speed, items).cut(2000, 4000)
    laid = [
        item | ({"seed": seed_of(2, lap)} if item["kind"] == "random" else {}) for lap in range(4) for item in items
    ]
    profile = contact_profile(course(laid), *TYRE)
    for index, behind in enumerate((0.0, WHEELBASE)):
        height, rate = sample(profile, speed, behind, STEP, 6000)
        late = slice(2000, 2000 + 4001)
        assert heights[index] == pytest.approx(height[late], abs=2e-6)
        assert np.sum(np.abs(rates[index] - rate[late])) < 1e-3 * np.sum(np.abs(rate[late]))


def test_axles_on_alike_tyres_feel_what_they_feel_alone():
    """Alike tyres share a road, others have one each: a radius that differs by a nanometre takes the other way."""
    one = course()
    speed = one.length_m / 2.0
    alike = circuit(one, speed, STEP, WHEELBASE, (TYRE, TYRE)).cut(2000, 3000)
    apart = circuit(one, speed, STEP, WHEELBASE, (TYRE, (TYRE[0] + 1e-9, TYRE[1]))).cut(2000, 3000)
    off = np.abs(alike[0] - apart[0])
    assert np.quantile(off, 0.95) < 2e-9  # the nanometre
    assert np.max(off) < 2e-6  # next to a kink two grids that lie otherwise over it
    assert np.sum(np.abs(alike[1] - apart[1])) < 1e-3 * np.sum(np.abs(apart[1]))


def test_crests_of_a_washboard_are_smooth():
    """At a crest a rate and its means are all next to nothing: what a grid leaves of each must not pass for a kink, whatever its phase."""
    items = [{"kind": "washboard", "pitch": "0.62 m", "depth": "13 mm", "count": 30}]
    speed = 12.5
    for longer in (0.0, 0.0007, 0.0021, 0.0049):
        one = course([*items, {"kind": "flat", "length": f"{4.0 + longer} m"}])
        laps = circuit(one, speed, STEP, WHEELBASE, (TYRE, TYRE))
        _, rates = laps.cut(laps.steps, laps.steps)
        slopes = contact_profile(one, *TYRE, finest_m=2.5e-4).rate(speed * STEP * np.arange(laps.steps), speed)
        # From the second crest to the last but one: where it ends its curvature jumps.
        inside = slice(int(0.93 / speed / STEP), int(28.5 * 0.62 / speed / STEP))
        assert rates[0, inside] == pytest.approx(slopes[inside], abs=1e-6)


def test_pieces_are_the_whole():
    road = lapped(4.0)
    whole = road.cut(0, 9000)
    for first, count in ((0, 700), (700, 5000), (5700, 3300)):
        for part, every in zip(road.cut(first, count), whole, strict=True):
            assert np.array_equal(part, every[:, first : first + count + 1])


@pytest.mark.parametrize("beside", [0, 150])
def test_no_lap_is_rolled_over_twice(beside, monkeypatch):
    """Pieces that follow one another, each with some road on both sides, whatever their phase on the laps."""
    found = []
    whole = lap._Felt.__call__
    monkeypatch.setattr(lap._Felt, "__call__", lambda felt, number: found.append(number) or whole(felt, number))
    road = lapped(4.0)
    for first in range(0, 40_000, 1500):
        road.cut(first, 1500, beside)
    assert len(found) == len(set(found)) >= 40_000 // road.steps


def test_begins_level_and_its_rates_are_those_of_its_heights():
    """The sum of the rates is the rise of the road (as the integrator takes it)."""
    heights, rates = lapped(4.0).cut(0, 3000)
    assert heights[:, 0] == pytest.approx([0.0, 0.0], abs=1e-12)
    assert rates[:, 0] == pytest.approx([0.0, 0.0], abs=1e-12)
    late = int(FADE_S / STEP) + 1
    assert np.max(np.abs(heights[:, :late])) <= np.max(np.abs(heights)) * 1.01
    rise = 0.5 * STEP * (rates[:, :-1] + rates[:, 1:]).sum(axis=1)
    assert rise == pytest.approx(heights[:, -1] - heights[:, 0], abs=1e-4)


def test_a_track_that_climbs_goes_on_climbing():
    steps = [{"kind": "step", "height": "30 mm"}, {"kind": "flat", "length": "4 m"}]
    road = lapped(4.0, steps)
    heights, _ = road.cut(0, 6 * road.steps)
    assert road.rise_m == pytest.approx(0.03)
    assert heights[0, -1] == pytest.approx(6 * 0.03, abs=0.031)
    assert np.all(np.diff(heights[0, 2000:]) > -1e-9)


def test_short_laps_and_places_behind_the_start():
    """The rear wheels stand on the lap before."""
    lap = Lap(course([{"kind": "plank", "height": "40 mm", "width": "300 mm"}, {"kind": "flat", "length": "1 m"}]), 1.5)
    assert lap.height(np.array([-1.4, 0.1, 1.6, 151.6])) == pytest.approx([0.04] * 4)
    found = lap.edges_between(-1.6, 1.6)
    assert np.all(np.diff(found) > 0.0)
    assert {-1.5, -1.2, 0.0, 0.3, 1.5} <= {round(float(x), 9) for x in found}


def test_a_lap_of_hours_is_refused():
    with pytest.raises(RunError, match="at most 15 are"):
        circuit(course([{"kind": "flat", "length": "9 km"}]), 5.0, STEP, WHEELBASE, (TYRE, TYRE))
