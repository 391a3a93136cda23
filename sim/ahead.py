"""Compiles what a run of one set-up needs before it is asked for: in two processes at a time, where that is safe."""

from collections.abc import Callable

import numpy as np

from sim.beside import beside
from sim.kernel.filters import sum_of_second_orders
from sim.kernel.integrate import run_single
from sim.roads.road import Pieces
from sim.roads.rolling_disc import disc_path


def compiled_ahead(meanwhile: Callable[[], object]) -> None:
    """Compile into the cache: the single run in a copy of this process, where there is one, and roads and filters here.

    What the copy cannot do for whatever reason is done here. meanwhile : something else that this process does, such as
    loading what it needs later: roads and filters take half as long.
    """
    with beside(_single_run):
        _roads_and_filters()
        meanwhile()


def _single_run() -> None:
    import numba

    row, table, whole = np.zeros(1), np.zeros((1, 1)), np.zeros(1, np.int64)
    memory, lines, kinds, knots, groups, outputs, watched, bushes = row, table, whole, table, whole, table, whole, table
    heights = rates = table
    given = (memory, lines, 0, kinds, knots, groups, heights, rates, row, 0.0, 0, 0, outputs, watched, bushes)
    compiler: object = getattr(run_single, "compile", None)
    if callable(compiler):  # not so if compiling is switched off
        compiler(tuple(map(numba.typeof, given)))


def _roads_and_filters() -> None:
    places = np.linspace(-1.0, 1.0, 9)
    level = Pieces(places, np.zeros(9), np.zeros(9, np.int64), np.full(9, 8))
    disc_path(level, np.zeros(1), 0.5)
    sum_of_second_orders(np.zeros((1, 1)), np.zeros((1, 3)), np.zeros((1, 3)))
