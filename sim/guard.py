"""Stability guard: how small a step the explicit integrator needs for a set-up."""

from dataclasses import replace
from math import ceil

import numpy as np
import numpy.typing as npt

from sim.errors import RunError
from sim.kernel import layout as at
from sim.lower import Lowered
from sim.rest import Equations, Rest

LIMIT = 1.5
"""Largest |eigenvalue| x step that is accurate and well inside the method's stability (2.78)."""

FRICTION_SPEED = 3.0
"""Travel speed [m/s] up to which interleaf friction must be followed."""

MOST_SUBSTEPS = 128
"""Past this a run is refused: something is thousands of times stiffer than a truck."""


def fastest_rate(setup: Lowered, rest: Rest) -> float:
    """Return the largest |eigenvalue| [1/s] of the equations at rest and against every stop and end.

    The Jacobian by central differences at rest, at full bump, at full droop, with the dampers on their steepest
    stretch: near rest, where seal friction acts, or at the end of a bleed, before a valve opens.
    """
    equations = Equations(_steepest(setup))
    rates = [_eigenvalue(equations, rest.state)]
    for jounce in _extremes(setup):
        state = rest.state.copy()
        state[[at.JOUNCE, at.JOUNCE + 2]] = jounce
        rates.append(_eigenvalue(equations, state))
    rates += [FRICTION_SPEED * a.friction_build_up for a in setup.axles.values() if a.friction > 0.0]
    return max(rates)


def _steepest(setup: Lowered) -> Lowered:
    """Return the set-up with every damper curve as steep everywhere as it is at its steepest, whatever the speed there."""
    lines = []
    for named in setup.lines:
        knots: tuple[at.Knot, ...] = ()
        for sense in (1.0, -1.0):
            rises = sorted((knot.start, knot.slope) for knot in named.knots if knot.sense == sense)
            slope = most = 0.0
            for _, change in rises:
                slope += change
                most = max(most, slope)
            knots += (at.Knot(sense, 0.0, most),) if most > 0.0 else ()
        lines.append(named._replace(knots=knots))
    return replace(setup, lines=tuple(lines))


def _extremes(setup: Lowered) -> list[tuple[float, float]]:
    """Return jounces (front, rear) just past the stops, and near the ends of the guides' range."""
    low, high = [], []
    for name in ("front", "rear"):
        axle, path = setup.axles[name], setup.paths[name]
        span = path.range_m
        squeeze = setup.vehicle.front.stop if name == "front" else setup.vehicle.rear.stop
        high.append(min(axle.stop_gap + squeeze.squeeze, span[1]) if squeeze else 0.5 * span[1])
        low.append(0.5 * span[0])
    return [(low[0], low[1]), (high[0], high[1])]


def _eigenvalue(equations: Equations, state: npt.NDArray[np.float64]) -> float:
    """Return the largest |eigenvalue| of the motion's Jacobian at a state [1/s]."""
    jacobian = np.empty((at.MOTION, at.MOTION))
    for column in range(at.MOTION):
        step = np.zeros(at.STATES)
        size = 1e-3 if column in (at.FRICTION, at.FRICTION + 1) else 1e-6
        step[column] = size
        ahead = equations.derivative(state + step)
        behind = equations.derivative(state - step)
        jacobian[:, column] = (ahead - behind)[: at.MOTION] / (2.0 * size)
    if not np.all(np.isfinite(jacobian)):
        return 0.0
    return float(np.max(np.abs(np.linalg.eigvals(jacobian))))


def substeps(rate_per_s: float, step_s: float) -> int:
    """Return into how many parts a step must be cut.

    Raises
    ------
    RunError
        If that is too many: a rate, a damping or a mass is far out of a truck's range.
    """
    parts = max(ceil(rate_per_s * step_s / LIMIT), 1)
    if parts > MOST_SUBSTEPS:
        raise RunError(
            f"Something in this set-up answers within {1e6 / rate_per_s:.0f} millionths of a second, far too stiff for a truck. "
            "Check rates and dampings for a wrong unit, and masses for a missing digit."
        )
    return parts
