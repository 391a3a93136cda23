"""Does a piece of work in one of the other processes, as a search has begun them, while this one goes on."""

import os
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from concurrent.futures.process import BrokenProcessPool
from contextlib import AbstractContextManager, contextmanager, nullcontext, suppress
from typing import Any

from sim.machine.spread import leave_stopping_to_the_parent, processes


@contextmanager
def done_beside(
    work: Callable[[], object], workers: int | None = None,
    within: Callable[[], AbstractContextManager[Any]] = nullcontext,
) -> Iterator[None]:  # fmt: skip
    """Do `work`, which leaves nothing but files, in another process while the body of the `with` runs.

    After the body where all is done by one process, or again where the other one was killed, over what that left. What the body
    spreads over processes comes after it.

    Parameters
    ----------
    work : callable
        Goes to another process, so a function of a module or a partial of one.
    workers : int, optional
        Processes on this machine, this one among them; all cores by default.
    within : callable
        Sent along; in another process the work is done within what it returns.
    """
    count = workers or os.cpu_count() or 1
    if count < 2:
        yield
        work()
        return
    pool = processes(1, count - 1)
    going: Future[None] | None = None
    with suppress(BrokenProcessPool):  # done here, then
        going = pool.submit(_done, within, work)
    try:
        yield
    except BaseException:
        if going is not None and not going.done():
            # It would go on with what nobody waits for, in a folder that is being cleared away.
            pool.shutdown(kill_workers=True)
        raise
    try:
        if going is not None:
            going.result()
    except BrokenProcessPool:
        going = None
    if going is None:
        work()


def _done(within: Callable[[], AbstractContextManager[Any]], work: Callable[[], object]) -> None:
    leave_stopping_to_the_parent()
    with within():
        work()
