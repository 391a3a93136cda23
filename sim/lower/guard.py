"""Stability guard: how small a step the explicit integrator needs for a set-up."""

from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from math import ceil

import numpy as np
import numpy.typing as npt

from sim.describe.lowered import Lowered
from sim.errors import RunError
from sim.kernel import layout as at
from sim.kernel.integrate import run_single
from sim.lower.lanes import LaneEquations
from sim.lower.packed import UNWATCHED, Packed
from sim.lower.rest import Equations, Rest
from sim.lower.road.samples import BEFORE, lifted
from sim.machine.jit import BLOCK, COMPILES, WIDE, bound, is_cached

LIMIT = 1.0
"""Largest |eigenvalue| x step: every damped motion is stable up to 1.18 (tests/kernel/test_stepping.py)."""

FRICTION_SPEED = 3.0
"""Travel speed [m/s] up to which interleaf friction must be followed."""

HOP, FRICTION_N = 60.0, 3000.0
SIZES = np.array([1.0 / HOP] * at.COORDINATES + [1.0] * at.COORDINATES + [FRICTION_N] * at.AXLES)
"""Sizes in which motions are of like weight: positions at about the rate [1/s] of wheel hop, speeds, friction forces [N]."""

NUDGES = np.full(at.MOTION, 1e-6)
NUDGES[at.FRICTION :] = 1e-3
"""Steps of derivatives [m, rad, their rates, N]."""

TRIED = 1000.0
"""Slope [N s/m] by which a damper is stiffened to see what that does."""

MOST_SUBSTEPS = 192
"""Past this a run is refused: something is thousands of times stiffer than a truck."""


def fastest_rate(setup: Lowered, rest: Rest) -> float:
    """Return the largest |eigenvalue| [1/s] of the equations at rest and against every stop and end.

    The Jacobian by central differences at rest, at full bump, at full droop, with the dampers on their steepest
    stretch: near rest, where seal friction acts, or at the end of a bleed, before a valve opens.
    """
    rates = [_eigenvalue(jacobian) for jacobian in _jacobians(setup, rest)]
    return max(*rates, _of_friction(setup))


def _of_friction(setup: Lowered) -> float:
    """Return the rate of interleaf friction [1/s]: |speed| / build-up travel, nothing at rest, so no Jacobian there shows it."""
    return max((FRICTION_SPEED * a.friction_build_up for a in setup.axles.values() if a.friction > 0.0), default=0.0)


def fastest_rates(setups: Sequence[Lowered], rests: Sequence[Rest], step_s: float) -> list[float]:
    """Return the largest |eigenvalue| [1/s] of set-ups at rest, as `fastest_rate` does for one.

    Exact where it matters: a bound, which is never less, is returned if by it one step is enough.

    Parameters
    ----------
    setups : sequence of Lowered
        At most BLOCK that are `alike`.
    rests : sequence of Rest
    step_s : float
        Step [s] that is to be cut.
    """
    if not _has_lanes():
        return [fastest_rate(setup, rest) for setup, rest in zip(setups, rests, strict=True)]
    jacobians = _jacobians_in_lanes(setups, rests)
    rates = []
    for matrices, most, setup in zip(jacobians, _bounds(jacobians).tolist(), setups, strict=True):
        friction = _of_friction(setup)
        # `not <=` and not `>`: a bound that is no number must not pass as small. Eigenvalues take some hundred times as long.
        if not most * step_s <= LIMIT:
            most = max(_eigenvalue(jacobian) for jacobian in matrices)
        rates.append(max(most, friction))
    return rates


@cache
def _has_lanes() -> bool:
    """Tell whether the block of double precision is compiled: to compile it takes longer than a sweep's steps without it."""
    return COMPILES and is_cached(WIDE)


