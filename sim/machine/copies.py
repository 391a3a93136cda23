"""Does a piece of work in a second process split off from this one, where that is safe and there is a core for it."""

import os
import signal
import sys
import threading
import warnings
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import AbstractContextManager, ExitStack, contextmanager, nullcontext, suppress
from typing import Any

from sim import machine

ON_DEATH_OF_PARENT = 1
"""PR_SET_PDEATHSIG of Linux' prctl(2)."""


@contextmanager
def in_copy(work: Callable[[], object]) -> Iterator[None]:
    """Do `work`, which leaves nothing but files, while the body of the `with` runs.

    A copy of this process costs no start-up. It is made only of a process that is a jounce command and nothing else,
    on a system whose libraries bear it; elsewhere the work is done after the body. So it is if the copy fails, for
    whatever reason: then its error is met here, and reported as any other.
    """
    copy = begun(work)
    if copy is None:
        yield
        work()
        return
    with copy:
        yield
        failed = copy.failed()
    if failed:  # its files may be half there; the work here writes them anew
        work()


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
    numbers = range(len(pieces))
    claims = os.memfd_create("pieces of work") if can_split() else -1
    try:
        copy = begun(lambda: _done(pieces, claims, numbers, set()))

        def share() -> None:
            if copy is not None:
                _done(pieces, claims, reversed(numbers), own)
                return
            for number in [one for one in reversed(numbers) if one not in own]:
                pieces[number]()
                own.add(number)

        with copy or nullcontext():
            yield share
            share()
            failed = copy is not None and copy.failed()
    finally:
        if claims >= 0:
            os.close(claims)
    for number in numbers if failed else ():
        if number not in own:
            pieces[number]()


def _done(pieces: Sequence[Callable[[], Any]], claims: int, order: Iterable[int], own: set[int]) -> None:
    """Do what nobody else has taken, and note which that were."""
    for number in order:
        if not is_taken(claims, number):
            pieces[number]()
            own.add(number)


def memory(kept: ExitStack, name: str) -> int:
    """Return the number of an open file in memory, which copies that are made later have too; closed with `kept`."""
    number = os.memfd_create(name)
    kept.callback(os.close, number)
    return number


def is_taken(claims: int, number: int) -> bool:
    """Tell whether another process has taken a piece; if not, it is this one's from now on."""
    import fcntl  # of the systems on which copies are made

    # Taken is what has its byte set; the lock keeps the other process out between the look and the mark.
    fcntl.lockf(claims, fcntl.LOCK_EX)
    is_taken = bool(os.pread(claims, 1, number).strip(b"\0"))
    os.pwrite(claims, b"x", number)
    fcntl.lockf(claims, fcntl.LOCK_UN)
    return is_taken


class Copy(AbstractContextManager["Copy"]):
    """A copy of this process; what is left of it when the `with` ends is ended.

    Parameters
    ----------
    number : int
        Of the process.
    """

    def __init__(self, number: int) -> None:
        self._number = number
        self._status: int | None = None

    def failed(self) -> bool:
        """Wait for its end; return whether its work failed."""
        # Once: the number of a process that was waited for may be another one's soon.
        if self._status is None:
            _, self._status = os.waitpid(self._number, 0)
        return self._status != 0

    def __exit__(self, *of: object) -> None:
        if self._status is None:
            os.kill(self._number, signal.SIGKILL)  # it is there until it is waited for, ended or not
            self.failed()


def begun(work: Callable[[], object]) -> Copy | None:
    """Return a copy that does the work; None where none is to be made, or the system has no room for one."""
    if not can_split():
        return None
    try:
        return Copy(_split_off(work))
    except OSError:
        return None


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
