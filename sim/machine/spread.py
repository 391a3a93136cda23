"""Spreads work over processes or, with the address of a Dask scheduler, over machines, by what joblib brings either way.

Why joblib: its loky workers are kept between calls, survive a fork-unsafe parent and notice a killed sibling; and its Dask
backend takes the same work to a cluster, where the scheduler gives what a lost worker had to another one. Neither engine is
needed where it is not used.

On one machine the calling process works along: it has everything loaded, and begins while the others start, a second or two
each.
"""

import asyncio
import errno
import os
import pickle
import re
import signal
import sys
import time
import warnings
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import AbstractContextManager, ExitStack, nullcontext, suppress
from functools import cached_property, lru_cache
from importlib import import_module
from typing import Any, Protocol

from sim.errors import InputError

KILLED_MOST = 3
"""So many times other processes may be killed before this one goes on without them."""

QUEUED = 2
"""So many lots of parts wait for each other process, so that it need not; with parts of minutes there is one, with whoever is free, and so
there is of the last parts: of what waits for one process another that is done cannot take any."""

KILLED = "A process was killed, for want of memory most often: what it had is run again, with one process less."

MOST_TOGETHER, MANY, FEW = 4, 64, 4
"""Parts in a lot, where there are many of them for each process: sending a lot costs a millisecond. Lots are smaller again when
few parts are left for each, so that all end together."""

LOADING_S = 1.0
"""A part that takes longer is not begun again because whoever has it may still be loading [s]."""

ANSWER_WAIT_S = 10.0
"""So long is a scheduler's answer waited for [s]."""

WORKER_WAIT_S = 60.0
"""So long is a cluster's first worker waited for [s]."""

