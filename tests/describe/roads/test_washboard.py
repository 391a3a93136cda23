"""Washboards that grow or are irregular: what a tape would find, the same on every machine, driven without surprises."""

import numpy as np
import pytest
from pydantic import ValidationError

from sim.describe.roads.course import Course
from sim.describe.roads.washboard import Washboard
from sim.lower.road.contact import contact_profile


def washboard(**more) -> Washboard:
    return Washboard.model_validate({"kind": "washboard", "pitch": "600 mm", "depth": "40 mm", "count": 50, **more})


def crests(road: Washboard):
    """Return places and heights [m] of its crests, and places of its troughs, found on the profile alone."""
    x = np.arange(0.0, road.length_m + 5e-4, 1e-3)
    z = road.height_at(x)
    top = np.flatnonzero((z[1:-1] > z[:-2]) & (z[1:-1] >= z[2:])) + 1
    low = np.flatnonzero((z[1:-1] < z[:-2]) & (z[1:-1] <= z[2:])) + 1
    return x[top], z[top], x[low]


def test_growing_from_one_depth_to_another():
    road = washboard(depth_first="10 mm")
    at, height, _ = crests(road)
    assert at == pytest.approx(0.3 + 0.6 * np.arange(50), abs=1e-3)
    assert height == pytest.approx(np.linspace(0.01, 0.04, 50), abs=1e-6)
    assert crests(washboard(depth_first="0 mm"))[1][0] > 0.0  # the second one: the first has no height


def test_irregular_within_its_scatter_and_as_long_as_said():
    road = washboard(pitch_scatter="25 %", depth_scatter=0.4, seed=7, count=400)
    at, height, low = crests(road)
    assert at.size == 400
    pitch = np.diff(np.concatenate(([0.0], low, [road.length_m])))
    assert road.length_m == pytest.approx(400 * 0.6)
    assert np.mean(pitch) == pytest.approx(0.6, rel=1e-9)
    # Evenly spread over ± s: standard deviation s / sqrt(3), within what 400 of them scatter.
    assert np.std(pitch) == pytest.approx(0.25 * 0.6 / np.sqrt(3), rel=0.08)
    assert np.std(height) == pytest.approx(0.4 * 0.04 / np.sqrt(3), rel=0.08)
    assert np.max(np.abs(height / 0.04 - 1.0)) <= 0.4 + 1e-9
    assert np.max(np.abs(pitch / 0.6 - 1.0)) < 0.25 + 0.03  # the scaling to its length adds a little


def test_same_seed_same_corrugations_everywhere():
    """Only sums and products of NumPy's PCG64 stream, whose first number is in NumPy's documentation for this seed."""
    one, two = (washboard(pitch_scatter=0.3, depth_scatter=0.3, seed=12345) for _ in range(2))
    x = np.linspace(0.0, one.length_m, 999)
    assert np.array_equal(one.height_at(x), two.height_at(x))
    assert one == two  # roads are looked up by what they are
    assert np.max(np.abs(one.height_at(x) - washboard(pitch_scatter=0.3, depth_scatter=0.3).height_at(x))) > 0.01
    single = washboard(count=1, depth_scatter=0.5, pitch_scatter=0.5, seed=12345)
    draw = np.random.Generator(np.random.PCG64(12345)).random(2)
    assert draw[0] == 0.22733602246716966
    assert single.length_m == pytest.approx(0.6)
    assert single.height_at(np.array([0.3]))[0] == pytest.approx(0.04 * (0.5 + draw[1]), rel=1e-12)


def test_alike_ones_are_as_ever():
    x = np.linspace(-1.0, 31.0, 2000)
    assert np.allclose(washboard().height_at(x), washboard(depth_first="40 mm").height_at(x), rtol=0.0, atol=1e-14)


def test_rolled_over_by_a_wheel_it_has_no_jump():
    """Troughs of unlike neighbours are level on both sides: the path of a point has no kink in height or slope."""
    road = Course.model_validate({"kind": "course", "name": "w", "items": [
        {"kind": "flat", "length": "2 m"},
        {"kind": "washboard", "pitch": "700 mm", "depth": "50 mm", "depth_first": "5 mm", "count": 30, "pitch_scatter": 0.3,
         "depth_scatter": 0.3, "seed": 3},
        {"kind": "flat", "length": "2 m"},
    ]})  # fmt: skip
    x = np.arange(0.0, road.length_m, 1e-3)
    slope = np.gradient(road.height(x), x)
    assert np.max(np.abs(np.diff(slope))) < 1e-3 * 2 * np.pi**2 * 0.05 * 1.3 / (0.7 * 0.7) ** 2
    wheel = contact_profile(road, 0.4, 0.17)
    assert float(np.max(wheel.height(x))) <= float(np.max(road.height(x))) + 1e-9


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"pitch_scatter": 0.9}, "less than or equal to 0.6"),
        ({"depth_scatter": "150 %"}, "less than or equal to 1"),
        ({"depth_first": "-5 mm"}, "greater than or equal to 0"),
        ({"depth_scatter": "5 mm"}, "a share is a bare number or a percentage"),
        ({"seed": -1}, "greater than or equal to 0"),
    ],
)
def test_refuses(changes, words):
    with pytest.raises(ValidationError, match=words):
        washboard(**changes)
