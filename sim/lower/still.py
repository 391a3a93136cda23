"""The equations of set-ups in which nothing moves, at many places at once: what Newton's method asks where they stand.

The lanes of the block kernel hold sixteen set-ups, or one alone at sixteen places: as many as its Jacobian asks for, in the time that one
takes. A lane knows nothing of those beside it, so that a set-up stands in one place, to the last digit, with whatever others it is put at rest.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import numpy.typing as npt

from sim.describe.lowered import Lowered
from sim.kernel import layout as at
from sim.kernel.integrate import run_block, run_single
from sim.lower.packed import UNWATCHED, aligned, pack
from sim.lower.road.samples import BEFORE, lifted
from sim.machine import shipped
from sim.machine.jit import BLOCK, WIDE, bound, text_hash

Array = npt.NDArray[np.float64]


class Still:
    """What accelerates set-ups, wherever they are put down and let go.

    Dampers, end bushes and straps are there by their springs, gas and ends alone: their laws are of speed, and zero without any.

    Parameters
    ----------
    setups : sequence of Lowered
        At most BLOCK that are `alike`; one where there are no lanes (`has_lanes`).
    """

    def __init__(self, setups: Sequence[Lowered]) -> None:
        lanes = BLOCK if has_lanes() else 1
        self._run, self._count = run_block if lanes > 1 else run_single, len(setups)
        p = self._packed = pack([_without_laws(one) for one in setups], lanes)
        # A single run writes all that it knows, a block only what is watched.
        channels = 1 if lanes > 1 else at.TRACE_LINES + at.LINE_CHANNELS * p.lines.shape[0]
        self._out = aligned((1, 1, lanes) if lanes > 1 else (1, channels))
        self._reach = p.bush_memory()
        self._on_level = self._standing_on((0.0, 0.0))

    def _standing_on(self, boards_m: Sequence[float]) -> Callable[[], Any]:
        """Return a run of no steps: it evaluates the accelerations, and no more is compiled for it than runs are made of."""
        p = self._packed
        return bound(
            self._run, p.memory, p.lines, p.lines_front, p.kinds, p.knots, p.first_group, lifted(np.array(boards_m)), BEFORE, 0.0,
            np.zeros(1), 1.0, 0, 1, self._out, UNWATCHED, self._reach,
        )  # fmt: skip

    def accelerations(self, states: Array, rows: Sequence[int], boards_m: Sequence[float]) -> Callable[[Array], Array]:
        """Return what gives the accelerations of some coordinates for places of them, both (setups, n, rows), all else as in `states`.

        states : (setups, STATES); boards_m : (2,) under the wheels. Put together once: that takes longer than to evaluate the equations.
        """
        lanes, count, memory = self._packed.lanes, self._count, self._packed.rows()
        evaluated = self._standing_on(boards_m) if any(boards_m) else self._on_level
        own = np.array(rows) + at.POINT
        asked = own + (at.RATE + at.COORDINATES - at.POINT)
        memory[: at.STATES] = states[_repeated(count, lanes)].T

        def accelerations(places: Array) -> Array:
            found = np.empty_like(places)
            if count == 1:  # its places side by side
                for first in range(0, places.shape[1], lanes):
                    part = places[0, first : first + lanes]
                    memory[own] = part[_repeated(len(part), lanes)].T
                    evaluated()
                    found[0, first : first + lanes] = memory[asked, : len(part)].T
                return found
            for number in range(places.shape[1]):
                memory[own] = places[_repeated(count, lanes), number].T
                evaluated()
                found[:, number] = memory[asked, :count].T
            return found

        return accelerations

    def tyre_loads(self) -> Array:
        """Return the tyre loads (setups, AXLES) [N] where the accelerations were asked for last, of one place each."""
        rows = self._packed.rows()
        return rows[[at.SCRATCH + at.LOAD, at.SCRATCH + at.SCRATCH_ROWS + at.LOAD], : self._count].T


@cache
def _repeated(count: int, lanes: int) -> Any:
    """Return which of some is in each lane: spare ones have the last."""
    return np.minimum(np.arange(lanes), count - 1)


@cache
def has_lanes() -> bool:
    """Tell whether the block kernel comes with the package; if not, each set-up and each place goes by itself.

    To compile it takes longer than it saves here. Where it happens to be compiled already it is left alone too: digits would differ
    between one command and the next.
    """
    return shipped.has(WIDE, text_hash())


def _without_laws(setup: Lowered) -> Lowered:
    lines = (one._replace(line=one.line._replace(bush_give=0.0), knots=()) for one in setup.lines)
    return replace(setup, lines=tuple(lines))


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
