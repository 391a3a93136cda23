"""Static equilibrium: every run starts from where the set-up stands by itself."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from sim.describe.lowered import Lowered
from sim.describe.shown import show
from sim.errors import LiftedError, RunError
from sim.kernel import layout as at
from sim.kernel.integrate import derivative, run_single
from sim.lower.packed import UNWATCHED, Packed, pack, refill
from sim.lower.road.samples import BEFORE, lifted
from sim.lower.stance import tyre_give
from sim.machine.jit import bound

Array = npt.NDArray[np.float64]

TOLERANCE = 1e-9
"""Largest acceleration [m/s², rad/s²] of a truck that is said to stand."""

NUDGE = 1e-8
"""Step [m, rad] of derivatives: less than the stiffest textbook tyre gives under its load."""

SETTLED_M = 1e-11
"""Or that is this near [m, rad] to where it stands: very stiff parts leave accelerations from rounding alone."""


@dataclass(frozen=True)
class Rest:
    """Where a set-up stands."""

    state: Array  # (STATES,), all speeds zero
    tyre_load: tuple[float, float]  # [N] front, rear


class Under(NamedTuple):
    """A road at one moment, as `sim.kernel.road` takes it from its first sample on."""

    samples: Array  # (2, n, ROAD_ROWS)
    ahead: float  # how many samples past the first one a truck is that has not left its frame
    by_spacing: float  # [1/m]
    by_step: float  # [1/s]


class Equations:
    """The right-hand side of one set-up, for anything that is not the run itself."""

    def __init__(self, setup: Lowered) -> None:
        self.packed: Packed = pack([setup], 1)
        p = self.packed
        self._none = np.zeros(2)
        self._push = np.zeros(1)
        self._out = np.empty((1, at.TRACE_LINES + at.LINE_CHANNELS * p.lines.shape[0]))
        self._bushes = p.bush_memory()
        self.pair_rate = np.zeros(p.lines.shape[0])
        self._level = Under(lifted(self._none), float(BEFORE), 0.0, 1.0)
        self._on_level = self._standing_on(self._level)

    def _standing_on(self, road: Under) -> Callable[[], Any]:
        """Return a run of no steps over a road: it evaluates the accelerations, and nothing more is compiled for it."""
        p = self.packed
        return bound(
            run_single, p.memory, p.lines, p.lines_front, p.kinds, p.knots, p.first_group, road.samples, BEFORE, 0.0, self._push, 1.0,
            0, 1, self._out, UNWATCHED, self._bushes,
        )  # fmt: skip

    def take(self, setup: Lowered) -> bool:
        """Put another set-up into the same arrays; tell whether it fits, as it does if its parts are the same but for their numbers."""
        self._bushes[:] = self.packed.bush_memory()
        return refill(self.packed, setup)

    def standing(self, state: Array, rows: Sequence[int], boards_m: Array) -> Callable[[Array], Array]:
        """Return what gives the accelerations of some coordinates for their values, all else as in a state (STATES,).

        On boards (2,) [m] under the wheels. Put together once: that takes longer than to evaluate the equations.
        """
        memory = self.packed.memory
        raised = np.any(boards_m)
        evaluated = self._standing_on(Under(lifted(boards_m), float(BEFORE), 0.0, 1.0)) if raised else self._on_level
        own = np.array(rows) + at.POINT
        asked = own + (at.RATE + at.COORDINATES - at.POINT)
        memory[: at.STATES] = state
        self._push[0] = 0.0

        def accelerations(values: Array) -> Array:
            memory[own] = values
            evaluated()
            found: Array = memory[asked]
            return found

        return accelerations

    def derivative(
        self,
        state: Array,
        heights: Array | None = None,
        rates: Array | None = None,
        push: float = 0.0,
        pair: Array | None = None,
        road: "Under | None" = None,
    ) -> Array:
        """Return the time derivative of a state (STATES,); road heights and rates (2,) under front and rear, or a road to drive over.

        With `pair` (lines,) the speeds of dampers on end bushes are states, and their rates are left in
        `pair_rate`; without, bushes are taken as settled.
        """
        p = self.packed
        p.memory[: at.STATES] = state
        is_level = road is None and rates is None and (heights is None or not np.any(heights))
        if road is None and not is_level:  # under the wheels wherever they are, a sample a second
            road = Under(lifted(self._none if heights is None else heights, rates), float(BEFORE), 0.0, 1.0)
        road = road or self._level
        if pair is None and road.by_spacing == 0.0:
            self._push[0] = push
            (self._on_level if road is self._level else self._standing_on(road))()
            # Rates of places are the speeds, which only a step would write.
            p.memory[at.RATE : at.RATE + at.COORDINATES] = state[at.COORDINATES : 2 * at.COORDINATES]
        else:
            derivative(
                p.memory, p.lines, p.lines_front, p.knots, p.first_group, road.samples, road.ahead, road.by_spacing,
                road.by_step, push, np.zeros(0) if pair is None else pair, self.pair_rate,
            )  # fmt: skip
        return p.memory[at.RATE : at.RATE + at.STATES].copy()

    def jounce_force(self, index: int) -> float:
        """Return an axle's generalised force on jounce [N], its wind-up kept, of the state last evaluated."""
        rows = self.packed.memory[at.SCRATCH + index * at.SCRATCH_ROWS :]
        # The kernel has the force with the housing not turning in space (docs/equations.md, after 2.3).
        return float(rows[at.FORCE_JOUNCE] + rows[at.TURN_1] * rows[at.FORCE_WIND_UP])

    def tyre_loads(self) -> tuple[float, float]:
        """Return the tyre loads [N] of the state last evaluated."""
        rows = self.packed.memory
        return float(rows[at.SCRATCH + at.LOAD]), float(rows[at.SCRATCH + at.SCRATCH_ROWS + at.LOAD])


