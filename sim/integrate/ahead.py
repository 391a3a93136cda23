"""Compiles what a run of one set-up needs before it is asked for: in two processes at a time, where that is safe."""

from collections.abc import Callable
from typing import Any

import numpy as np

from sim.kernel.filters import sum_of_second_orders
from sim.kernel.integrate import narrow_block, run_block, run_few, run_single
from sim.lower.packed import PrecisionName
from sim.lower.road.pieces import Pieces
from sim.lower.road.rolling_disc import disc_path
from sim.machine.copies import in_copy
from sim.machine.jit import CACHE_FOLDER


def compiled_ahead(
    meanwhile: Callable[[], object], one: bool = True, blocks: PrecisionName | None = None, few: bool = False
) -> None:
    """Compile into the cache: the single run in a copy of this process, where there is one, and the rest here.

    What the copy cannot do for whatever reason is done here.

    Parameters
    ----------
    meanwhile : callable
        Something else that this process does, such as loading what it needs later: roads and filters take half as long.
    one : bool
        Whether the single run, roads and filters are wanted.
    blocks : "single" or "double", optional
        Precision in which blocks are wanted.
    few : bool
        Whether a few set-ups will be run side by side with their time histories.
    """
    if CACHE_FOLDER is None:  # what a copy compiles is of no use here
        _single_run()
        _roads_and_filters()
        _block(blocks)
        _few_runs(few)
        meanwhile()
        return
    if not one:
        _block(blocks)
        _few_runs(few)
        meanwhile()
        return
    with in_copy(_single_run):
        _roads_and_filters()
        _block(blocks)
        _few_runs(few)
        meanwhile()


def _block(precision: PrecisionName | None) -> None:
    if precision is not None:
        kind = np.float32 if precision == "single" else np.float64
        # Types alone are compiled for, so a number or two of each kind will do.
        row, table, cube = (np.zeros((1,) * n, kind) for n in (1, 2, 3))
        whole = np.zeros(1, np.int64)
        solve = narrow_block() if precision == "single" else run_block
        given = (row, table, 0, whole, table, whole, cube, 0, kind(0.0), row, kind(0.0), 0, 0, cube, whole, table)
        _compiled(solve, given)


def _single_run() -> None:
    _with_time_histories(run_single)


def _few_runs(wanted: bool) -> None:
    if wanted:
        _with_time_histories(run_few)


def _with_time_histories(run: Any) -> None:
    row, table, cube, whole = np.zeros(1), np.zeros((1, 1)), np.zeros((1, 1, 1)), np.zeros(1, np.int64)
    _compiled(run, (row, table, 0, whole, table, whole, cube, 0, 0.0, row, 0.0, 0, 0, table, whole, table))


def _compiled(function: Any, given: tuple[Any, ...]) -> None:
    """Compile a run for the types of what it is given: memory, lines, how many in front, kinds, knots, groups, road, speed, push, step, outputs."""
    import numba

    compiler: object = getattr(function, "compile", None)
    if callable(compiler):  # not so if compiling is switched off
        compiler(tuple(map(numba.typeof, given)))


def _roads_and_filters() -> None:
    # These have no signature to ask for: they are run once, on nine points of level road.
    places = np.linspace(-1.0, 1.0, 9)
    level = Pieces(places, np.zeros(9), np.zeros(9, np.int64), np.full(9, 8))
    disc_path(level, np.zeros(1), 0.5)
    one, three = np.zeros((1, 1)), np.zeros((1, 3))
    sum_of_second_orders(one, three, three, np.zeros((2, 1, 1)), one.copy())
