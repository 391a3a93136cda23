"""Profiles of roads that are kept for the next run: no more than fit into a stated size, however many are asked for."""

import numpy as np

from sim.describe.roads.course import Course
from sim.describe.roads.hermite import Hermite
from sim.describe.roads.in_parts import PART
from sim.integrate.given import _bytes_of, _Profiles


def course(length_m: int, seed: int = 0) -> Course:
    rough = {"kind": "random", "iso_class": "C", "length": f"{length_m} m", "seed": seed}
    return Course.model_validate({"kind": "course", "name": "Rough", "items": [rough]})


def held(profiles: _Profiles) -> int:
    """Bytes of the arrays of all kept profiles, counted on the arrays themselves."""
    curves = [profile.curve for profile in profiles._kept.values()]
    return sum(array.nbytes for curve in curves for array in vars(curve).values() if isinstance(array, np.ndarray))


def test_the_size_that_is_reckoned_is_that_of_the_arrays():
    profiles, rough = _Profiles(), course(300)
    profiles.get(rough, 0.4, 0.1)
    assert abs(held(profiles) / _bytes_of(rough) - 1.0) < 0.05


def test_many_long_roads_do_not_add_up(monkeypatch):
    monkeypatch.setattr(_Profiles, "MOST_BYTES", 10e6)
    profiles = _Profiles()
    for seed in range(6):
        profiles.get(course(100, seed), 0.4, 0.1)
        assert held(profiles) < 1.05 * 10e6
    assert len(profiles._kept) == 3


def test_the_one_that_was_asked_for_last_stays():
    profiles, rough = _Profiles(), course(20)
    first = profiles.get(rough, 0.4, 0.1)
    assert profiles.get(rough, 0.4, 0.1) is first
    assert profiles.get(rough, 0.5, 0.1) is not first


def test_one_road_past_the_size_is_kept_alone(monkeypatch):
    monkeypatch.setattr(_Profiles, "MOST_BYTES", 1e6)
    profiles, long = _Profiles(), course(100)
    profiles.get(course(20), 0.4, 0.1)
    kept = profiles.get(long, 0.4, 0.1)
    assert list(profiles._kept.values()) == [kept]


def test_a_curve_gives_the_same_for_many_places_at_once_as_for_few():
    x = np.linspace(0.0, 50.0, 5001)
    curve = Hermite(x, np.sin(x), np.cos(x))
    places = np.linspace(-1.0, 51.0, 3 * PART + 17)
    at_once = curve.height(places), *curve.height_and_slope(places), curve.integral(places)
    for some in (slice(0, 100), slice(PART - 50, PART + 50), slice(2 * PART - 1, 2 * PART + 2), slice(-30, None)):
        few = curve.height(places[some]), *curve.height_and_slope(places[some]), curve.integral(places[some])
        for whole, part in zip(at_once, few, strict=True):
            assert np.array_equal(whole[some], part)
