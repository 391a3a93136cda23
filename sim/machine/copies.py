"""Does a piece of work in a second process split off from this one, where that is safe and there is a core for it."""

import os
import signal
import sys
import threading
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress

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
    if not can_split():
        yield
        work()
        return
    copy = _split_off(work)
    try:
        yield
        _, status = os.waitpid(copy, 0)
    except BaseException:
        with suppress(ProcessLookupError, ChildProcessError):  # it may have ended just before
            os.kill(copy, signal.SIGKILL)
            os.waitpid(copy, 0)
        raise
    if status != 0:  # its files may be half there; the work here writes them anew
        work()


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
