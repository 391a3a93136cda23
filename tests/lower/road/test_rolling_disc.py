"""The rolling disc against closed forms and against its naive twin.

The closed forms are elementary geometry of circles and lines, stated beside each check.
"""

import inspect
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from sim.errors import RunError
from sim.lower.road import rolling_disc
from sim.lower.road.contact import contact_profile
from tests.describe.roads.road_twin import Formula, course, dilated, flat, mirrored, offset_curve

ROOT = Path(__file__).parents[3]
RADIUS = 0.4
EXACT = {"rtol": 0.0, "atol": 1e-9}


def away_from(x: np.ndarray, places: list[float], distance: float = 2e-3) -> np.ndarray:
    return np.all(np.abs(x[:, None] - np.array(places)) > distance, axis=1)


@pytest.mark.parametrize("rise", [0.02, 0.1, 0.25])
def test_over_a_sheer_step(rise):
    # the disc turns about the edge; it meets it sqrt(2 R H - H²) before
    road = course(flat("2 m"), {"kind": "step", "height": f"{rise} m"}, flat("2 m"))
    profile, meets = contact_profile(road, RADIUS, 0.0), np.sqrt(2 * RADIUS * rise - rise**2)
    x = np.linspace(0.0, 4.0, 7_001)
    turning = (x > 2.0 - meets) & (x < 2.0)
    arc = rise + np.sqrt(np.maximum(RADIUS**2 - (2.0 - x) ** 2, 0.0)) - RADIUS
    expected = np.where(turning, arc, np.where(x < 2.0, 0.0, rise))
    error = np.abs(profile.height(x) - expected)
    # on the arc itself only the cubics between the points are left
    far = away_from(x, [2.0 - meets, 2.0])
    assert error[far].max() < 1e-9
    # in the span of the kink: a quarter of the spacing times the change of slope
    slope = meets / (RADIUS - rise)
    assert error.max() < 0.25e-3 * slope
    assert profile.kinks == pytest.approx([2.0 - meets], abs=1e-3)


def test_down_a_sheer_step_it_turns_about_the_edge_until_it_lands():
    road = course(flat("2 m"), {"kind": "step", "height": "-100 mm"}, flat("2 m"))
    lands = 2.0 + np.sqrt(2 * RADIUS * 0.1 - 0.1**2)
    x = np.linspace(2.0, 4.0, 3_001)
    x = x[away_from(x, [lands])]
    arc = np.sqrt(np.maximum(RADIUS**2 - (x - 2.0) ** 2, 0.0)) - RADIUS
    height = contact_profile(road, RADIUS, 0.0).height(x)
    assert np.allclose(height, np.where(x < lands, arc, -0.1), **EXACT)


def test_over_a_plank():
    # two arcs about the edges and the level top between them
    rise, start, end = 0.05, 1.0, 1.2
    road = course(flat("1 m"), {"kind": "plank", "height": "50 mm", "width": "200 mm"}, flat("1 m"))
    reach = np.sqrt(2 * RADIUS * rise - rise**2)
    x = np.linspace(0.0, 2.2, 5_001)
    x = x[away_from(x, [start - reach, start, end, end + reach])]
    aside = np.maximum(np.maximum(start - x, x - end), 0.0)
    arc = rise + np.sqrt(np.maximum(RADIUS**2 - aside**2, 0.0)) - RADIUS
    expected = np.where(aside > reach, 0.0, arc)
    assert np.allclose(contact_profile(road, RADIUS, 0.0).height(x), expected, **EXACT)


def test_a_hole_narrower_than_the_disc_is_bridged():
    # between its rims l apart the disc sinks by R - sqrt(R² - l² / 4), however deep the hole
    for depth in ("100 mm", "1.5 m"):
        road = course(flat("2 m"), {"kind": "pothole", "depth": depth, "length": "300 mm"}, flat("2 m"))
        profile = contact_profile(road, RADIUS, 0.0)
        sinks = RADIUS - np.sqrt(RADIUS**2 - 0.15**2)
        lowest = profile.height(np.linspace(2.0, 2.3, 30_001)).min()
        slope = 0.15 / np.sqrt(RADIUS**2 - 0.15**2)
        assert lowest == pytest.approx(-sinks, abs=0.5e-3 * slope)
        x = np.linspace(2.0, 2.148, 100)
        arc = np.sqrt(RADIUS**2 - (x - 2.0) ** 2) - RADIUS
        assert np.allclose(profile.height(x), arc, **EXACT)