class Revalving:
    """How the fastest rate moves with the dampers' laws, everything else as it is.

    At rest the equations are linear in each law's slope, taken at its steepest, so one Jacobian a damper tells of all valvings.
    """

    def __init__(self, setup: Lowered, rest: Rest) -> None:
        self._plain = _jacobians(setup, rest)
        self._friction = _of_friction(setup)  # set by the leaf packs, which no damper law moves
        self._lines = setup.lines
        self._slopes = np.array([steepest_about_zero(line.knots) for line in setup.lines])
        self._powers: dict[int, npt.NDArray[np.float64]] = {}
        self._per_slope = np.zeros((len(setup.lines), *self._plain.shape))
        # A ramp from zero speed adds its slope on that side to the steepest stretch, wherever that is.
        more = tuple(at.Knot(sense, 0.0, TRIED) for sense in (1.0, -1.0))
        for number, line in enumerate(setup.lines):
            if line.role == "damper":  # coils and straps have no law; end bushes and links keep theirs
                lines = (*setup.lines[:number], line._replace(knots=line.knots + more), *setup.lines[number + 1 :])
                self._per_slope[number] = (_jacobians(replace(setup, lines=lines), rest) - self._plain) / TRIED

    def fastest_rates(self, setups: Sequence[Lowered], step_s: float) -> list[float]:
        """Return the largest |eigenvalue| [1/s] of set-ups that differ in laws only.

        Exact where it matters: a bound, which is never less, is returned if by it one step is enough.
        """
        changes = np.array([self._slopes_of(setup) for setup in setups]) - self._slopes
        moved = np.flatnonzero(changes.any(axis=0)).tolist()
        if len(moved) == 1:
            along = self._bounds_along(moved[0], changes[:, moved[0]])
            if np.all(along * step_s <= LIMIT):  # false of what is no number
                return [max(most, self._friction) for most in along.tolist()]
        every = np.broadcast_to(self._plain, (len(setups), *self._plain.shape)).copy()
        # One by one, so that neighbours do not matter to the last bit.
        for number in moved:
            every += changes[:, number, None, None, None] * self._per_slope[number]
        finite = np.asarray(np.isfinite(every).all(axis=(1, 2, 3)))
        bounds = _bounds(every)
        rates = []
        for matrices, known, most in zip(every, finite.tolist(), bounds.tolist(), strict=True):
            # `not <=` and not `>`: a bound that is no number must not pass as small. Eigenvalues of a block take some
            # 3 to 7 ms, the bound 0.4 (docs/decisions/blocks.md).
            if known and not max(most, self._friction) * step_s <= LIMIT:
                most = float(np.max(np.abs(np.linalg.eigvals(matrices))))
            # A Jacobian that is not finite tells no rate; a run that then blows up is flagged.
            rates.append(max(most, self._friction) if known else self._friction)
        return rates

    def _bounds_along(self, number: int, changes: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        """Return the bounds of `_bounds` for changes (n,) of one line's slope: the fourth power is a polynomial of that, worked out once."""
        if number not in self._powers:
            here, by_slope = (one * (SIZES / SIZES[:, None]) for one in (self._plain, self._per_slope[number]))
            square = [here @ here, here @ by_slope + by_slope @ here, by_slope @ by_slope]
            fourth = [sum(square[i] @ square[k - i] for i in range(3) if 0 <= k - i < 3) for k in range(5)]
            self._powers[number] = np.reshape(fourth, (5, -1))
        with np.errstate(all="ignore"):  # one of them may not be finite
            powers = changes[:, None] ** np.arange(5) @ self._powers[number]
            rows = np.abs(powers).reshape(-1, at.MOTION).sum(axis=1)
        bounds: npt.NDArray[np.float64] = rows.reshape(len(changes), -1).max(axis=1) ** 0.25
        return bounds

    def _slopes_of(self, setup: Lowered) -> list[float]:
        return [
            known if line.knots is own.knots else steepest_about_zero(line.knots)
            for line, own, known in zip(setup.lines, self._lines, self._slopes.tolist(), strict=True)
        ]


def steepest_about_zero(knots: tuple[at.Knot, ...]) -> float:
    """Return the slope [N s/m] of ramps about zero speed, the mean of both sides, as if they were as steep as anywhere."""
    return 0.5 * (_steepest_slope(knots, 1.0) + _steepest_slope(knots, -1.0))


def _bounds(jacobians: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """Return what no |eigenvalue| [1/s] exceeds, the greatest over the states, of Jacobians (setups, states, MOTION, MOTION).

    The fourth root of a norm of the fourth power (R. A. Horn, C. R. Johnson, Matrix Analysis, 5.6): a truck's Jacobian is far
    from normal, and the norm itself is several times as large.
    """
    # Similar matrices have the same eigenvalues; in these sizes no entry is large for its unit alone.
    scaled = jacobians * (SIZES / SIZES[:, None])
    with np.errstate(all="ignore"):  # one of them may not be finite
        squares = scaled @ scaled
        bounds: npt.NDArray[np.float64] = np.abs(squares @ squares).sum(axis=-1).max(axis=(1, 2)) ** 0.25
    return bounds


def _jacobians(setup: Lowered, rest: Rest) -> npt.NDArray[np.float64]:
    """Return the Jacobians (3, MOTION, MOTION) at rest, at full bump and at full droop."""
    equations = Equations(_steepest(setup))
    jacobians = [_jacobian(equations, rest.state)]
    for jounce in _extremes(setup):
        state = rest.state.copy()
        state[[at.JOUNCE, at.JOUNCE + 2]] = jounce
        jacobians.append(_jacobian(equations, state))
    return np.array(jacobians)


def steepest(knots: tuple[at.Knot, ...]) -> tuple[at.Knot, ...]:
    """Return ramps that are as steep everywhere as a curve is at its steepest, either side for itself."""
    ramps = [at.Knot(sense, 0.0, _steepest_slope(knots, sense)) for sense in (1.0, -1.0)]
    return tuple(knot for knot in ramps if knot.slope > 0.0)


def _steepest_slope(knots: tuple[at.Knot, ...], sense: float) -> float:
    """Return the largest slope [N s/m] of a curve on one side; 0 if it has none."""
    slope = most = 0.0
    for _, change in sorted([knot[1:] for knot in knots if knot[0] == sense]):
        slope += change  # a negative change is a curve that bends over: the steepest stretch may be any
        if slope > most:
            most = slope
    return most


def _steepest(setup: Lowered) -> Lowered:
    """Return the set-up with every damper curve as steep everywhere as it is at its steepest, whatever the speed there."""
    return replace(setup, lines=tuple(line._replace(knots=steepest(line.knots)) for line in setup.lines))


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
    steps = np.zeros((at.MOTION, at.STATES))
    steps[range(at.MOTION), range(at.MOTION)] = NUDGES
    rates = _motions(equations.packed, np.concatenate([state + steps, state - steps]))
    jacobian: npt.NDArray[np.float64] = ((rates[: at.MOTION] - rates[at.MOTION :]) / (2.0 * NUDGES[:, None])).T
    return jacobian


def _jacobians_in_lanes(setups: Sequence[Lowered], rests: Sequence[Rest]) -> npt.NDArray[np.float64]:
    """Return the Jacobians (setups, 3, MOTION, MOTION) of set-ups that are alike, at the states of `_jacobians`."""
    equations = LaneEquations([_steepest(setup) for setup in setups])
    lanes = [min(lane, len(setups) - 1) for lane in range(BLOCK)]  # spare ones repeat the last set-up
    standing = np.array([rests[lane].state for lane in lanes]).T
    jounces = np.array([_extremes(setups[lane]) for lane in lanes])  # (BLOCK, 2, AXLES)
    jacobians = np.empty((3, at.MOTION, at.MOTION, BLOCK))  # state, rate, by what
    for number in range(3):
        state = standing.copy()
        if number:
            state[[at.JOUNCE, at.JOUNCE + 2]] = jounces[:, number - 1].T
        for row, nudge in enumerate(NUDGES.tolist()):
            here = state[row].copy()
            column = jacobians[number, :, row]
            state[row] = here + nudge
            column[at.COORDINATES :] = equations.accelerations(state)
            column[: at.COORDINATES] = state[at.COORDINATES : 2 * at.COORDINATES]
            state[row] = here - nudge
            column[at.COORDINATES :] -= equations.accelerations(state)
            column[: at.COORDINATES] -= state[at.COORDINATES : 2 * at.COORDINATES]
            column /= 2.0 * nudge
            state[row] = here
    return np.ascontiguousarray(np.moveaxis(jacobians, -1, 0)[: len(setups)])


def _motions(p: Packed, states: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """Return the time derivatives (n, MOTION) of states (n, STATES) on level ground, one after the other and with little between."""
    level, derivatives = lifted(np.zeros(2)), np.empty((len(states), at.MOTION))
    out = np.empty((1, at.TRACE_LINES + at.LINE_CHANNELS * p.lines.shape[0]))
    # Put together once: that takes longer than to evaluate the equations.
    evaluated = bound(
        run_single, p.memory, p.lines, p.lines_front, p.kinds, p.knots, p.first_group, level, BEFORE, 0.0, np.zeros(1), 1.0, 0, 1, out,
        UNWATCHED, p.bush_memory(),
    )  # fmt: skip
    for state, rates in zip(states, derivatives, strict=True):
        p.memory[: at.STATES] = state
        evaluated()
        # A run of no steps has evaluated the accelerations alone.
        rates[at.COORDINATES :] = p.memory[at.RATE + at.COORDINATES : at.RATE + at.MOTION]
    derivatives[:, : at.COORDINATES] = states[:, at.COORDINATES : 2 * at.COORDINATES]
    return derivatives


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
    # Whole parts, so that outputs still fall on steps.
    parts = max(ceil(rate_per_s * step_s / LIMIT), 1)
    if parts > MOST_SUBSTEPS:
        raise RunError(
            f"Something in this set-up answers within {1e6 / rate_per_s:.0f} millionths of a second, far too stiff for a truck. "
            "Check rates and dampings for a wrong unit, and masses for a missing digit."
        )
    return parts
