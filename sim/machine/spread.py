"""Spreads work over processes or, with the address of a Dask scheduler, over machines, by what joblib brings either way.

Why joblib: its loky workers are kept between calls, survive a fork-unsafe parent and notice a killed sibling; and its Dask
backend takes the same work to a cluster, where the scheduler gives what a lost worker had to another one. Neither engine is
needed where it is not used.

On one machine the calling process works along: it has everything loaded. The others are copies of it, and so have they, if it
is a jounce command on a system that bears that; else they are loky's, and it begins while they start, a second or two each.
"""

import os
import pickle
import signal
import sys
import time
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Executor, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import AbstractContextManager, ExitStack
from functools import cached_property, lru_cache
from io import StringIO
from multiprocessing import active_children, get_context, parent_process
from threading import Thread
from typing import Any, Protocol

from sim.errors import InputError
from sim.machine.copies import can_split

KILLED_MOST = 3
"""So many times other processes may be killed before this one goes on without them."""

QUEUED = 2
"""So many lots of parts wait for each other process, so that it need not."""

MOST_TOGETHER, MANY, FEW = 4, 64, 4
"""Parts in a lot, where there are many of them for each process: sending a lot costs a millisecond. Lots are smaller again when
few parts are left for each, so that all end together."""

LOADING_S = 1.0
"""A part that takes longer is not begun again because whoever has it may still be loading [s]."""

ANSWER_WAIT_S = 10.0
"""So long a cluster's scheduler may take to answer [s]."""

IDLE_S = 300
"""An idle process is given up after that time [s]."""


class Problem(Protocol):
    """What workers get once: it turns a part of the work into its result, the same whoever does it."""

    def solved(self, part: Any) -> Any:
        """Return the result of one part."""


