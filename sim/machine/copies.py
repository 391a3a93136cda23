"""Does a piece of work in a second process split off from this one, where that is safe and there is a core for it."""

import os
import pickle
import signal
import sys
import threading
import warnings
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from typing import Any, TypeVar

from sim import machine

Value = TypeVar("Value")

ON_DEATH_OF_PARENT = 1
"""PR_SET_PDEATHSIG of Linux' prctl(2)."""


@contextmanager
def in_copy(work: Callable[[], object]) -> Iterator[None]:
    """Do `work`, which leaves nothing but files, while the body of the `with` runs.

    A copy of this process costs no start-up. It is made only of a process that is a jounce command and nothing else,
    on a system whose libraries bear it; elsewhere the work is done after the body. So it is if the copy fails, for
    whatever reason: then its error is met here, and reported as any other.
    """
    if not can_split():
        yield
        work()
        return
    copy = _split_off(work)
    with _ended_with_the_body(copy):
        yield
        _, status = os.waitpid(copy, 0)
    if status != 0:  # its files may be half there; the work here writes them anew
        work()


@contextmanager
def promised(work: Callable[[], Value]) -> Iterator[Callable[[], Value]]:
    """Find a value in a copy of this process while the body of the `with` runs; yield what returns it, and waits where it must.

    Where no copy is made, or it fails, the value is found here when it is asked for, and an error is met there. A value that
    nobody asks for is given up at the end of the body.

    Parameters
    ----------
    work : callable
        Returns the value, which can be pickled.
    """
    if not can_split():
        yield work
        return
    here, there = os.pipe()

    def sent() -> None:
        with os.fdopen(there, "wb") as pipe:
            pickle.dump(work(), pipe, pickle.HIGHEST_PROTOCOL)

    copy = _split_off(sent)
    os.close(there)
    with os.fdopen(here, "rb") as pipe, _ended_with_the_body(copy):

        def value() -> Value:
            found = pipe.read()
            _, status = os.waitpid(copy, 0)
            return pickle.loads(found) if status == 0 else work()

        yield value
        with suppress(ProcessLookupError, ChildProcessError):  # its value was asked for
            os.kill(copy, signal.SIGKILL)
            os.waitpid(copy, 0)


@contextmanager
def shared_out(pieces: Sequence[Callable[[], Any]]) -> Iterator[Callable[[], None]]:
    """Do pieces of work, which leave nothing but files, in a copy from the first on and here from the last on; all are done at the end.

    Whoever is free takes the next, so that both end together. Where no copy is made all are done here; where it fails, those
    that it took are done here again, and its error is met here.

    Yields
    ------
    callable
        Does this process' share: for the body of the `with`, when it has done what else it has to do. A body that never calls
        it has it done at its end.
    """
    own: set[int] = set()
    if not can_split():

        def all_of_it() -> None:
            for number in sorted(set(range(len(pieces))) - own, reverse=True):
                pieces[number]()
                own.add(number)

        yield all_of_it
        all_of_it()
        return
    claims = os.memfd_create("pieces of work")
    try:
        copy = _split_off(lambda: _done(pieces, claims, range(len(pieces)), set()))
        with _ended_with_the_body(copy):

            def share() -> None:
                _done(pieces, claims, reversed(range(len(pieces))), own)

            yield share
            share()
            _, status = os.waitpid(copy, 0)
    finally:
        os.close(claims)
    if status != 0:
        for number, piece in enumerate(pieces):
            if number not in own:
                piece()


def _done(pieces: Sequence[Callable[[], Any]], claims: int, order: Iterable[int], own: set[int]) -> None:
    """Do what nobody else has taken, and note which that were."""
    import fcntl  # of the systems on which copies are made

    for number in order:
        # Taken is what has its byte set; the lock keeps the other process out between the look and the mark.
        fcntl.lockf(claims, fcntl.LOCK_EX)
        is_taken = bool(os.pread(claims, 1, number).strip(b"\0"))
        os.pwrite(claims, b"x", number)
        fcntl.lockf(claims, fcntl.LOCK_UN)
        if not is_taken:
            pieces[number]()
            own.add(number)


@contextmanager
def _ended_with_the_body(copy: int) -> Iterator[None]:
    """End a copy when the body fails, and wait for it: nothing of it is left."""
    try:
        yield
    except BaseException:
        with suppress(ProcessLookupError, ChildProcessError):  # it may have ended just before
            os.kill(copy, signal.SIGKILL)
            os.waitpid(copy, 0)
        raise


def can_split() -> bool:
    """Tell whether a copy of this process can work for it: of a jounce command, where the system bears it, with a core free.

    Not while another thread runs, such as that of a progress display: the copy would have what it has locked, and nobody to
    unlock it. Whoever shows progress makes the copy first.
    """
    return (
        machine.OWN_PROCESS
        and not machine.PLAIN
        and sys.platform == "linux"  # macOS' own libraries do not bear a copy of a process
        and len(os.sched_getaffinity(0)) > 1
        and threading.active_count() == 1
    )


def _split_off(work: Callable[[], object]) -> int:
    """Return the process number of a copy that does the work and then ends, without a word."""
    first = os.getpid()  # before the copy is there: afterwards its parent may be another
    with warnings.catch_warnings():
        # Of threads that are none of Python's: those of the library of linear algebra wait, and it sees to a copy by itself.
        warnings.simplefilter("ignore", DeprecationWarning)
        copy = os.fork()
    if copy:
        return copy
    status = 1
    try:
        _end_with(first)
        work()
        status = 0
    finally:
        os._exit(status)  # no clean-up that belongs to the first process, no traceback


def _end_with(first: int) -> None:
    """Have the system end this copy when the first process is ended by a signal that it cannot act on."""
    import ctypes

    with suppress(OSError, AttributeError):
        ctypes.CDLL(None).prctl(ON_DEATH_OF_PARENT, int(signal.SIGKILL))
    if os.getppid() != first:  # it has ended already
        os._exit(1)
