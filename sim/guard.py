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

HOP, FRICTION_N = 60.0, 3000.0
SIZES = np.array([1.0 / HOP] * at.COORDINATES + [1.0] * at.COORDINATES + [FRICTION_N] * at.AXLES)
"""Sizes in which motions are of like weight: positions at about the rate [1/s] of wheel hop, speeds, friction forces [N]."""

TRIED = 1000.0
"""Slope [N s/m] by which a damper is stiffened to see what that does."""

MOST_SUBSTEPS = 128
"""Past this a run is refused: something is thousands of times stiffer than a truck."""


def fastest_rate(setup: Lowered, rest: Rest) -> float:
    """Return the largest |eigenvalue| [1/s] of the equations at rest and against every stop and end.

    The Jacobian by central differences at rest, at full bump, at full droop, with the dampers on their steepest
    stretch: near rest, where seal friction acts, or at the end of a bleed, before a valve opens.
    """
    rates = [_eigenvalue(jacobian) for jacobian in _jacobians(setup, rest)]
    rates += [FRICTION_SPEED * a.friction_build_up for a in setup.axles.values() if a.friction > 0.0]
    return max(rates)


class Revalving:
    """How the fastest rate moves with the dampers' laws, everything else as it is.

    At rest the equations are linear in each law's slope, taken at its steepest, so one Jacobian a damper tells of all valvings.
    """

    def __init__(self, setup: Lowered, rest: Rest) -> None:
        self._plain = _jacobians(setup, rest)
        self._friction = max(
            (FRICTION_SPEED * a.friction_build_up for a in setup.axles.values() if a.friction > 0.0), default=0.0
        )
        self._slopes = np.array([slope_about_zero(line.knots) for line in _steepest(setup).lines])
        self._per_slope = np.zeros((len(setup.lines), *self._plain.shape))
        more = tuple(at.Knot(sense, 0.0, TRIED) for sense in (1.0, -1.0))
        for number, line in enumerate(setup.lines):
            if line.role == "damper":
                lines = (*setup.lines[:number], line._replace(knots=line.knots + more), *setup.lines[number + 1 :])
                self._per_slope[number] = (_jacobians(replace(setup, lines=lines), rest) - self._plain) / TRIED

    def fastest_rate(self, setup: Lowered, step_s: float) -> float:
        """Return the largest |eigenvalue| [1/s] of a set-up that differs in laws only.

        Exact where it matters: a norm, which is never less, is returned if by it one step is enough.
        """
        change = np.array([slope_about_zero(line.knots) for line in _steepest(setup).lines]) - self._slopes
        every = self._plain + np.tensordot(change, self._per_slope, 1)
        if not np.all(np.isfinite(every)):
            return self._friction
        bound = float(np.max(np.sum(np.abs(every / SIZES[:, None] * SIZES), axis=-1)))
        if max(bound, self._friction) * step_s <= LIMIT:
            return max(bound, self._friction)
        return max(float(np.max(np.abs(np.linalg.eigvals(every)))), self._friction)


def slope_about_zero(knots: tuple[at.Knot, ...]) -> float:
    """Return the slope [N s/m] of ramps about zero speed, the mean of both sides."""
    return 0.5 * sum(knot.slope for knot in knots if knot.start == 0.0)


def _jacobians(setup: Lowered, rest: Rest) -> npt.NDArray[np.float64]:
    """Return the Jacobians (3, MOTION, MOTION) at rest, at full bump and at full droop."""
    equations = Equations(_steepest(setup))
    found = [_jacobian(equations, rest.state)]
    for jounce in _extremes(setup):
        state = rest.state.copy()
        state[[at.JOUNCE, at.JOUNCE + 2]] = jounce
        found.append(_jacobian(equations, state))
    return np.array(found)


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


def _jacobian(equations: Equations, state: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """Return the motion's Jacobian at a state."""
    jacobian = np.empty((at.MOTION, at.MOTION))
    for column in range(at.MOTION):
        step = np.zeros(at.STATES)
        size = 1e-3 if column in (at.FRICTION, at.FRICTION + 1) else 1e-6
        step[column] = size
        ahead = equations.derivative(state + step)
        behind = equations.derivative(state - step)
        jacobian[:, column] = (ahead - behind)[: at.MOTION] / (2.0 * size)
    return jacobian


def _eigenvalue(jacobian: npt.NDArray[np.float64]) -> float:
    """Return the largest |eigenvalue| of a Jacobian [1/s]."""
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
