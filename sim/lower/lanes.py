"""The equations of many set-ups at once: sixteen side by side in the lanes of the kernel, for what is asked of all of them."""

from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from sim.describe.lowered import Lowered
from sim.kernel import layout as at
from sim.kernel.integrate import run_block
from sim.lower.packed import UNWATCHED, aligned, pack
from sim.lower.road.samples import BEFORE, lifted
from sim.lower.still import free_coordinates
from sim.machine.jit import BLOCK, bound

Array = npt.NDArray[np.float64]


class LaneEquations:
    """The right-hand side of up to BLOCK set-ups that are `alike`, each in its own lane.

    Parameters
    ----------
    setups : sequence of Lowered
    """

    def __init__(self, setups: Sequence[Lowered]) -> None:
        p = self.packed = pack(setups, BLOCK)
        self.rows = p.rows()
        # A run of no steps evaluates the accelerations, and no more is compiled for it than blocks are made of. Put together
        # once: that takes longer than to evaluate the equations.
        self._evaluated = bound(
            run_block, p.memory, p.lines, p.lines_front, p.kinds, p.knots, p.first_group, lifted(np.zeros(2)), BEFORE, 0.0,
            np.zeros(1), 1.0, 0, 1, aligned((1, 1, BLOCK)), UNWATCHED, p.bush_memory(),
        )  # fmt: skip

    def accelerations(self, state: Array) -> Array:
        """Return the rates of all speeds and of leaf friction (MOTION - COORDINATES, BLOCK) of states (STATES, BLOCK) on level ground; a view."""
        self.rows[: at.STATES] = state
        self._evaluated()
        return self.rows[at.RATE + at.COORDINATES : at.RATE + at.MOTION]


def alike(setup: Lowered) -> tuple[Any, ...]:
    """Return what set-ups must have in common to be evaluated side by side: by it the kernel chooses its text for all lanes."""
    lines = tuple((line.axle, line.role, line.line.bush_give > 0.0) for line in setup.lines)
    paths = tuple((path.arc.radius_square > 0.0, path.arc.turns, any(path.turn)) for path in setup.paths.values())
    return lines, paths, setup.body.free_to_roll, tuple(free_coordinates(setup))


def in_lanes(setups: Sequence[Lowered]) -> list[list[int]]:
    """Return the numbers of set-ups in lots of up to BLOCK that are alike."""
    groups: dict[Any, list[int]] = {}
    for number, setup in enumerate(setups):
        groups.setdefault(alike(setup), []).append(number)
    return [group[first : first + BLOCK] for group in groups.values() for first in range(0, len(group), BLOCK)]
