"""Energy of dampers and leaf friction over a cycle: exact integrals of any vibration text (Thomson; Rao), recomputed.

The real model as a test machine: a body too heavy to move, axles driven by the road in a sine of about X = 25 mm at 2 Hz
(published-values, section 7).
"""

import numpy as np
import pytest

from sim.integrate.given import Input
from sim.integrate.single import traced
from sim.kernel import layout as at
from sim.lower.lowering import lower
from sim.lower.packed import pack
from sim.lower.rest import rest
from tests.published.textbook import car

W, X = 2 * np.pi * 2.0, 25e-3
CYCLES = 8


def strokes(vehicle, row, amplitude=X):
    """Return the energy [J] that one axle's part takes in the last cycle, and its amplitude of travel [m]."""
    setup = lower(vehicle)
    steps = CYCLES * 500
    time = np.arange(steps + 1) * 1e-3
    height, rate = amplitude * np.sin(W * time), amplitude * W * np.cos(W * time)
    given = Input.of(1e-3, steps, 1, np.array([height] * 2), np.array([rate] * 2), np.zeros(len(time)))
    trace = traced(pack([setup], 1), rest(setup).state.copy(), given)
    jounce = trace[-501:, at.JOUNCE]
    return 0.5 * (trace[-1, row] - trace[-501, row]), 0.5 * np.ptp(jounce)


def machine(damping=0.0, friction=None):
    made = car(
        1e7, 1.69e7, 1.3, 1.3, 2e4, 2e4, unsprung=(2e4, 2e4), tyre_rates=(1e9, 1e9), dampings=(damping, damping),
        friction=friction,
    )  # fmt: skip
    return made.changed({f"{end}.tyre.damping": "3e6 N s/m" for end in ("front", "rear")})


def with_law(law, seal="0 N"):
    given = {f"{end}.dampers.main.valving": law for end in ("front", "rear")}
    return machine(1.0).changed(given | {f"{end}.dampers.main.seal_friction": seal for end in ("front", "rear")})


def test_viscous():
    """pi c w X² = 37.0110 J, 74.0220 W at c = 1500 N s/m."""
    energy, travel = strokes(machine(1500.0), at.LOSS_DAMPERS)
    assert travel == pytest.approx(X, rel=5e-3)  # the tyre gives a little
    assert energy * (X / travel) ** 2 == pytest.approx(37.0110, rel=1e-4)
    assert energy * (X / travel) ** 2 * 2.0 == pytest.approx(74.0220, rel=1e-4)


def test_coulomb():
    """4 F X = 20.000 J at F = 200 N; here it turns round within 10 mm/s of the peak 314 mm/s, which costs (10/314)² / 6."""
    none = {"kind": "straight", "compression": "1e-6 N s/m", "rebound": "1e-6 N s/m"}
    energy, travel = strokes(with_law(none, "200 N"), at.LOSS_DAMPERS)
    ramp = 1 - (0.01 / 0.314159) ** 2 / 6
    assert energy * X / travel == pytest.approx(20.000 * ramp, rel=1e-4)


def test_quadratic():
    """(8/3) q w² X³ = 19.7392 J at q = 3000 N s²/m², as a table every 5 mm/s."""
    table = [{"speed": f"{v!r} m/s", "force": f"{3000 * v * v!r} N"} for v in np.arange(0.005, 0.4, 0.005).tolist()]
    energy, travel = strokes(with_law({"kind": "table", "compression": table, "rebound": table}), at.LOSS_DAMPERS)
    assert energy * (X / travel) ** 3 == pytest.approx(19.7392, rel=2e-3)  # a table is lowered within 2e-3 of its peak


def test_leaf_friction():
    """4 F X, less what the envelope law takes at each turn: 2 b F (1 + tanh(X/b)) (1 - exp(-2 X/b)), derived (SAE 800905)."""
    force, b = 800.0, 2e-3
    friction = {"friction": f"{force} N", "friction_travel": f"{b} m"}
    energy, travel = strokes(machine(friction=friction), at.LOSS_FRICTION)
    turning = 2 * b * force * (1 + np.tanh(travel / b)) * (1 - np.exp(-2 * travel / b))
    assert energy == pytest.approx(4 * force * travel - turning, rel=1e-4)
    assert energy == pytest.approx(4 * force * travel, rel=0.1)
