"""A drive cut at its obstacles: where each begins and ends, and that what happened there is what is told."""

from dataclasses import replace

import numpy as np
import pytest

from sim.describe.runs import Course
from sim.measure.stretches import felt, nearest_stop, off_ground, stretches
from tests.synthetic import still_run, with_axle

TIME = np.arange(0.0, 20.0, 1e-3)
SPEED = 10.0  # m/s
LEAD = 1.0  # tyres of less than half a metre begin a metre ahead of the course


def drive(*items, time=TIME, **changes):
    course = {"kind": "course", "name": "c", "items": list(items)}
    run = Course.model_validate({"kind": "course", "course": course, "speed": f"{SPEED} m/s"})
    return replace(still_run(time), run=run, **changes)


FLAT = {"kind": "flat", "length": "30 m"}
WASHBOARD = {"kind": "washboard", "pitch": "1 m", "depth": "20 mm", "count": 10, "repeat": 2, "gap": "2 m"}
PLANK = {"kind": "plank", "height": "50 mm", "width": "200 mm"}


def test_from_the_front_wheels_on_to_a_second_after_the_rear_wheels():
    run = drive(FLAT, WASHBOARD, FLAT, PLANK, FLAT)
    first, second = stretches(run)
    base = run.vehicle.wheelbase
    assert (first.name, second.name) == ("washboard", "plank")
    assert first.start_s == pytest.approx((LEAD + 30.0) / SPEED)
    assert first.end_s == pytest.approx(
        (LEAD + 30.0 + 10 + 2 + 10 + base) / SPEED + 1.0
    )  # both, the gap between them too
    assert second.start_s == pytest.approx((LEAD + 30.0 + 24.0 + 30.0) / SPEED)


def test_of_one_kind_they_are_numbered_and_the_next_one_ends_the_last():
    one, two = stretches(drive(FLAT, PLANK, PLANK, FLAT))
    assert (one.name, two.name) == ("plank 1", "plank 2")
    assert one.end_s == pytest.approx(two.start_s)
    assert stretches(replace(still_run(TIME), run=None)) == ()


def test_what_happened_there():
    """An even shake, a squeeze and a lift within one obstacle belong to it alone."""
    run = drive(FLAT, WASHBOARD, FLAT, PLANK, FLAT)
    first, second = stretches(run)
    wave = np.where((second.start_s < TIME) & (second.end_s > TIME), 2.0 * np.sin(2 * np.pi * 8.0 * TIME), 0.0)
    middle = (first.start_s + first.end_s) / 2
    near = np.abs(TIME - middle) < 0.1
    run = replace(run, acceleration_m_per_s2={"driver": wave})
    run = with_axle(run, "rear", jounce_m=np.where(near, run.rear.jounce_at_stop_m + 0.004, 0.0))
    run = with_axle(run, "front", tyre_load_n=np.where(near, 0.0, 9e3))
    assert nearest_stop(run, first) == pytest.approx(-0.004)
    assert nearest_stop(run, second) > 0.05
    assert off_ground(run, first) == pytest.approx(0.2 / (first.end_s - first.start_s), rel=0.02)
    assert off_ground(run, second) == 0.0
    assert felt(run, first, "driver") == 0.0
    # Wk at 8 Hz: 1.036 (ISO 2631-1), less the run-in of the weighting
    assert felt(run, second, "driver") == pytest.approx(2.0 / np.sqrt(2.0) * 1.036, rel=0.05)
    assert np.isnan(felt(run, first, "roof"))


def test_a_run_that_ends_before_an_obstacle_has_no_value_there():
    run = drive(FLAT, PLANK, FLAT, time=TIME[:100])
    (only,) = stretches(run)
    assert np.isnan(nearest_stop(run, only))
    assert np.isnan(off_ground(run, only))
    assert np.isnan(felt(run, only, "driver"))