_ADDRESS = re.compile(r"(?:[a-z]+://)?(?:\[[0-9A-Fa-f:.]+\]|[^\s/:\[\]]+):\d{1,5}/?")
"""A scheduler's address: perhaps a protocol, a host, a port."""

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
    along : bool
        Whether this process does parts too. Not where a part takes minutes: meanwhile it would not see that another has ended or
        was killed. Such a part is begun by one process only, as it may write a file.
    once : bool
        Whether a part that this process could do too is begun by one process only, for that reason.
    note : callable
        Gets a sentence to show when a process was killed.
    within : callable
        Sent along; in other processes parts are done within what it returns.

    Raises
    ------
    InputError
        If there is no such cluster, it has no worker, or Dask is not installed.
    """

    def __init__(
        self, problem: Problem, workers: int | None = None, cluster: str | None = None, along: bool = True,
        note: Callable[[str], None] = lambda text: None, within: Callable[[], AbstractContextManager[Any]] = nullcontext,
        once: bool = False,
    ) -> None:  # fmt: skip
        self.problem, self.cluster, self.along, self.note = problem, cluster, along, note
        self.within, self.once = within, once or not along
        self.workers = workers or os.cpu_count() or 1
        self._loaded, self._took = False, 0.0
        self._stack = ExitStack()
        self._client: Any = None

    def __enter__(self) -> "Spread":
        if self.cluster is not None:
            self._client = self._stack.enter_context(connected(self.cluster))
        return self

    def __exit__(self, *of: object) -> None:
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
            yield from self._here(parts)
            return
        import joblib  # only where it is used: it takes a while to load

        # A search comes here again and again: the last worker may be lost, and another be loading in its place.
        _worker_awaited(self._client, self.cluster)
        with joblib.parallel_config(backend="dask", wait_for_workers_timeout=WORKER_WAIT_S):
            # One part a task, so that whoever is free takes the next: sending one costs little beside running it.
            pool = joblib.Parallel(n_jobs=-1, return_as="generator_unordered", batch_size=1, max_nbytes=None)
            for lot in pool(joblib.delayed(_some)(self._sent, [one]) for one in enumerate(parts)):
                yield from lot

    def _here(self, parts: Sequence[Any]) -> Iterator[tuple[int, Any]]:
        """Yield what the processes of this machine have done, which all take the next parts when they are free."""
        todo = deque(enumerate(parts))
        here = 1 if self.along else 0  # this process is a worker too
        others = min(self.workers, len(parts)) - here
        executor = processes(others, self.workers - here)
        pending: dict[Future[list[tuple[int, Any]]], list[tuple[int, Any]]] = {}
        done: set[int] = set()
        killed = 0
        try:
            while len(done) < len(parts):
                while todo and len(pending) < self._queued(len(todo)) * others and killed < KILLED_MOST:
                    some = [todo.popleft() for _ in range(self._together(len(parts), len(todo)))]
                    try:
                        pending[executor.submit(_some, self._sent, some)] = some
                    except BrokenProcessPool:
                        todo.extendleft(reversed(some))  # back to where they were: order is kept
                        break
                # None of them can be at work without a part: then they have all ended.
                broken = not pending and bool(todo) and killed < KILLED_MOST
                own = None
                if self.along or killed >= KILLED_MOST:
                    own = todo.popleft() if todo else self._late(pending, done)
                # A late part may have come back meanwhile.
                if own is not None and own[0] not in done:
                    number, part = own
                    done.add(number)
                    begun = time.perf_counter()
                    result = self.problem.solved(part)
                    self._took = time.perf_counter() - begun
                    yield number, result
                # With work of its own it only looks in; without, it waits for the first that is ready.
                for one in wait(pending, 0.0 if own else None, FIRST_COMPLETED).done if pending else ():
                    if isinstance(one.exception(), BrokenProcessPool):
                        broken = True
                        continue
                    del pending[one]
                    self._loaded = True  # an answer: they have loaded
                    for number, answer in one.result():
                        if number not in done:  # begun here too while they loaded: either is the same
                            done.add(number)
                            yield number, answer
                if broken:
                    # All breaks with the one that was killed; which it was cannot be known, so all that was sent is lost.
                    lost = [part for some in pending.values() for part in some]
                    todo.extend(lost)
                    pending.clear()
                    killed += 1
                    # Nothing is lost where the same death is met once more, by processes that were to take its place.
                    if lost:
                        self.note(KILLED)
                    others = max(others - 1, 1)
                    executor = processes(others, others)
        finally:
            if not self.once:
                for one in pending:
                    one.cancel()
            elif pending:
                # They would go on for minutes with what nobody waits for, and write into a folder that is being cleared away.
                # Not cancelled first: loky stops at a part that is, and kills nobody.
                executor.shutdown(kill_workers=True)

    def _queued(self, left: int) -> int:
        """Return how many lots each other process has, of those that it is at and those that wait for it, with so many parts to be given out."""
        return QUEUED if self.along and left > QUEUED * self.workers else 1

    def _together(self, parts: int, left: int) -> int:
        """Return how many parts go in the next lot, of how many in all and still to be given out."""
        if not self.along:
            return 1
        together = max(min(MOST_TOGETHER, parts // (MANY * self.workers)), 1)
        return min(together, -(-left // (FEW * self.workers)))

    @cached_property
    def _sent(self) -> bytes:
        """What other processes get of the problem."""
        # Packed once for all parts; workers unpack it once as well (`_opened`).
        return pickle.dumps((self.within, self.problem))

    def _late(self, pending: dict[Any, list[tuple[int, Any]]], done: set[int]) -> tuple[int, Any] | None:
        """Return a part that was sent to processes which are still loading: it is done here sooner, and is the same."""
        if self.once or self._loaded or self._took > LOADING_S:
            return None
        return next((one for some in pending.values() for one in some if one[0] not in done), None)


def begun(workers: int | None, parts: int, module: str) -> None:
    """Start the other processes that so many parts will be given to, each with a module loaded, while this one still prepares them.

    Does nothing where all is done by this process.
    """
    cores = workers or os.cpu_count() or 1
    others = min(cores, parts) - 1
    if others < 1:
        return
    executor = processes(others, cores - 1)
    with suppress(BrokenProcessPool):  # seen, and seen to, where there is work for them
        for _ in range(others):
            executor.submit(_loaded, module)


def _loaded(module: str) -> None:
    leave_stopping_to_the_parent()
    import_module(module)


def connected(address: str, note: Callable[[str], None] = lambda text: None) -> AbstractContextManager[Any]:
    """Return a client of a cluster that has a worker.

    Parameters
    ----------
    address : str
        Of its scheduler.
    note : callable
        Gets a sentence to show when a worker is to be waited for.

    Raises
    ------
    InputError
        If there is no such cluster, it has no worker after `WORKER_WAIT_S`, or Dask is not installed.
    """
    if not _ADDRESS.fullmatch(address):
        raise InputError(f"--cluster {address}: this is no address of a scheduler: write it like tcp://host:8786")
    try:
        from distributed import Client
    except ImportError:
        raise InputError("--cluster needs Dask: pip install 'jounce[cluster]'") from None
    connect: Any = Client  # it has no types of its own
    try:
        with ThreadPoolExecutor(1) as thread:  # whoever calls may have an event loop of their own
            thread.submit(lambda: asyncio.run(_greeted(address))).result()
        client = connect(address, timeout=ANSWER_WAIT_S)
    except (
        OSError,
        ValueError,
        MemoryError,
    ) as error:  # the last where something else answers, and it is taken for a length
        raise InputError(
            f"--cluster {address}: no Dask scheduler answers there ({type(error).__name__}). Start one with `dask scheduler`, "
            f"workers with `dask worker {address}`, in an environment that has jounce."
        ) from None
    try:
        if not client.nthreads():
            note(
                f"The scheduler at {address} has no worker yet: waiting {WORKER_WAIT_S:g} s for one. "
                f"Start a worker: dask worker {address}"
            )
            _worker_awaited(client, address)
    except BaseException:
        client.close()
        raise
    opened: AbstractContextManager[Any] = client
    return opened


def _worker_awaited(client: Any, address: str) -> None:
    """Wait until a cluster has a worker; without one after `WORKER_WAIT_S` it is said what to do."""
    try:
        client.wait_for_workers(1, timeout=WORKER_WAIT_S)
    except OSError:  # so is what tells that the time is over
        raise InputError(
            f"--cluster {address}: the scheduler there has no worker. Start a worker: dask worker {address}, in an environment "
            "that has jounce; then give this command again."
        ) from None


async def _greeted(address: str) -> None:
    """Exchange greetings with a scheduler: the client would wait for ever for those of something that is none."""
    import distributed

    dask: Any = distributed  # it has no types of its own
    greeted = dask.core.connect(address, timeout=ANSWER_WAIT_S, **dask.Security().get_connection_args("client"))
    try:
        connection = await asyncio.wait_for(greeted, 2 * ANSWER_WAIT_S)
    except TimeoutError:
        raise TimeoutError from None
    await connection.close()


_there = 0
"""Other processes that were last asked for."""


def processes(least: int, most: int) -> Any:
    """Return other processes, at least so many; those that there are already, up to `most`."""
    from joblib.externals.loky import get_reusable_executor

    global _there
    # What has fewer parts than there are processes lets none of them go: the next work would wait for new ones to load.
    _there = count = min(max(least, _there), most)
    _hush_workers_that_leave()
    with warnings.catch_warnings():
        # Other processes may still be at a part of earlier work that was given up: that this call waits for them is meant.
        warnings.filterwarnings("ignore", "Trying to resize an executor with running jobs", UserWarning)
        # A pool that was broken is replaced by this call; one that is whole is taken again.
        with suppress(OSError):
            return get_reusable_executor(max_workers=count, timeout=IDLE_S)
        # One whose process was killed while this call waited for its jobs is given new ones on pipes that are closed by now. It is known
        # as broken since, and is replaced; whatever else it was is met again, and is said.
        _hush_closed_pipes()
        return get_reusable_executor(max_workers=count, timeout=IDLE_S)


def _hush_workers_that_leave() -> None:
    """Let a process that leaves with work still to do be replaced without a word: its work is done again, and nobody can act on that.

    For good, not for a while: the pool's own thread warns, whenever it sees it. Of that one sentence from that one module.
    """
    warnings.filterwarnings(
        "ignore", "A worker stopped while some jobs were given to the executor", UserWarning,
        r"joblib\.externals\.loky\.process_executor",
    )  # fmt: skip


def _hush_closed_pipes() -> None:
    """Let the pipes of a pool that broke be thrown away without a word: that they are closed already is no news to a person."""
    says = sys.unraisablehook

    def hook(of: "sys.UnraisableHookArgs", /) -> None:
        is_pipe = getattr(of.object, "__module__", "") == "multiprocessing.connection"
        if not (is_pipe and isinstance(of.exc_value, OSError) and of.exc_value.errno == errno.EBADF):
            says(of)

    sys.unraisablehook = hook


def _some(sent: bytes, parts: Sequence[tuple[int, Any]]) -> list[tuple[int, Any]]:
    within, problem = _opened(sent)
    with within():
        return [(number, problem.solved(part)) for number, part in parts]


# Workers are kept between calls, whose problems differ.
@lru_cache(maxsize=4)
def _opened(sent: bytes) -> tuple[Callable[[], AbstractContextManager[Any]], Problem]:
    leave_stopping_to_the_parent()
    opened: tuple[Callable[[], AbstractContextManager[Any]], Problem] = pickle.loads(sent)
    return opened


def leave_stopping_to_the_parent() -> None:
    """Let Ctrl-C, which a terminal sends to all processes, be reported once, by the one that keeps the results."""
    try:
        signal.signal(signal.SIGINT, signal.SIG_IGN)
    except ValueError:  # not the main thread: a cluster's worker
        return
