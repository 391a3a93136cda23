"""Geometry of published speed humps and washboards, each with its source beside it.

Numbers marked *derived* follow from the published size by the closed form that is named.
"""

from typing import Any

import numpy as np
import pytest

from sim.describe.roads import Flat
from sim.describe.roads.course import Course
from sim.lower.road.contact import contact_profile, sample


def course(**item: Any) -> Course:
    return Course.model_validate({"kind": "course", "name": "one hump", "items": [item]})


def slopes(road: Course) -> np.ndarray:
    x = np.linspace(0.0, road.length_m, 200_001)
    return np.gradient(road.height(x), x)


# Round-top hump: chord 3.7 m, up to 100 mm (G. R. Watts, TRRL, 1973; heights of TRL report 377).
# Radii derived by R = (l²/4 + h²) / (2 h).
@pytest.mark.parametrize(("height", "radius"), [("100 mm", 17.1625), ("75 mm", 22.854)])
def test_round_top_hump_radius(height, radius):
    hump = course(kind="circular_hump", chord="3.7 m", height=height).items[0]
    assert hump.radius_m == pytest.approx(radius, abs=5e-4)


def test_round_top_hump_entry_slope_angle():
    # same hump at 100 mm, derived: asin(l / 2 / R) = 0.1080 rad
    slope = slopes(course(kind="circular_hump", chord="3.7 m", height="100 mm"))
    assert np.arctan(slope[1:-1].max()) == pytest.approx(0.1080, abs=5e-5)


def test_round_top_hump_is_a_circle_through_rims_and_top():
    road = course(kind="circular_hump", chord="3.7 m", height="100 mm")
    x = np.linspace(0.001, 3.699, 500)
    distance = np.hypot(x - 1.85, road.height(x) - (0.1 - 17.1625))
    assert distance == pytest.approx(np.full(500, 17.1625), abs=1e-9)


# Danish circular humps of 100 mm for 20 to 50 km/h: chords and radii as the tables print them,
# quoted from memory; the radii were derived again with the closed form and agree.
DANISH = [
    (3.0, 11, 11.30), (3.5, 15, 15.36), (4.0, 20, 20.05), (5.0, 31, 31.30), (6.5, 53, 52.86), (8.0, 80, 80.05), (9.5, 113, 112.86),
]  # fmt: skip


@pytest.mark.parametrize(("chord", "printed", "radius"), DANISH)
def test_danish_humps(chord, printed, radius):
    hump = course(kind="circular_hump", chord=f"{chord} m", height="100 mm").items[0]
    assert hump.radius_m == pytest.approx(radius, abs=0.005)
    assert round(hump.radius_m) == printed


# Flat-top table of a UK county guide: 75 mm, ramps 1:13; also ramps 1:10 to 1:15 (TRL report 186).
@pytest.mark.parametrize("one_in", [10, 13, 15])
def test_flat_topped_hump_ramps(one_in):
    road = course(kind="flat_topped_hump", height="75 mm", plateau="7 m", ramp=f"{75 * one_in} mm")
    assert slopes(road).max() == pytest.approx(1.0 / one_in, rel=1e-9)
    assert road.length_m == pytest.approx(7.0 + 2 * 0.075 * one_in)


def test_us_flat_topped_hump_is_22_ft_long():
    # US county code: 3 in high, 22 ft long; the split 6 + 10 + 6 ft is from memory
    road = course(kind="flat_topped_hump", height="3 in", plateau="10 ft", ramp="6 ft")
    assert road.length_m == pytest.approx(22 * 0.3048, abs=1e-12)
    assert road.height(np.array([11 * 0.3048]))[0] == pytest.approx(0.0762, abs=1e-12)


# Sinusoidal humps (profile named in TRL report 377; the Dutch size is from memory), derived:
# steepest slope pi h / l, acceleration of a wheel that follows it (h / 2) (2 pi v / l)².
SINUSOIDAL = [("3.7 m", "100 mm", 0.084908, 3.6047), ("4.8 m", "120 mm", 0.078540, 2.5702)]


