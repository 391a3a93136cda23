"""A few prepared set-ups run side by side with their time histories: in the lanes of the kernel where they are alike, in threads else."""

import os
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import cache

import numpy as np
import numpy.typing as npt

from sim.integrate.given import Input
from sim.integrate.many.blocks import structure
from sim.integrate.single import TRACE, Prepared, arguments, traced
from sim.kernel import layout as at
from sim.kernel.integrate import run_few
from sim.lower.packed import pack
from sim.machine.jit import COMPILES, FEW, FOUR, is_cached

Array = npt.NDArray[np.float64]

Going = tuple[Prepared, Input]
"""A set-up at the start of its run, and the road and push that it is given."""

LOST = 1e9
"""Sum of a state's sizes from which on a run is given up, as the kernel itself gives up that of one set-up (`is_lost`)."""


def side_by_side(runs: Sequence[Going]) -> Iterator[tuple[int, Array]]:
    """Run the kernel for each set-up, a thread for each core: while it runs, Python itself is free.

    No step is done again: a picture does not show what a kink costs, and somebody waits for it.

    Yields
    ------
    place, trace
        Which of them it is, and its outputs (outputs, channels), fewer if it blew up; as they are through, not in their order.
    """
    lots = _lots(runs)

    def one(lot: Sequence[int]) -> Sequence[Array]:
        own = [runs[place] for place in lot]
        return _in_lanes(own) if len(own) > 1 else [_alone(*own[0])]

    if len(lots) < 2:
        for lot in lots:
            yield from zip(lot, one(lot), strict=True)
        return
    with ThreadPoolExecutor(min(len(lots), os.cpu_count() or 1)) as threads:
        for lot, traces in zip(lots, threads.map(one, lots), strict=True):
            yield from zip(lot, traces, strict=True)


def _lots(runs: Sequence[Going]) -> list[list[int]]:
    """Return the places of those that are run at once: as many as there are lanes, of one structure, over the very same road."""
    if len(runs) < 2 or not _has_lanes():
        return [[place] for place in range(len(runs))]
    alike: dict[object, list[int]] = {}
    for place, (ready, given) in enumerate(runs):
        alike.setdefault((id(given), structure(ready)), []).append(place)
    return [places[first : first + FEW] for places in alike.values() for first in range(0, len(places), FEW)]


@cache
def _has_lanes() -> bool:
    """Tell whether their kernel is compiled: to compile it takes longer than to run one set-up after the other for minutes."""
    return COMPILES and is_cached(FOUR)


def _alone(ready: Prepared, given: Input) -> Array:
    return traced(pack([ready.setup], 1), ready.start, given, kink_m=0.0)


def _in_lanes(runs: Sequence[Going]) -> list[Array]:
    """Run as many as there are lanes at most; return the trace of each (outputs, channels)."""
    # Spare lanes run the last one again: cheaper than a case for them in the kernel.
    starts = np.array([runs[min(lane, len(runs) - 1)][0].start for lane in range(FEW)]).T
    whole = arguments(pack([ready.setup for ready, _ in runs], FEW), starts, runs[0][1])
    run_few(*whole)
    trace = whole[TRACE].reshape(len(whole[TRACE]), -1, FEW)
    own = [trace[:until, :, lane] for lane, until in enumerate(_until(trace)[: len(runs)])]
    # A view would keep what spare lanes wrote for as long as anybody keeps one of the others.
    return own if len(runs) == FEW else [one.copy() for one in own]


def _until(trace: Array) -> list[int]:
    """Return how many outputs (outputs, channels, lanes) each lane has before the first one in which it is lost."""
    states = trace[:, : at.STATES]
    # Nearly always none is, which is seen sooner; of what is no number neither is true.
    if states.max() < LOST / at.STATES and states.min() > -LOST / at.STATES:
        return [len(trace)] * FEW
    with np.errstate(over="ignore"):
        sound = np.abs(states).sum(axis=1) < LOST
    return [len(own) if own.all() else int(own.argmin()) for own in sound.T]