@pytest.mark.parametrize(
    ("item", "radius_m", "top"),
    [
        ({"kind": "circular_hump", "height": "100 mm", "chord": "3.7 m"}, 17.1625, 0.1),
        ({"kind": "fallen_log", "diameter": "300 mm", "sunk": "100 mm"}, 0.15, 0.2),
        ({"kind": "fallen_log", "diameter": "300 mm", "sunk": "250 mm"}, 0.15, 0.05),
    ],
)
def test_over_a_circle_the_centre_runs_on_a_larger_circle(item, radius_m, top):
    road = course(flat("2 m"), item, flat("2 m"))
    middle = road.length_m / 2.0
    both = radius_m + RADIUS
    # it meets the circle while it stands on the road: both centres are R and top - r high
    meets = np.sqrt(both**2 - (RADIUS - (top - radius_m)) ** 2)
    profile = contact_profile(road, RADIUS, 0.0)
    x = middle + np.linspace(-meets + 2e-3, meets - 2e-3, 2_000)
    expected = top - both + np.sqrt(both**2 - (x - middle) ** 2)
    assert np.allclose(profile.height(x), expected, **EXACT)
    assert profile.kinks == pytest.approx([middle - meets, middle + meets], abs=1e-3)


@pytest.mark.parametrize(("depth", "pitch"), [(0.02, 0.6), (0.04, 1.0)])
def test_on_a_sinusoid_that_curves_less_than_the_disc(depth, pitch):
    wave = 2 * np.pi / pitch
    assert depth / 2 * wave**2 < 1 / RADIUS
    road = course({"kind": "washboard", "pitch": f"{pitch} m", "depth": f"{depth} m", "count": 10})
    profile = contact_profile(road, RADIUS, 0.0)
    # bottoms and crests are reached
    assert np.allclose(profile.height(pitch * np.arange(1, 10)), 0.0, **EXACT)
    assert np.allclose(profile.height(pitch * (np.arange(10) + 0.5)), depth, **EXACT)
    # and between them the path is the parallel curve
    x = np.linspace(2 * pitch, 5 * pitch, 211) + 1e-4
    pairs = [
        offset_curve(
            lambda s: depth / 2 * (1 - np.cos(wave * s)),
            lambda s: depth / 2 * wave * np.sin(wave * s),
            place,
            RADIUS,
        )
        for place in x
    ]
    height, slope = np.array(pairs).T
    assert np.allclose(profile.height(x), height, rtol=0.0, atol=1e-10)
    assert np.allclose(profile.rate(x, 1.0), slope, rtol=0.0, atol=1e-7)
    assert profile.kinks.size == 0


def test_on_sharp_corrugations_the_bottom_is_not_reached():
    # depth / 2 (2 pi / pitch)² = 7.9 1/m curves more than the disc: it hangs on both flanks
    road = course({"kind": "washboard", "pitch": "500 mm", "depth": "100 mm", "count": 8})
    profile = contact_profile(road, RADIUS, 0.0)
    bottom = 4 * 0.5
    assert profile.height(np.array([bottom]))[0] > 0.005
    assert profile.height(np.array([bottom]))[0] == pytest.approx(dilated(road, bottom, RADIUS), abs=1e-4)
    inner = (profile.kinks > 0.3) & (profile.kinks < 3.7)
    assert profile.kinks[inner] == pytest.approx(0.5 * np.arange(1, 8), abs=1e-3)


def rough_road(seed: int) -> Formula:
    random = np.random.default_rng(seed)
    amplitude, wave = random.normal(0.0, 0.02, 8), random.uniform(1.0, 12.0, 8)
    phase = random.uniform(0.0, 6.0, 8)

    def height(x: np.ndarray) -> np.ndarray:
        inside = np.clip(x, 0.0, 4.0)
        waves = amplitude[:, None] * np.sin(wave[:, None] * inside + phase[:, None])
        return waves.sum(axis=0) + 0.06 * ((x > 1.3) & (x < 1.5)) - 0.04 * (x > 2.7)

    return Formula(4.0, height, (0.0, 1.3, 1.5, 2.7, 4.0))


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("radius", [0.15, 0.4])
def test_equals_its_naive_twin(seed, radius):
    road = rough_road(seed)
    profile = contact_profile(road, radius, 0.0)
    x = profile.curve.x[::37]
    expected = [dilated(road, place, radius) for place in x]
    # the twin misses the best point by half its spacing: 1e-10 / 8 times the joint curvature
    assert np.allclose(profile.height(x), expected, rtol=0.0, atol=2e-9)


@pytest.mark.parametrize("seed", range(2))
def test_driven_from_the_other_end_the_path_is_mirrored(seed):
    road = rough_road(seed)
    there, back = contact_profile(road, 0.3, 0.12), contact_profile(mirrored(road), 0.3, 0.12)
    x = np.linspace(-0.5, 4.5, 5_000)
    assert np.allclose(there.height(x), back.height(4.0 - x), rtol=0.0, atol=2e-7)