@pytest.mark.parametrize(("length", "height", "slope", "acceleration"), SINUSOIDAL)
def test_sinusoidal_hump(length, height, slope, acceleration):
    road = course(kind="sinusoidal_hump", length=length, height=height)
    assert slopes(road).max() == pytest.approx(slope, abs=1e-6)
    profile, step = contact_profile(road, 0.0, 0.0), 2.5e-4
    _, rate = sample(profile, 5.0, 0.0, step, int(road.length_m / 5.0 / step))
    assert rate.max() == pytest.approx(5.0 * slope, abs=1e-5)
    # On the crest, where it is as steep as at the ends; there the rate is raised, so that the sum of rates is the rise.
    crest = rate[rate.size // 4 : -rate.size // 4]
    assert np.abs(np.diff(crest) / step).max() == pytest.approx(acceleration, abs=2e-4)


def test_parabolic_hump():
    # derived: entry slope 4 h / l = 0.10811 at 3.7 m x 100 mm, curvature 8 h / l²
    road = course(kind="parabolic_hump", length="3.7 m", height="100 mm")
    slope = slopes(road)
    assert slope[1] == pytest.approx(0.10811, abs=1e-5)
    bend = np.diff(slope[1:-1]) / (road.length_m / 200_000)
    assert bend == pytest.approx(np.full(bend.size, -8 * 0.1 / 3.7**2), abs=1e-5)


# Washboard: frequency f = v / pitch, derived for common pitches (0.5 to 1 m, from memory).
@pytest.mark.parametrize(
    ("pitch", "speed_km_per_h", "frequency"),
    [(0.6, 30, 13.89), (0.75, 30, 11.11), (0.9, 40, 12.35), (1.0, 60, 16.67)],
)
def test_washboard_frequency(pitch, speed_km_per_h, frequency):
    road = course(kind="washboard", pitch=f"{pitch} m", depth="30 mm", count=25)
    speed, step = speed_km_per_h / 3.6, 1e-3
    steps = int(road.length_m / speed / step)
    height, _ = sample(contact_profile(road, 0.35, 0.0), speed, 0.0, step, steps)
    up = np.flatnonzero((height[:-1] < 0.02) & (height[1:] >= 0.02))
    share = (0.02 - height[up]) / (height[up + 1] - height[up])
    time = (up + share) * step
    assert (time.size - 1) / (time[-1] - time[0]) == pytest.approx(frequency, abs=0.006)


def test_proving_ground_washboard():
    # US Army test procedures, from memory: 6 in double amplitude at 72 in pitch, 2 in at 24 in
    for depth, pitch in ((6, 72), (2, 24)):
        road = course(kind="washboard", pitch=f"{pitch} in", depth=f"{depth} in", count=3)
        x = np.linspace(0.0, road.length_m, 3 * 720 + 1)
        assert np.ptp(road.height(x)) == pytest.approx(depth * 0.0254, abs=1e-12)


# UK rules as TRL report 377 gives them: round-top and flat-top humps of 25 to 100 mm, at least 0.9 m long.
@pytest.mark.parametrize("height", [25, 100])
def test_least_uk_hump(height):
    for item in (
        {"kind": "circular_hump", "chord": "900 mm", "height": f"{height} mm"},
        {"kind": "flat_topped_hump", "height": f"{height} mm", "plateau": "100 mm", "ramp": "400 mm"},
    ):
        road = course(**item)
        assert road.length_m == pytest.approx(0.9)
        assert road.height(np.array([0.45]))[0] == pytest.approx(height * 1e-3, abs=1e-12)


# US county code: 3 in high, 12 ft long.
def test_us_hump():
    road = course(kind="parabolic_hump", height="3 in", length="12 ft")
    assert road.height(np.array([6 * 0.3048]))[0] == pytest.approx(0.0762, abs=1e-12)
    # derived: entry slope 4 h / l
    assert slopes(road)[1] == pytest.approx(4 * 3 / 144, rel=1e-4)


# Indonesian ministry rule as reported: a bump of 50 to 90 mm on 350 to 390 mm with slopes up to 50 %, a hump of 80 to 150 mm with a
# top of 300 to 900 mm and slopes up to 15 %, a table of 80 to 90 mm with a top of 6.6 m.
@pytest.mark.parametrize(
    ("height", "top", "slope"), [(90, 30, 0.5), (50, 150, 0.5), (80, 300, 0.15), (150, 900, 0.15), (90, 6600, 0.15)]
)
def test_indonesian_bump_hump_and_table(height, top, slope):
    road = course(kind="flat_topped_hump", height=f"{height} mm", plateau=f"{top} mm", ramp=f"{height / slope} mm")
    assert slopes(road).max() == pytest.approx(slope, rel=1e-9)
    assert road.length_m == pytest.approx(1e-3 * (top + 2 * height / slope))
    if slope == 0.5:
        assert 0.35 <= road.length_m <= 0.39


def test_flat_has_no_height():
    road = course(kind="flat", length="5 m")
    assert isinstance(road.items[0], Flat)
    assert not road.height(np.linspace(-1.0, 6.0, 50)).any()