def free_coordinates(setup: Lowered) -> list[int]:
    """Return the rows of the coordinates that can move, without the distance run."""
    rows = [at.Z, at.PITCH]
    for index, name in enumerate(("front", "rear")):
        rows.append(at.JOUNCE + 2 * index)
        if setup.axles[name].wind_up_free:
            rows.append(at.WIND_UP + 2 * index)
        if setup.axles[name].shift_free:
            rows.append(at.SHIFT + index)
    return rows


def rest(setup: Lowered, boards_m: tuple[float, float] = (0.0, 0.0), equations: Equations | None = None) -> Rest:
    """Find where a set-up stands, on boards under its wheels if given: Newton's method on its accelerations, from the measured stance.

    equations : those of the set-up, where somebody has them.

    Raises
    ------
    RunError
        If there is no such place, or a wheel would hang in the air.
    """
    equations = equations or Equations(setup)
    rows = free_coordinates(setup)
    state = np.zeros(at.STATES)  # leaf friction zero: in mid-loop, neither way
    state[at.Z] = setup.height
    accelerations = equations.standing(state, rows, np.array(boards_m))
    values = newton(accelerations, state[rows].copy())
    if values is None:
        from scipy.optimize import least_squares  # seldom needed, slow to import

        # From the start again: the trials of Newton's method have gone elsewhere.
        solution = least_squares(
            accelerations,
            np.r_[setup.height, np.zeros(len(rows) - 1)],
            x_scale=0.01,
            xtol=1e-15,
            ftol=1e-15,
            gtol=1e-15,
            max_nfev=400,
        )
        values = newton(accelerations, solution.x)
    if values is None:
        _on_all_wheels(setup)
        raise RunError(
            "No place was found where this set-up stands still. Are its springs stiff and long enough for its weight, "
            "and its bump stops within their travel?"
        )
    state[rows] = values
    accelerations(values)  # what was evaluated last may have been a trial beside it
    loads = equations.tyre_loads()
    for name, load in zip(("front", "rear"), loads, strict=True):
        if load <= 0.0:
            _on_all_wheels(setup)
            raise RunError(f"This set-up stands with its {name} wheels in the air; check masses and their places.")
        # By the same rule as the truck as measured: a set-up may have brought another tyre, or a mass.
        tyre, axle = getattr(setup.vehicle, name).tyre, setup.axles[name]
        tyre_give(name, tyre, load, axle.tyre_rate / tyre.count, axle.tyre_rate_rise / tyre.count)
    return Rest(state.copy(), loads)


def _on_all_wheels(setup: Lowered) -> None:
    """Say so if the weight lies beyond an axle: then no springs, however stiff, keep all wheels on the ground.

    Raises
    ------
    LiftedError
        If it does.
    """
    wheelbase = setup.vehicle.wheelbase
    rear = setup.axles["rear"].mass
    mass = setup.body.mass + setup.axles["front"].mass + rear
    behind = (setup.body.mass * setup.place.cg_behind_front_axle + rear * wheelbase) / mass
    if 0.0 < behind < wheelbase:
        return
    name = "front" if behind >= wheelbase else "rear"
    past = behind - wheelbase if behind >= wheelbase else -behind
    raise LiftedError(
        f"The load lifts the {name} wheels: the weight of the whole truck lies {show(past, 'length')} "
        f"{'behind the rear' if name == 'front' else 'ahead of the front'} axle. Take load off, or move it towards the {name}.",
        f"{name} wheels",
    )


def newton(function: object, start: Array) -> Array | None:
    """Solve by damped Newton steps; None if it does not settle."""
    assert callable(function)
    values, residual = start, function(start)
    for _ in range(60):
        size = float(np.max(np.abs(residual)))
        if size < TOLERANCE:
            return values
        jacobian = np.empty((values.size, values.size))
        # Central differences: their error is of second order, and a stop that is just met counts by half.
        for column in range(values.size):
            ahead, behind = values.copy(), values.copy()
            ahead[column] += NUDGE
            behind[column] -= NUDGE
            jacobian[:, column] = (function(ahead) - function(behind)) / (2.0 * NUDGE)
        try:
            move = np.linalg.solve(jacobian, -residual)
        except np.linalg.LinAlgError:
            return None
        if float(np.max(np.abs(move))) < SETTLED_M:
            return values
        # Half and half again until it helps: stops and straps have corners.
        share = min(1.0, 0.1 / max(float(np.max(np.abs(move))), 1e-12))
        for _ in range(12):
            trial = function(values + share * move)
            if np.all(np.isfinite(trial)) and float(np.max(np.abs(trial))) < size:
                break
            share *= 0.5
        else:
            # No step helps any more: rounding in a very stiff part, if the step is far below what can be seen.
            return values if float(np.max(np.abs(move))) < 1e3 * SETTLED_M else None
        values, residual = values + share * move, trial
    return None
