"""Shares of a damper's time and work by speed, for a sine: closed forms."""

from dataclasses import replace

import numpy as np
import pytest

from sim.describe.parts.dampers.straight import Straight
from sim.measure.speed_shares import knees, middle_speed, shares, time_below_knees, work_past_knees
from sim.measure.travel import ride_height_drift
from tests.synthetic import still_damper, still_run, with_axle

TIME = np.arange(0.0, 20.0, 1e-4)
TOP = 0.5  # peak speed [m/s]
STRAIGHT = Straight.model_validate({"kind": "straight", "compression": "1500 N s/m", "rebound": "1500 N s/m"})


def sine(law=None):
    damper = still_damper("front", "main", TIME)
    return replace(damper, speed_m_per_s=TOP * np.sin(2 * np.pi * 2.0 * TIME), valving=law or damper.valving)


def test_sine_of_a_straight_damper():
    """Time below v: (2/pi) asin(v/V); work of c v² below it: (2/pi)(asin s - s sqrt(1 - s²)), s = v/V."""
    time, work = shares(sine(STRAIGHT), np.array([-0.5, -0.3, 0.0, 0.3, 0.5000001]))
    s = 0.6
    below_time = 2 / np.pi * np.arcsin(s)
    below_work = 2 / np.pi * (np.arcsin(s) - s * np.sqrt(1 - s * s))
    assert time == pytest.approx([(1 - below_time) / 2, below_time / 2, below_time / 2, (1 - below_time) / 2], abs=2e-4)
    assert work == pytest.approx([(1 - below_work) / 2, below_work / 2, below_work / 2, (1 - below_work) / 2], abs=2e-4)
    middle = middle_speed(sine(STRAIGHT)) / TOP
    assert 2 / np.pi * (np.arcsin(middle) - middle * np.sqrt(1 - middle**2)) == pytest.approx(0.5, abs=1e-3)


def test_knees():
    damper = sine()
    assert knees(damper) == (0.12, -0.12)
    assert knees(sine(STRAIGHT)) == ()
    assert np.isnan(work_past_knees(sine(STRAIGHT)))
    assert np.isnan(time_below_knees(sine(STRAIGHT)))
    assert time_below_knees(damper) == pytest.approx(
        2 / np.pi * np.arcsin(0.12 / TOP), abs=1e-3
    )  # samples are a 5000th apart
    # By hand on a fine grid of the sine: bump 1.9 and .9, rebound 5.2 and 1.9 kN s/m.
    v = TOP * np.sin(2 * np.pi * (np.arange(100_000) + 0.5) / 100_000)
    force = np.where(v > 0, 1900 * np.clip(v, 0, 0.12) + 900 * np.clip(v - 0.12, 0, None), 0)
    force -= np.where(v < 0, 5200 * np.clip(-v, 0, 0.12) + 1900 * np.clip(-v - 0.12, 0, None), 0)
    power = force * v
    assert work_past_knees(damper) == pytest.approx(power[np.abs(v) > 0.12].sum() / power.sum(), abs=1e-3)


def test_a_damper_that_does_not_move_has_no_work():
    still = still_damper("front", "main", TIME)
    assert np.isnan(middle_speed(still))
    assert shares(still, np.array([-1.0, 0.0, 1.0]))[1] == pytest.approx([0.0, 0.0])


def test_ride_height_drift():
    """Mean travel up to the release, from where it stood."""
    time = np.arange(0.0, 4.0, 1e-3)
    run = replace(still_run(time), released_s=2.0)
    sunk = run.front.jounce_rest_m + np.where(time <= 2.0, 0.012, 0.5)
    assert ride_height_drift(with_axle(run, "front", jounce_m=sunk), "front") == pytest.approx(0.012, abs=1e-5)
    assert ride_height_drift(run, "rear") == pytest.approx(0.0, abs=1e-12)
    assert np.isnan(ride_height_drift(replace(run, released_s=0.0), "rear"))