class Spread(AbstractContextManager["Spread"]):
    """Workers for one problem.

    Parameters
    ----------
    problem : Problem
        Sent to each worker, opened there once.
    workers : int, optional
        Processes on this machine, this one among them; all cores by default.
    cluster : str, optional
        Address of a Dask scheduler (tcp://host:8786) whose workers do it instead.

    Raises
    ------
    InputError
        If there is no such cluster, or Dask is not installed.
    """

    def __init__(self, problem: Problem, workers: int | None = None, cluster: str | None = None) -> None:
        self.problem, self.cluster = problem, cluster
        self.workers = workers or os.cpu_count() or 1
        self._copied = cluster is None and can_split()
        self._loaded, self._took = False, 0.0
        self._copies: Executor | None = None
        self._stack = ExitStack()

    def __enter__(self) -> "Spread":
        if self.cluster is not None:
            self._stack.enter_context(_client(self.cluster))
        return self

    def __exit__(self, *of: object) -> None:
        self._end_copies()
        self._stack.close()

    def each(self, parts: Sequence[Any]) -> Iterator[tuple[int, Any]]:
        """Yield (number, result) of each part, as they are finished.

        What a process had that was killed, for want of memory most often, is done again; after some such deaths by
        this process alone, which needs no more than it has.
        """
        if self.cluster is None and min(self.workers, len(parts)) <= 1:
            for number, part in enumerate(parts):
                yield number, self.problem.solved(part)
            return
        if self.cluster is None:
            yield from self._along(parts)
            return
        import joblib

        with joblib.parallel_config(backend="dask"):
            pool = joblib.Parallel(n_jobs=-1, return_as="generator_unordered", batch_size=1, max_nbytes=None)
            for found in pool(joblib.delayed(_some)(self._sent, [one]) for one in enumerate(parts)):
                yield from found

    def _along(self, parts: Sequence[Any]) -> Iterator[tuple[int, Any]]:
        """Yield what other processes and this one have done, which all take the next parts when they are free."""
        todo = deque(enumerate(parts))
        others = min(self.workers, len(parts)) - 1
        together = max(min(MOST_TOGETHER, len(parts) // (MANY * self.workers)), 1)
        executor = self._others(others)
        pending: dict[Future[list[tuple[int, Any]]], list[tuple[int, Any]]] = {}
        done: set[int] = set()
        killed = 0
        try:
            while len(done) < len(parts):
                while todo and len(pending) < QUEUED * others and killed < KILLED_MOST:
                    count = min(together, -(-len(todo) // (FEW * self.workers)))
                    some = [todo.popleft() for _ in range(count)]
                    try:
                        pending[executor.submit(_some, self._sent, some)] = some
                    except BrokenProcessPool:
                        todo.extendleft(reversed(some))
                        break
                own = todo.popleft() if todo else self._late(pending, done)
                if own is not None and own[0] not in done:
                    number, part = own
                    done.add(number)
                    begun = time.perf_counter()
                    result = self.problem.solved(part)
                    self._took = time.perf_counter() - begun
                    yield number, result
                for one in wait(pending, 0.0 if own else None, FIRST_COMPLETED).done if pending else ():
                    if isinstance(one.exception(), BrokenProcessPool):
                        todo.extend(part for some in pending.values() for part in some)  # all that was sent is lost
                        pending.clear()
                        killed += 1
                        self._end_copies()
                        executor = self._others(others)
                        break
                    del pending[one]
                    self._loaded = True
                    for number, found in one.result():
                        if number not in done:
                            done.add(number)
                            yield number, found
        finally:
            for one in pending:
                one.cancel()

    @cached_property
    def _sent(self) -> bytes:
        """What other processes are told of the problem: nothing if they are copies of this one, which have it."""
        return b"" if self._copied else pickle.dumps(self.problem)

    def _others(self, count: int) -> "Executor":
        """Return other processes, as many as this; those that there are already, if they are."""
        if not self._copied:
            from joblib.externals.loky import get_reusable_executor

            executor: Executor = get_reusable_executor(max_workers=count, timeout=IDLE_S)
            return executor
        if self._copies is None:
            self._copies = ProcessPoolExecutor(self.workers - 1, get_context("fork"), _begun, (self.problem,))
        return self._copies

    def _end_copies(self) -> None:
        """End them at once: what they may still be doing is not wanted any more."""
        if self._copies is not None:
            from multiprocessing.context import ForkProcess  # not on every system

            for one in active_children():
                if isinstance(one, ForkProcess):
                    one.kill()
            self._copies.shutdown()
        self._copies = None

    def _late(self, pending: dict[Any, list[tuple[int, Any]]], done: set[int]) -> tuple[int, Any] | None:
        """Return a part that was sent to processes which are still loading: it is done here sooner, and is the same."""
        if self._loaded or self._took > LOADING_S:
            return None
        return next((one for some in pending.values() for one in some if one[0] not in done), None)


def _client(address: str) -> AbstractContextManager[Any]:
    try:
        from distributed import Client
    except ImportError:
        raise InputError("--cluster needs Dask: pip install 'jounce[cluster]'") from None
    connect: Any = Client  # it has no types of its own
    try:
        client: AbstractContextManager[Any] = connect(address, timeout=ANSWER_WAIT_S)
    except (OSError, ValueError) as error:
        raise InputError(
            f"--cluster {address}: no Dask scheduler answers there ({type(error).__name__}). Start one with `dask scheduler`, "
            "workers with `dask worker ADDRESS`, in an environment that has jounce."
        ) from None
    return client


def _some(sent: bytes, parts: Sequence[tuple[int, Any]]) -> list[tuple[int, Any]]:
    problem = _opened(sent) if sent else _copied[-1]
    return [(number, problem.solved(part)) for number, part in parts]


_copied: list[Problem] = []
"""In a copy of a process: what it was made for."""


def _begun(problem: Problem) -> None:
    """Let a copy of a process work for it, say nothing, and end when it does, even if that was killed."""
    _copied.append(problem)
    _leave_stopping_to_the_parent()
    sys.stdout = sys.stderr = StringIO()
    Thread(target=_end_with_the_parent, daemon=True).start()


def _end_with_the_parent() -> None:
    parent: Any = parent_process()
    parent.join()
    os._exit(1)


@lru_cache(maxsize=4)
def _opened(sent: bytes) -> Problem:
    _leave_stopping_to_the_parent()
    problem: Problem = pickle.loads(sent)
    return problem


def _leave_stopping_to_the_parent() -> None:
    """Let Ctrl-C, which a terminal sends to all processes, be told once, by the one that keeps the results."""
    try:
        signal.signal(signal.SIGINT, signal.SIG_IGN)
    except ValueError:  # not the main thread: a cluster's worker
        return


Told = Callable[[int, int], None]
