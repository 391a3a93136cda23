"""Many set-ups put at rest at once: sixteen in the lanes of the kernel, where each goes its own way."""

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from sim.describe.lowered import Lowered
from sim.errors import RunError
from sim.kernel import layout as at
from sim.kernel.integrate import run_block
from sim.lower.packed import UNWATCHED, aligned, pack
from sim.lower.rest import NUDGE, SETTLED_M, TOLERANCE, Rest, checked_loads, free_coordinates
from sim.lower.rest import rest as rest_of
from sim.lower.road.samples import BEFORE, lifted
from sim.machine.jit import BLOCK, bound

Array = npt.NDArray[np.float64]
Lanes = npt.NDArray[np.bool_]

STEPS_OF_NEWTON, HALVINGS = 60, 12
"""As `sim.lower.rest.newton` allows."""

ON_LEVEL = (0.0, 0.0)


class LaneEquations:
    """The right-hand side of up to BLOCK set-ups that are `alike`, each in its own lane.

    Parameters
    ----------
    setups : sequence of Lowered
    boards_m : (2,)
        Heights of boards under the front and the rear wheels [m].
    """

    def __init__(self, setups: Sequence[Lowered], boards_m: tuple[float, float] = ON_LEVEL) -> None:
        p = self.packed = pack(setups, BLOCK)
        self.rows = p.rows()
        # A run of no steps evaluates the accelerations, and no more is compiled for it than blocks are made of. Put together
        # once: that takes longer than to evaluate the equations.
        self._evaluated = bound(
            run_block, p.memory, p.lines, p.lines_front, p.kinds, p.knots, p.first_group, lifted(np.array(boards_m)), BEFORE, 0.0,
            np.zeros(1), 1.0, 0, 1, aligned((1, 1, BLOCK)), UNWATCHED, p.bush_memory(),
        )  # fmt: skip

    def accelerations(self, state: Array) -> Array:
        """Return the rates of all speeds and of leaf friction (MOTION - COORDINATES, BLOCK) of states (STATES, BLOCK); a view."""
        self.rows[: at.STATES] = state
        self._evaluated()
        return self.rows[at.RATE + at.COORDINATES : at.RATE + at.MOTION]

    def tyre_loads(self) -> Array:
        """Return the tyre loads (2, BLOCK) [N] of the states last evaluated."""
        return self.rows[[at.SCRATCH + at.LOAD, at.SCRATCH + at.SCRATCH_ROWS + at.LOAD]]


def alike(setup: Lowered) -> tuple[Any, ...]:
    """Return what set-ups must have in common to be evaluated side by side: by it the kernel chooses its text for all lanes."""
    lines = tuple((line.axle, line.role, line.line.bush_give > 0.0) for line in setup.lines)
    paths = tuple((path.arc.radius_square > 0.0, path.arc.turns, any(path.turn)) for path in setup.paths.values())
    return lines, paths, setup.body.free_to_roll, tuple(free_coordinates(setup))


def in_lanes(setups: Sequence[Lowered], further: Sequence[Any]) -> list[list[int]]:
    """Return the numbers of set-ups in lots of up to BLOCK that are alike, `further` ones of each equal too."""
    groups: dict[Any, list[int]] = {}
    for number, (setup, more) in enumerate(zip(setups, further, strict=True)):
        groups.setdefault((alike(setup), more), []).append(number)
    return [group[first : first + BLOCK] for group in groups.values() for first in range(0, len(group), BLOCK)]


def rests(setups: Sequence[Lowered], boards_m: tuple[float, float] = ON_LEVEL) -> list[Rest | RunError]:
    """Find where set-ups stand, as `sim.lower.rest.rest` does for one; of one that does not stand, why.

    Parameters
    ----------
    setups : sequence of Lowered
        At most BLOCK that are `alike`.
    boards_m : (2,)
        Boards under the front and the rear wheels [m].
    """
    equations = LaneEquations(setups, boards_m)
    rows = free_coordinates(setups[0])
    filled = [setups[min(lane, len(setups) - 1)] for lane in range(BLOCK)]
    state = np.zeros((at.STATES, BLOCK))  # leaf friction zero: in mid-loop, neither way
    state[at.Z] = [setup.height for setup in filled]

    def accelerations(values: Array) -> Array:
        state[rows] = values
        return equations.accelerations(state)[rows]

    values, settled = newton_in_lanes(accelerations, state[rows].copy())
    accelerations(values)  # what was evaluated last may have been a trial beside it
    loads = equations.tyre_loads().T.tolist()
    found: list[Rest | RunError] = []
    for lane, setup in enumerate(setups):
        try:
            if settled[lane]:
                front, rear = loads[lane]
                checked_loads(setup, (front, rear))
                found.append(Rest(state[:, lane].copy(), (front, rear)))
            else:  # it is looked for in other ways, or it says why it does not stand
                found.append(rest_of(setup, boards_m))
        except RunError as error:
            found.append(error)
    return found


def newton_in_lanes(function: Callable[[Array], Array], start: Array) -> tuple[Array, Lanes]:
    """Solve by damped Newton steps in each lane by itself, by the rules of `sim.lower.rest.newton`.

    Parameters
    ----------
    function : callable
        Gives residuals (n, lanes) of values (n, lanes), each lane's of its own values alone.
    start : array (n, lanes)

    Returns
    -------
    values : array (n, lanes)
    settled : bool array (lanes,)
        Which lanes have a solution.
    """
    values, residual = start, function(start).copy()
    width, lanes = start.shape
    settled, lost = np.zeros(lanes, bool), np.zeros(lanes, bool)
    for _ in range(STEPS_OF_NEWTON):
        size = np.abs(residual).max(axis=0)
        settled |= ~lost & (size < TOLERANCE)
        if (settled | lost).all():
            break
        jacobian = np.empty((lanes, width, width))
        for column in range(width):
            step = np.zeros((width, 1))
            step[column] = NUDGE
            ahead = function(values + step).copy()
            jacobian[:, :, column] = ((ahead - function(values - step)) / (2.0 * NUDGE)).T
        move = _solved(jacobian, -residual.T).T
        far = np.abs(move).max(axis=0)
        settled |= ~lost & (far < SETTLED_M)
        lost |= ~settled & ~np.isfinite(far)
        trying = ~(settled | lost)
        share = np.where(trying, np.minimum(1.0, 0.1 / np.maximum(far, 1e-12)), 0.0)
        move[:, ~trying] = 0.0
        # Half and half again until it helps: stops and straps have corners.
        for _ in range(HALVINGS):
            if not trying.any():
                break
            trial = function(values + share * move)
            # One that is not finite is not smaller.
            better = trying & (np.abs(trial).max(axis=0) < size)
            values = np.where(better, values + share * move, values)
            residual = np.where(better, trial, residual)
            trying &= ~better
            share[trying] *= 0.5
        # No step helps any more: rounding in a very stiff part, if the step is far below what can be seen.
        settled |= trying & (far < 1e3 * SETTLED_M)
        lost |= trying & ~settled
    return values, settled


def _solved(matrices: Array, right: Array) -> Array:
    """Return solutions (lanes, n) of as many systems; nan where a matrix is singular."""
    solved: Array = np.full(right.shape, np.nan)
    try:
        solved[:] = np.linalg.solve(matrices, right[:, :, None])[:, :, 0]
    except np.linalg.LinAlgError:  # one of them is; the others are solved all the same
        for lane, (matrix, own) in enumerate(zip(matrices, right, strict=True)):
            try:
                solved[lane] = np.linalg.solve(matrix, own)
            except np.linalg.LinAlgError:
                continue
    return solved
