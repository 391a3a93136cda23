"""Contact length, exact roads, kinks, sizes."""

import numpy as np
import pytest
from scipy.integrate import trapezoid

from sim.describe.roads.hermite import Hermite
from sim.lower.road.contact import _averaged, _means, contact_profile
from sim.lower.road.pieces import pieces
from tests.describe.roads.road_twin import Formula, course, flat

PLANK = {"kind": "plank", "height": "60 mm", "width": "300 mm"}
WAVES = {"kind": "washboard", "pitch": "700 mm", "depth": "30 mm", "count": 20}


def test_without_size_the_road_is_evaluated_itself():
    road = course(flat("1 m"), WAVES)
    x = np.linspace(-1.0, 16.0, 1_000)
    assert np.array_equal(contact_profile(road, 0.0, 0.0).height(x), road.height(x))


@pytest.mark.parametrize("length", [0.05, 0.12345])
def test_mean_over_a_sinusoid_has_the_known_gain(length):
    # mean of a wave of wave number k over L: its amplitude times sin(k L / 2) / (k L / 2)
    road, wave = course(WAVES), 2 * np.pi / 0.7
    gain = np.sin(wave * length / 2) / (wave * length / 2)
    x = np.linspace(2.0, 10.0, 3_001)
    expected = 0.015 * (1 - gain * np.cos(wave * x))
    height = contact_profile(road, 0.0, length).height(x)
    assert np.allclose(height, expected, rtol=0.0, atol=1e-8)


@pytest.mark.parametrize("length", [0.17, 0.2, 0.2001, 0.0004])
def test_mean_on_an_even_grid_is_the_mean_at_any_place(length):
    """One share of a piece for all points, and pieces looked up for each: one mean, up to both ends of the grid."""
    grid = np.linspace(-0.3, 4.3, 4601)
    curve = Hermite(grid, 0.05 * np.sin(3.0 * grid) + 0.01 * grid**2, 0.15 * np.cos(3.0 * grid) + 0.02 * grid)
    heights, slopes = _means(curve, grid, length)
    mean = _averaged(curve, grid, length)
    assert mean.z == pytest.approx(heights, abs=1e-12)
    assert mean.slope == pytest.approx(slopes, abs=1e-10)  # differences of heights over 0.4 mm at the least


def test_mean_over_a_sheer_step_is_a_ramp():
    road = course(flat("1 m"), {"kind": "step", "height": "60 mm"}, flat("1 m"))
    x = np.linspace(0.0, 2.0, 4_001)
    ramp = 0.06 * np.clip((x - 0.9) / 0.2, 0.0, 1.0)
    assert np.allclose(contact_profile(road, 0.0, 0.2).height(x), ramp, rtol=0.0, atol=1e-4)
    far = (np.abs(x - 0.9) > 2e-3) & (np.abs(x - 1.1) > 2e-3)
    assert np.allclose(contact_profile(road, 0.0, 0.2).height(x[far]), ramp[far], atol=1e-10)


def test_mean_after_the_disc_keeps_the_area_under_the_path():
    road = course(flat("1 m"), PLANK, flat("1 m"))
    x = np.linspace(-0.5, 2.8, 66_001)
    areas = [trapezoid(contact_profile(road, 0.35, length).height(x), x) for length in (0.0, 0.17)]
    assert areas[1] == pytest.approx(areas[0], rel=1e-6)
    peaks = [contact_profile(road, 0.35, length).height(x).max() for length in (0.0, 0.5)]
    assert peaks[1] < peaks[0]


def test_mean_removes_the_kinks_of_the_path():
    road = course(flat("1 m"), PLANK, flat("1 m"))
    assert contact_profile(road, 0.35, 0.0).kinks.size == 2
    assert contact_profile(road, 0.35, 0.15).kinks.size == 0


def test_after_the_last_shape_it_is_level():
    road = course(flat("1 m"), PLANK, {"kind": "step", "height": "-20 mm"}, flat("3 m"))
    # it leaves the plank's rear edge, 80 mm up, sqrt(2 R H - H²) after it; half the mean later
    leaves = 1.3 + np.sqrt(2 * 0.35 * 0.08 - 0.08**2) + 0.1
    profile = contact_profile(road, 0.35, 0.2)
    assert profile.flat_after_m == pytest.approx(leaves, abs=3e-3)
    after = profile.height(np.linspace(profile.flat_after_m, 9.0, 99))
    assert np.ptp(after) < 1e-12
    assert np.allclose(after, -0.02, rtol=0.0, atol=1e-12)


def test_level_road_stays_level():
    profile = contact_profile(course(flat("5 m")), 0.4, 0.15)
    x = np.linspace(-3.0, 8.0, 500)
    assert np.abs(profile.height(x)).max() < 1e-15
    assert profile.flat_after_m == 0.0
    assert profile.kinks.size == 0


@pytest.mark.parametrize(
    ("radius", "length", "words"),
    [
        (-0.1, 0.0, "radius of -0.1 m"),
        (float("nan"), 0.0, "radius of nan m"),
        (0.01, 0.0, "too small to roll"),
        (0.4, -1.0, "contact length of -1.0 m"),
        (0.4, float("inf"), "contact length of inf m"),
    ],
)
def test_refuses_impossible_tyres(radius, length, words):
    with pytest.raises(ValueError, match=words):
        contact_profile(course(flat("1 m")), radius, length)


def test_refuses_a_road_of_too_many_points():
    with pytest.raises(ValueError, match="at most 15000000 are accepted"):
        pieces(Formula(40_000.0, np.zeros_like), 1.0, 1.0, 1e-3)
