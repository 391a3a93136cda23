"""A random road that is driven over and over does not repeat: each lap is another road of the same class."""

import numpy as np
import pytest
from scipy.signal import welch

from sim.describe.roads.course import Course
from sim.describe.roads.random_road import RandomRoad, class_density
from sim.lower.road.lap import Lap, circuit

LENGTH, SPACING = 600.0, 0.05
RANDOM = {"kind": "random", "iso_class": "D", "length": f"{LENGTH} m", "seed": 7}
IRREGULAR = {
    "kind": "washboard",
    "pitch": "0.6 m",
    "depth": "20 mm",
    "count": 50,
    "pitch_scatter": "20 %",
    "depth_scatter": "30 %",
}
X = np.arange(0.0, LENGTH, SPACING)


def course(*items):
    return Course.model_validate({"kind": "course", "name": "a track", "items": items})


def lap_of(*items):
    own = course(*items)
    return Lap(own, own.length_m)


def test_the_first_lap_is_the_course_itself():
    road = lap_of(RANDOM)
    assert np.array_equal(road.height(X), road.course.height(X))
    assert course(RANDOM).anew(0) == course(RANDOM)


@pytest.mark.parametrize("item", [RANDOM, IRREGULAR])
def test_no_lap_is_like_another(item):
    """Heights of two laps go together by chance alone: correlations of a dozen pairs are small and of both signs."""
    road = lap_of(item)
    period = road.course.length_m
    x = np.arange(0.0, period, SPACING)
    laps = np.array([road.height(x + n * period) for n in range(5)])
    laps -= laps.mean(axis=1, keepdims=True)
    pairs = np.corrcoef(laps)[np.triu_indices(5, 1)]
    assert (
        np.max(np.abs(pairs)) < 0.6
    )  # of 600 m with waves of 90 m, half a dozen independent ones carry most of the height
    assert np.ptp(pairs) > 0.05
    assert len({one.tobytes() for one in laps}) == 5


def test_every_lap_is_of_the_same_class():
    """Spectrum of slopes by Welch's method over twelve laps: (2 pi n)² Gd(n0) (n/n0)^-2 is the same at every n (ISO 8608)."""
    road = lap_of(RANDOM)
    level = (2.0 * np.pi) ** 2 * class_density("D") * 0.1**2
    spectra = []
    for number in range(12):
        slope = np.gradient(road.height(X + number * LENGTH), SPACING)
        n, density = welch(slope[1000:-1000], 1.0 / SPACING, nperseg=2048)  # both ends are grown in
        band = (n > 0.05) & (n < 1.0)
        spectra.append(np.mean(density[band]))
    assert np.mean(spectra) == pytest.approx(level, rel=0.05)
    assert np.std(spectra) < 0.15 * level
    rms = [np.sqrt(np.mean(road.height(X + k * LENGTH) ** 2)) for k in range(12)]
    # Variance of height is the band's: Gd(n0) n0² (longest - shortest wave); one lap has it within chance.
    assert np.sqrt(np.mean(np.square(rms))) == pytest.approx(np.sqrt(class_density("D") * 0.01 * 90.5), rel=0.25)


def test_laps_meet_without_a_jump():
    road = lap_of({"kind": "flat", "length": "5 m"}, RANDOM)
    period = road.course.length_m
    for number in (1, 2, 7):
        at = number * period + np.array([-1e-6, 0.0, 1e-6])
        assert np.ptp(road.height(at)) < 1e-6


def test_a_course_without_chance_repeats():
    road = lap_of({"kind": "washboard", "pitch": "0.6 m", "depth": "20 mm", "count": 50})
    assert not road.course.is_drawn
    x = np.linspace(0.0, 29.0, 500)
    assert road.height(x + 5 * 30.0) == pytest.approx(road.height(x), abs=1e-9)


def test_a_drive_is_cut_out_of_laps_as_they_come():
    """A piece over three laps: at each step the height that the tyre feels of that lap's own road."""
    own = course(RANDOM | {"length": "60 m"})
    speed, step = 12.0, 1e-3
    laps = circuit(own, speed, step, 2.496, ((0.4, 0.17), (0.4, 0.17)))
    first = int(0.9 * laps.steps)
    heights, rates = laps.cut(first, 2 * laps.steps)
    again, _ = laps.cut(first, 2 * laps.steps)
    assert np.array_equal(heights, again)
    road = Lap(own, laps.steps * step * speed)
    centre = speed * step * (first + np.arange(2 * laps.steps + 1))
    # Rolled over by a disc and averaged it lies on or a little above the road.
    above = heights[0] - road.height(centre)
    assert np.min(above) > -5e-3
    assert np.mean(above) < 2e-3
    assert np.corrcoef(heights[0], road.height(centre))[0, 1] > 0.999
    assert heights[0] == pytest.approx(
        heights[0][0] + np.r_[0.0, np.cumsum(0.5 * (rates[0][1:] + rates[0][:-1]) * step)], abs=1e-4
    )
    # Behind, the same road a wheelbase later.
    late = round(2.496 / speed / step)
    assert heights[1][late:] == pytest.approx(heights[0][: heights.shape[1] - late], abs=1e-5)


def test_drawing_anew_keeps_what_a_road_is():
    road = RandomRoad.model_validate(RANDOM)
    other = road.anew(3)
    assert (other.length_m, other.iso_class) == (road.length_m, road.iso_class)
    assert other.seed != road.seed
    assert not np.allclose(other.height_at(X), road.height_at(X))
    ends = np.array([0.0, LENGTH])
    assert other.height_at(ends) == pytest.approx(road.height_at(ends), abs=1e-12)
