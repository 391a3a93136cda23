"""Static equilibrium: every run starts from where the set-up stands by itself."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from sim.describe.lowered import Lowered
from sim.describe.shown import show
from sim.errors import JounceError, LiftedError, RunError
from sim.kernel import layout as at
from sim.kernel.integrate import derivative, run_single
from sim.lower.packed import UNWATCHED, Packed, pack
from sim.lower.road.samples import BEFORE, lifted
from sim.lower.stance import tyre_give
from sim.lower.still import Still, free_coordinates, has_lanes
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


def rest(setup: Lowered, boards_m: tuple[float, float] = (0.0, 0.0)) -> Rest:
    """Find where a set-up stands, on boards under its wheels if given: Newton's method on its accelerations, from the measured stance.

    Raises
    ------
    RunError
        If there is no such place, or a wheel would hang in the air.
    """
    still = Still([setup])
    rows, states = free_coordinates(setup), _as_measured([setup])
    accelerations = still.accelerations(states, rows, boards_m)
    values, settled = newton(accelerations, states[:, rows])
    if not settled[0]:
        from scipy.optimize import least_squares  # seldom needed, slow to import

        def of_one(place: Array) -> Array:
            return accelerations(place[None, None])[0, 0]  # type: ignore[no-any-return]

        # From the start again: the trials of Newton's method have gone elsewhere.
        solution = least_squares(
            of_one,
            np.r_[setup.height, np.zeros(len(rows) - 1)],
            x_scale=0.01,
            xtol=1e-15,
            ftol=1e-15,
            gtol=1e-15,
            max_nfev=400,
        )
        values, settled = newton(accelerations, solution.x[None])
    if not settled[0]:
        _on_all_wheels(setup)
        raise RunError(
            "No place was found where this set-up stands still. Are its springs stiff and long enough for its weight, "
            "and its bump stops within their travel?"
        )
    states[:, rows] = values
    accelerations(values[:, None])  # what was evaluated last may have been a trial beside it
    return _stood(setup, states[0], still.tyre_loads()[0])


def rests(setups: Sequence[Lowered]) -> list[Rest | JounceError]:
    """Find where set-ups stand, all at once; of one that does not, why. To the last digit what `rest` finds for each by itself.

    setups : at most BLOCK that are `alike`.
    """
    outcomes: list[Rest | JounceError] = []
    # One by one where there are no lanes, and one alone has its places in them.
    together = has_lanes() and len(setups) > 1
    if together:
        still = Still(setups)
        rows, states = free_coordinates(setups[0]), _as_measured(setups)
        accelerations = still.accelerations(states, rows, (0.0, 0.0))
        values, settled = newton(accelerations, states[:, rows])
        states[:, rows] = values
        accelerations(values[:, None])
        loads = still.tyre_loads()
    for lane, setup in enumerate(setups):
        try:
            # One that does not settle has all its tries by itself.
            outcomes.append(_stood(setup, states[lane], loads[lane]) if together and settled[lane] else rest(setup))
        except JounceError as error:
            outcomes.append(error)
    return outcomes


def _as_measured(setups: Sequence[Lowered]) -> Array:
    """Return states (setups, STATES) at the height that the truck was measured at, all else zero."""
    states = np.zeros((len(setups), at.STATES))  # leaf friction too: in mid-loop, neither way
    states[:, at.Z] = [setup.height for setup in setups]
    return states


def _stood(setup: Lowered, state: Array, loads: Array) -> Rest:
    """Return where a set-up stands.

    Raises
    ------
    RunError
        If a wheel hangs in the air, or a tyre gives more than any tyre does.
    """
    own = float(loads[0]), float(loads[1])
    for name, load in zip(("front", "rear"), own, strict=True):
        if load <= 0.0:
            _on_all_wheels(setup)
            raise RunError(f"This set-up stands with its {name} wheels in the air; check masses and their places.")
        # By the same rule as the truck as measured: a set-up may have brought another tyre, or a mass.
        tyre, axle = getattr(setup.vehicle, name).tyre, setup.axles[name]
        tyre_give(name, tyre, load, axle.tyre_rate / tyre.count, axle.tyre_rate_rise / tyre.count)
    return Rest(state.copy(), own)


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


def newton(function: Callable[[Array], Array], starts: Array) -> tuple[Array, npt.NDArray[np.bool_]]:
    """Solve one system or several of them at once by damped Newton steps, each as if it were alone.

    Parameters
    ----------
    function : callable
        Of places (systems, n, rows); returns what is to be zero there (systems, n, rows).
    starts : array (systems, rows)

    Returns
    -------
    values : array (systems, rows)
    settled : array of bool (systems,)
        Whether these solve it.
    """
    values, rows = starts.copy(), starts.shape[1]
    residuals = function(values[:, None])[:, 0]
    settled, going = np.zeros(len(values), np.bool_), np.ones(len(values), np.bool_)
    nudges = NUDGE * np.concatenate([np.eye(rows), -np.eye(rows)])
    for _ in range(60):
        sizes = np.abs(residuals).max(axis=1)
        settled |= going & (sizes < TOLERANCE)
        going &= ~settled
        if not going.any():
            break
        # Central differences: their error is of second order, and a stop that is just met counts by half.
        beside = function(values[:, None] + nudges)
        jacobians = (beside[:, :rows] - beside[:, rows:]).transpose(0, 2, 1) / (2.0 * NUDGE)
        moves = np.zeros_like(values)
        moves[going] = _solved(jacobians[going], -residuals[going])
        farthest = np.abs(moves).max(axis=1)
        settled |= going & (farthest < SETTLED_M)
        going &= ~settled
        # Half and half again until it helps: stops and straps have corners.
        shares = np.minimum(1.0, 0.1 / np.maximum(farthest, 1e-12))
        trying = going.copy()
        for _ in range(12):
            if not trying.any():
                break
            trials = values + shares[:, None] * moves
            found = function(trials[:, None])[:, 0]
            helps = trying & (np.abs(found).max(axis=1) < sizes)  # false of what is no number
            values[helps], residuals[helps] = trials[helps], found[helps]
            trying &= ~helps
            shares[trying] *= 0.5
        # No step helps any more: rounding in a very stiff part, if the step is far below what can be seen.
        settled |= trying & (farthest < 1e3 * SETTLED_M)
        going &= ~trying
    return values, settled


def _solved(matrices: Array, sides: Array) -> Array:
    """Return the solutions (n, rows) of matrices (n, rows, rows) for right-hand sides (n, rows); no numbers where there is none."""
    try:
        return np.asarray(np.linalg.solve(matrices, sides[:, :, None])[:, :, 0], np.float64)
    except np.linalg.LinAlgError:  # of one of them, and the others have one
        if len(matrices) == 1:
            return np.full_like(sides, np.nan)
        return np.concatenate([_solved(matrices[n : n + 1], sides[n : n + 1]) for n in range(len(matrices))])
