"""Spreads work over processes or, with the address of a Dask scheduler, over machines, by joblib either way.

Why joblib: its loky workers are kept between calls, survive a fork-unsafe parent and notice a killed sibling; and its Dask
backend takes the very same call to a cluster, where the scheduler gives what a lost worker had to another one. So one path
is written and tested here, and neither engine is needed where it is not used.
"""

import os
import pickle
import signal
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, ExitStack
from functools import lru_cache
from typing import Any, Protocol

from sim.errors import InputError, RunError

KILLED_MOST = 3
"""So many times workers may be killed before it is given up."""


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
        Processes on this machine, all cores by default; 1 works in this process.
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
        self._sent = b""
        self._stack = ExitStack()

    def __enter__(self) -> "Spread":
        if self.cluster is not None or self.workers > 1:
            self._sent = pickle.dumps(self.problem)
        if self.cluster is not None:
            self._stack.enter_context(_client(self.cluster))
        return self

    def __exit__(self, *of: object) -> None:
        self._stack.close()

    def each(self, parts: Sequence[Any]) -> Iterator[tuple[int, Any]]:
        """Yield (number, result) of each part, as they are finished.

        What a worker had that was killed, for want of memory most often, is done again by another.

        Raises
        ------
        RunError
            If workers are killed again and again.
        """
        if self.cluster is None and min(self.workers, len(parts)) <= 1:
            for number, part in enumerate(parts):
                yield number, self.problem.solved(part)
            return
        import joblib
        from joblib.externals.loky.process_executor import BrokenProcessPool

        backend: dict[str, Any] = {"backend": "dask"} if self.cluster is not None else {"backend": "loky"}
        jobs = -1 if self.cluster is not None else self.workers
        left = dict(enumerate(parts))
        for _ in range(KILLED_MOST):
            try:
                with joblib.parallel_config(**backend):
                    pool = joblib.Parallel(n_jobs=jobs, return_as="generator_unordered", batch_size=1, max_nbytes=None)
                    for number, result in pool(joblib.delayed(_one)(self._sent, *one) for one in list(left.items())):
                        del left[number]
                        yield number, result
                return
            except BrokenProcessPool:
                continue
        raise RunError(
            f"Worker processes were killed {KILLED_MOST} times, for want of memory most often. What was done is noted: the same "
            "command goes on from there; give it fewer at once with --workers 1."
        )


def _client(address: str) -> AbstractContextManager[Any]:
    try:
        from distributed import Client
    except ImportError:
        raise InputError("--cluster needs Dask: pip install 'jounce[cluster]'") from None
    connect: Any = Client  # it has no types of its own
    try:
        client: AbstractContextManager[Any] = connect(address, timeout=10)
    except (OSError, ValueError) as error:
        raise InputError(
            f"--cluster {address}: no Dask scheduler answers there ({type(error).__name__}). Start one with `dask scheduler`, "
            "workers with `dask worker ADDRESS`, in an environment that has jounce."
        ) from None
    return client


def _one(sent: bytes, number: int, part: Any) -> tuple[int, Any]:
    return number, _opened(sent).solved(part)


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
