"""Quarter cars, decays, friction: published values from the real model's own runs."""

import numpy as np
import pytest
from scipy.signal import argrelmax

from sim.integrate.given import Input
from sim.integrate.single import traced
from sim.kernel import layout as at
from sim.lower.lowering import lower
from sim.lower.packed import pack
from sim.lower.rest import rest
from tests.published.textbook import car, decay, modes

MS, MU, KS, KT = 317.5, 45.4, 22e3, 192e3  # D. Barton, J. Fieldhouse, Automotive Chassis Engineering (2018), 3.13


def two_alike(damping=0.0):
    """Two of the quarter cars, one at each end: bounce and hop do not know of each other's end."""
    return car(
        2 * MS, 2 * MS * 1.5, 1.3, 1.3, KS, KS, unsprung=(MU, MU), tyre_rates=(KT, KT), dampings=(damping, damping)
    )


def test_barton_and_fieldhouse_frequencies():
    """Exact 7.8786 and 68.7086 rad/s, printed 7.87 (cut) and 68.73; mode shapes Zu/Zs 0.10418 and -67.13."""
    run = decay(two_alike(), body_up="1 mm", jounce_front="1 mm", jounce_rear="1 mm", watch="20 s")
    found = modes(run, 2, [run.bounce_m, run.front.wheel_height_m])
    assert found.frequencies == pytest.approx([7.8786, 68.7086], rel=2e-5)
    assert found.frequencies == pytest.approx([7.87, 68.73], rel=2e-3)
    ratios = found.amplitudes[:, 1] / found.amplitudes[:, 0]
    assert ratios == pytest.approx([0.10418, -67.13], rel=2e-3)


@pytest.mark.parametrize(("damping", "hertz", "ratio"), [(750.0, 1.25830, 0.12045), (1500.0, 1.27202, 0.24295)])
def test_barton_damped_body_mode(damping, hertz, ratio):
    """Recomputed from Barton's data: |w|/2 pi and zeta of the body mode, here from the decay itself."""
    run = decay(two_alike(damping), body_up="5 mm", watch="6 s")
    late = run.time_s > 0.25  # the hop has died
    signal, time = run.bounce_m[late], run.time_s[late]
    w, z = 2 * np.pi * hertz, ratio

    def misfit(values):
        w, z = values
        wd = w * np.sqrt(1 - z * z)
        basis = np.array([np.exp(-z * w * time) * f(wd * time) for f in (np.cos, np.sin)]).T
        return (basis @ np.linalg.lstsq(basis, signal, rcond=None)[0] - signal) * 1e3

    from scipy.optimize import least_squares

    found = least_squares(misfit, [1.05 * w, 0.9 * z], xtol=1e-13, ftol=1e-13, gtol=1e-13).x
    assert found == pytest.approx([w, z], rel=2e-4)


def driven(vehicle, frequency, seconds=30.0, amplitude=1e-3):
    """Return the trace over the last second of a run on a sinusoidal road under both axles."""
    steps = int(seconds * 1000)
    time = np.arange(steps + 1) * 1e-3
    w = 2 * np.pi * frequency
    height = amplitude * np.sin(w * time)
    rate = amplitude * w * np.cos(w * time)
    given = Input.of(1e-3, steps, 1, np.array([height, height]), np.array([rate, rate]), np.zeros(steps + 1))
    setup = lower(vehicle)
    trace = traced(pack([setup], 1), rest(setup).state, given)
    last = round(round(4 * frequency) / 4 / frequency * 1000) * 4
    return trace[-last - 1 : -1], time[-last - 1 : -1], w


def fundamental(signal, time, w):
    basis = np.array([np.ones_like(time), np.cos(w * time), np.sin(w * time)]).T
    return np.hypot(*np.linalg.lstsq(basis, signal, rcond=None)[0][1:])


KNEE = {
    "kind": "knee",
    "compression": {"low": "2500 N s/m", "knee": "0.02 m/s", "high": "800 N s/m"},
    "rebound": {"low": "4500 N s/m", "knee": "0.02 m/s", "high": "1500 N s/m"},
}