def test_never_below_the_road_and_larger_discs_lie_higher():
    road = rough_road(9)
    x = contact_profile(road, 0.2, 0.0).curve.x[600:4_300:7]
    small, large = (contact_profile(road, radius, 0.0).height(x) for radius in (0.2, 0.5))
    assert np.all(small >= road.height(x) - 1e-9)
    assert np.all(large >= small - 1e-6)
    assert np.max(large - small) > 1e-3


def test_scaled_truck_on_scaled_road_has_a_scaled_path():
    small = course(flat("1 m"), {"kind": "half_sine", "height": "50 mm", "length": "400 mm"})
    large = course(flat("2 m"), {"kind": "half_sine", "height": "100 mm", "length": "800 mm"})
    x = np.linspace(0.5, 1.6, 500)
    profile = contact_profile(small, 0.3, 0.0)
    x = x[away_from(x, list(profile.kinks))]
    twice = contact_profile(large, 0.6, 0.0).height(2 * x)
    assert np.allclose(2 * profile.height(x), twice, rtol=0.0, atol=1e-8)


def test_lifting_the_road_lifts_the_path():
    road = rough_road(3)
    lifted = Formula(4.0, lambda x: road.height(x) + 25.0, road.places)
    x = np.linspace(-0.5, 4.5, 999)
    low, high = (contact_profile(one, 0.4, 0.1).height(x) for one in (road, lifted))
    assert np.allclose(low + 25.0, high, rtol=0.0, atol=1e-10)


@pytest.mark.parametrize(
    "item",
    [
        {"kind": "step", "height": "500 mm"},
        {"kind": "plank", "height": "390 mm", "width": "1 m"},
        {"kind": "fallen_log", "diameter": "900 mm"},
    ],
)
def test_a_wall_is_refused_with_its_place(item):
    with pytest.raises(RunError, match=r"too steep .* near [12]\.\d\d m"):
        contact_profile(course(flat("2 m"), item, flat("1 m")), RADIUS, 0.1)


@pytest.mark.parametrize("metres", [2, 5])
def test_a_long_course_takes_looks_in_step_with_its_length(metres, monkeypatch):
    """The contact never moves backward (elementary: the disc is concave), so the places looked at between two found contacts
    overlap in one point: a round of the search takes at most one look a point and one a centre, and strides halve from 1024."""
    road, spacing = course(flat("1 m"), {"kind": "half_sine", "height": "60 mm", "length": "300 mm"}), 1e-3
    x = np.arange(0.0, metres, spacing)
    centres = x[(x > RADIUS) & (x < metres - RADIUS)]
    left = np.searchsorted(x, centres - RADIUS).astype(np.int64)
    right = np.searchsorted(x, centres + RADIUS, side="right").astype(np.int64) - 1
    looks, plain = [], inspect.unwrap(getattr(rolling_disc._lift, "py_func", rolling_disc._lift))
    monkeypatch.setattr(rolling_disc, "_lift", lambda *given: looks.append(None) or plain(*given))
    search = inspect.unwrap(getattr(rolling_disc._contacts, "py_func", rolling_disc._contacts))
    first_under, last_under, found = np.zeros((3, centres.size), np.int64)
    search(x, road.height(x), centres, first_under, last_under, RADIUS, found)
    assert np.array_equal(first_under, left)
    assert np.array_equal(last_under, right)
    rounds, first = 10, centres.size // rolling_disc.COARSEST + 1
    window = right - left + 1
    assert len(looks) <= rounds * (x.size + centres.size) + first * window.max()
    assert len(looks) < 0.1 * window.sum()  # what a search without bounds looks at
    assert np.all(np.diff(found) >= 0)


ROLLED = """
import numpy as np
from sim.lower.road.pieces import Pieces
from sim.lower.road.rolling_disc import disc_path

places = np.linspace(0.0, 20.0, 20_001)
heights = 0.02 * np.sin(3.0 * places) + 0.005 * np.sin(17.0 * places)
road = Pieces(places, heights, np.zeros(places.size, np.int64), np.full(places.size, places.size - 1))
for values in disc_path(road, np.linspace(1.0, 19.0, 3000), 0.4):
    print(values.tobytes().hex())
"""


@pytest.mark.hours
@pytest.mark.long  # it compiles from nothing
def test_compiled_just_now_or_read_back_it_is_the_same_to_the_last_bit(tmp_path):
    """A function that is compiled by itself and called by another has two texts in the process that compiles them, and one later."""
    # Where a person has set the compiler, what comes with the package is left alone; this setting is the compiler's own.
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "NUMBA_CACHE_DIR": str(tmp_path), "NUMBA_LOOP_VECTORIZE": "1"}
    first, later = (
        subprocess.run(
            [sys.executable, "-c", ROLLED], env=environment, capture_output=True, text=True, check=True
        ).stdout
        for _ in range(2)
    )
    assert list(tmp_path.rglob("*.nbc"))
    assert first == later
