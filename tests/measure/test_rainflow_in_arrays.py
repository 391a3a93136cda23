"""Small cycles counted by arrays, and the rest by the `rainflow` package: the same as the package finds of all points, one by one."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rainflow import extract_cycles

from sim.measure import tally


def one_by_one(history):
    counts = {}
    # Of two points the package finds no cycle, where the standard has half of one (E1049, 5.4.4, step 6): a point that is repeated is none.
    for size, _, count, _, _ in extract_cycles([*history, *history[-1:]]):
        number = int(size / tally.CLASS_M)
        counts[number] = counts.get(number, 0.0) + count
    return dict(sorted(counts.items()))


def counted(history, folder):
    points = folder / "points"
    np.array(history, dtype=np.float64).tofile(points)
    return tally.travel_counts(points)


# Few values: ranges that are equal, points that repeat, and runs the same way are what could be taken for something else.
@given(
    history=st.lists(st.integers(-4, 4), max_size=60).map(lambda one: [tally.CLASS_M * (1 + 1e-9) * n for n in one]),
    at_once=st.integers(1, 9),
)
def test_of_few_levels(history, at_once, tmp_path_factory):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(tally, "READ_AT_ONCE", at_once)
        assert counted(history, tmp_path_factory.mktemp("counts")) == one_by_one(history)


@given(history=st.lists(st.floats(-0.2, 0.2), max_size=60), at_once=st.integers(1, 9))
def test_of_any_points(history, at_once, tmp_path_factory):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(tally, "READ_AT_ONCE", at_once)
        assert counted(history, tmp_path_factory.mktemp("counts")) == one_by_one(history)


def test_what_is_left_of_small_cycles_within_one_movement_is_half_a_cycle(tmp_path):
    """From -125 mm up to 125 mm, with a cycle of 125 mm on the way: one whole and one half, by hand (E1049, 5.4.4)."""
    wide = tally.CLASS_M * (1 + 1e-9)
    assert counted([-25 * wide, 25 * wide, 0.0, 25 * wide], tmp_path) == {25: 1.0, 50: 0.5}
    assert counted([-25 * wide, 25 * wide], tmp_path) == {50: 0.5}


@pytest.mark.parametrize("growing", [0.0, 0.05])
def test_of_a_long_ride(tmp_path, growing):
    """Movements of a ride, and such that grow with time, of which little lies within what was before."""
    chance = np.random.default_rng(11)
    sizes = 0.03 * np.abs(chance.normal(size=50_000)) + growing * np.linspace(0.0, 1.0, 50_000)
    history = (np.where(np.arange(sizes.size) % 2, 1.0, -1.0) * sizes).tolist()
    found = counted(history, tmp_path)
    assert found == one_by_one(history)
    assert sum(found.values()) == pytest.approx((len(history) - 1) / 2.0, abs=1.0)
