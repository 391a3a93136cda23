"""Slip and swinging force of a launch: what steady spin, hop and tramp each do, on signals whose answer is known."""

from math import pi, sqrt

import numpy as np
import pytest

from sim.integrate.traces import DriveTrace, WheelTrace
from sim.measure.driving import TREND_S, sliding_share, swing_count, traction_swing
from tests.synthetic import still_run, with_axle

TIME = np.arange(0.0, 4.0, 1e-3)
SWING = np.sin(2.0 * pi * 3.0 / TREND_S * TIME)
"""Three swings in the time of its mean, 8.6 Hz: tramp and hop are near it, and the mean holds nothing of them."""

REST_N = 10_000.0


def pulling(slip, traction_n, load_n=REST_N, wind_up_rad=0.0):
    """A truck at 2 m/s whose rear axle pulls so; what is given as a number stays."""
    slip, traction_n, load_n, wind_up_rad = (
        np.broadcast_to(v, TIME.shape) for v in (slip, traction_n, load_n, wind_up_rad)
    )
    zero = np.zeros_like(TIME)
    front = WheelTrace(zero, zero, zero, zero, zero, zero, zero)
    rear = WheelTrace(zero + 8.0, slip, traction_n, zero, zero, zero, zero)
    drive = DriveTrace(2.0 * TIME, zero + 2.0, zero, zero, front, rear, 0.0, None, True)
    return with_axle(still_run(TIME, drive=drive), "rear", tyre_load_n=load_n, wind_up_rad=wind_up_rad)


def test_steady_spin_uses_up_grip_and_is_no_tramp():
    run = pulling(slip=0.8, traction_n=0.62 * REST_N, wind_up_rad=0.1)
    assert sliding_share(run, "rear") == pytest.approx(1.0)
    assert traction_swing(run, "rear") == pytest.approx(0.0, abs=1e-12)
    assert swing_count(run, "rear") == 0.0


def test_an_axle_that_hops_without_spin_swings_and_does_not_slip():
    """A sine's standard deviation is its size over the root of two: 1.5 kN of 10 kN is 10.6 %."""
    run = pulling(0.03, 2000.0 + 1500.0 * SWING, REST_N + 3000.0 * SWING, 0.05 * SWING)
    assert sliding_share(run, "rear") == 0.0
    # Its ends have half a mean only.
    assert traction_swing(run, "rear") == pytest.approx(0.15 / sqrt(2.0), rel=0.01)
    assert swing_count(run, "rear") == pytest.approx(3.0 / TREND_S * TIME[-1], abs=1.0)


def test_tramp_does_not_slip_less_than_the_same_slip_held_steadily():
    """From grip to spin and back it is past a quarter for two thirds of the time alone: sin x > -1/2."""
    steady, tramp = pulling(0.5, 6500.0), pulling(0.5 + 0.5 * SWING, 6500.0 + 2500.0 * SWING)
    assert np.mean(tramp.drive.rear.slip > 0.25) == pytest.approx(2.0 / 3.0, abs=0.01)
    assert sliding_share(tramp, "rear") == sliding_share(steady, "rear") == pytest.approx(1.0)
    assert traction_swing(tramp, "rear") > 0.15 > traction_swing(steady, "rear")


def test_force_that_rises_with_the_throttle_is_no_swing():
    """A rise over seconds is followed by its mean, but for the ends."""
    ramp = 6000.0 * TIME / TIME[-1]
    assert traction_swing(pulling(0.05, ramp), "rear") < 0.01
