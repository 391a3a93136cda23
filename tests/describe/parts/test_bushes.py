"""End bushes: the reduced series pair against the full one (damper in series with a spring)."""

import itertools

import numpy as np
import pytest

from sim.integrate.given import Input
from sim.integrate.single import traced
from sim.kernel import layout as at
from sim.lower.lowering import lower
from sim.lower.packed import pack
from sim.lower.rest import rest
from tests.describe.parts.test_placement import STRAIGHT, axle_centre, mount, place, with_damper


def driven(bush, hertz, law=None, steps=4000, step=1e-3):
    """Trace of a car on a sinusoidal road of 5 mm, its damper on bushes."""
    vehicle, _ = with_damper(STRAIGHT, place(0.0, axle_centre(300e3) + 0.5), mount(0.0, 0.0), law=law)
    vehicle = vehicle.changed({"front.dampers.main.bush_rate": bush}) if bush else vehicle
    setup = lower(vehicle)
    time = np.arange(steps + 1) * step
    w = 2 * np.pi * hertz
    heights = 0.005 * np.sin(w * time) * np.ones((2, 1))
    rates = 0.005 * w * np.cos(w * time) * np.ones((2, 1))
    trace = traced(pack([setup], 1), rest(setup).state, Input.of(step, steps, 1, heights, rates, np.zeros(steps + 1)))
    number = next(i for i, line in enumerate(setup.lines) if line.role == "damper")
    channel = at.TRACE_LINES + number * at.LINE_CHANNELS
    return time, trace[:, channel + at.LINE_SPEED], trace[:, channel + at.LINE_LAW]


@pytest.mark.parametrize("hertz", [1.5, 6.0, 12.0])
def test_straight_damper_on_a_bush_is_a_maxwell_element(hertz):
    """Force over speed in a steady sine: c/(1 + i w c/k), any rheology text (Maxwell element)."""
    time, speed, force = driven("400 N/mm", hertz)
    late = time > 2.0
    w = 2 * np.pi * hertz
    basis = np.exp(-1j * w * time[late])
    ratio = np.sum(force[late] * basis) / np.sum(speed[late] * basis)
    assert ratio == pytest.approx(1000.0 / (1 + 1j * w * 1000.0 / 400e3), rel=2e-3)


KNEE = {
    "kind": "knee",
    "compression": {"low": "4 kN s/m", "knee": "0.08 m/s", "high": "0.8 kN s/m"},
    "rebound": {"low": "6 kN s/m", "knee": "0.08 m/s", "high": "1.5 kN s/m"},
}


def full_pair(time, speed, rate):
    """df/dt = k (v - u), f = law(u), in steps a fiftieth of the record's: the pair itself, with the law inverted."""
    us = np.array([-9.0, -0.08, 0.0, 0.08, 9.0])
    fs = np.array([-(6e3 * 0.08 + 1.5e3 * 8.92), -6e3 * 0.08, 0.0, 4e3 * 0.08, 4e3 * 0.08 + 0.8e3 * 8.92])
    parts = 50
    h = (time[1] - time[0]) / parts
    force, out = 0.0, [0.0]
    for v0, v1 in itertools.pairwise(speed):
        for i in range(parts):
            v = v0 + (v1 - v0) * (i + 0.5) / parts
            half = force + 0.5 * h * rate * (v - np.interp(force, fs, us))
            force += h * rate * (v - np.interp(half, fs, us))
        out.append(force)
    return np.array(out)


def test_knee_damper_on_bushes_follows_the_full_pair():
    time, speed, force = driven("800 N/mm", 9.0, law=KNEE, steps=1000)
    exact = full_pair(time, speed, 800e3)
    assert np.max(np.abs(force - exact)) < 0.01 * np.max(np.abs(exact))
    rms = np.sqrt(np.mean((force - exact) ** 2) / np.mean(exact**2))
    assert rms < 2e-3


def test_error_of_the_reduction_falls_with_the_step():
    """By half with each halving of the step; not evenly, as steps with a knee in them are done again, whole or in parts."""
    misses = []
    for step, steps in ((1e-3, 1000), (5e-4, 2000), (2.5e-4, 4000), (1.25e-4, 8000)):
        time, speed, force = driven("800 N/mm", 9.0, law=KNEE, steps=steps, step=step)
        exact = full_pair(time, speed, 800e3)
        misses.append(np.sqrt(np.mean((force - exact) ** 2)))
    assert misses == sorted(misses, reverse=True)
    assert misses[3] < 0.5**3 * misses[0]


def test_stiffer_bushes_tend_to_rigid_ends():
    _, _, rigid = driven(None, 9.0, law=KNEE, steps=1000)
    gaps = []
    for bush in ("2 kN/mm", "20 kN/mm", "200 kN/mm"):
        _, _, force = driven(bush, 9.0, law=KNEE, steps=1000)
        gaps.append(np.max(np.abs(force - rigid)))
    assert gaps[0] > gaps[1] > gaps[2]
    assert gaps[2] < 0.01 * np.max(np.abs(rigid))