@pytest.mark.parametrize("damping", [600.0, 1500.0, 4000.0, "knee"])
def test_invariants_whatever_the_suspension(damping):
    """J. K. Hedrick, T. Butsuen, invariant properties of automotive suspensions (IMechE, 1990), from memory.

    At w = sqrt(kt/mu) the body moves by mu/ms of the road; at sqrt(kt/(ms+mu)) the travel is 1 + mu/ms of it: for any
    suspension, non-linear ones too at the fundamental. Tyre damping must be zero.
    """
    vehicle = two_alike(1500.0 if damping == "knee" else damping)
    if damping == "knee":
        vehicle = vehicle.changed({"front.dampers.main.valving": KNEE, "rear.dampers.main.valving": KNEE})
    hop = np.sqrt(KT / MU) / 2 / np.pi
    trace, time, w = driven(vehicle, hop)
    # Phase errors of the fourth-order method and the record's length leave some 1e-4.
    assert fundamental(trace[:, at.Z], time, w) / 1e-3 == pytest.approx(MU / MS, rel=5e-4)
    low = np.sqrt(KT / (MS + MU)) / 2 / np.pi
    trace, time, w = driven(vehicle, low)
    assert fundamental(trace[:, at.JOUNCE], time, w) / 1e-3 == pytest.approx(1 + MU / MS, rel=5e-4)


@pytest.mark.parametrize("zeta", [0.05, 0.10, 0.20, 0.30, 0.40])
def test_free_decay_table(zeta):
    """Ratio per cycle exp(-2 pi zeta/sqrt(1-zeta²)) and overshoot: any vibration text (Thomson, Rao), recomputed."""
    table = {
        0.05: (0.7301, 0.8545), 0.10: (0.5318, 0.7292), 0.20: (0.2773, 0.5266), 0.30: (0.1386, 0.3723), 0.40: (0.0644, 0.2538),
    }[zeta]  # fmt: skip
    mass, rate = 500.0, 20e3
    damping = float(2 * zeta * np.sqrt(rate * mass))
    vehicle = car(2 * mass, 2 * mass * 1.5, 1.2, 1.2, rate, rate, dampings=(damping, damping))
    run = decay(vehicle, body_up="10 mm", watch="4 s")
    bounce = run.bounce_m
    overshoot = -bounce.min() / bounce[0]
    assert overshoot == pytest.approx(table[1], abs=2e-4)
    peaks = argrelmax(bounce)[0]
    first = bounce[peaks[0]] / bounce[0]
    assert first == pytest.approx(table[0], abs=2e-4)


def test_coulomb_decay_loses_4f_over_k_a_cycle():
    """Friction alone takes 4F/k off the amplitude every cycle (any vibration text).

    The pack's friction turns round within a travel beta, not at once: a stroke of 2X then loses F (2X - 2 beta) and a
    cycle takes 4F/k (1 - beta/X) off; derived here from the envelope law. The text's figure is its limit.
    """
    mass, rate, friction = 500.0, 20e3, 40.0
    step = 4 * friction / rate
    means = []
    for travel, beta in (("4 mm", 0.004), ("2 mm", 0.002), ("1 mm", 0.001)):
        pack = {"friction": f"{friction} N", "friction_travel": travel}
        vehicle = car(2 * mass, 2 * mass * 1.5, 1.2, 1.2, rate, rate, friction=pack)
        run = decay(vehicle, body_up="80 mm", watch="8 s")
        heights = run.bounce_m[argrelmax(run.bounce_m)[0]]
        heights = heights[heights > 0.02]
        drops, middles = -np.diff(heights), 0.5 * (heights[1:] + heights[:-1])
        assert drops == pytest.approx(step * (1 - beta / middles), rel=5e-3)
        means.append(drops[:4].mean())
    # Towards beta = 0 by a straight line through the last two.
    assert 2 * means[2] - means[1] == pytest.approx(step, rel=2e-3)


def test_coulomb_friction_holds_within_f_over_k():
    """It stops inside +/- F/k of where the spring alone would put it (any vibration text)."""
    pack = {"friction": "40 N", "friction_travel": "1 mm"}
    vehicle = car(1000.0, 1500.0, 1.2, 1.2, 20e3, 20e3, friction=pack)
    run = decay(vehicle, body_up="30 mm", watch="12 s")
    assert abs(run.bounce_m[-1]) < 1.05 * 40.0 / 20e3
