"""Whether there is room for what a run keeps: asked before, since a system that runs out of memory ends a command without a word."""

import ctypes
import sys
from contextlib import suppress
from math import inf
from pathlib import Path

from sim.errors import RunError

SHARE = 0.9
"""Of the memory that is free how much may be taken: others need some too."""

COPIES = 2.5
"""So many times its outputs does a run need: twice run to know its error, and signals worked out of it."""


SMALL = 1e8
"""Bytes that are not asked for: searches run a short course some thousand times."""


def free_bytes() -> float:
    """Return how much memory this process may still take: what the system has, what its group and itself are allowed.

    Infinite where the system does not say (other than Linux), so that nothing is refused there.
    """
    free = inf
    # What the system could give without writing any away (Linux kernel documentation, proc(5)).
    with suppress(OSError, ValueError, IndexError):
        lines = Path("/proc/meminfo").read_text(encoding="ascii").splitlines()
        free = min(free, *(1024.0 * int(line.split()[1]) for line in lines if line.startswith("MemAvailable:")), inf)
    # Of a container or a job of a cluster (control groups, version 2).
    with suppress(OSError, ValueError):
        group = Path("/sys/fs/cgroup")
        free = min(free, float((group / "memory.max").read_text()) - float((group / "memory.current").read_text()))
    if sys.platform != "win32":
        import resource

        with suppress(OSError, ValueError, IndexError):
            most, _ = resource.getrlimit(resource.RLIMIT_AS)
            if most != resource.RLIM_INFINITY:
                taken = resource.getpagesize() * float(Path("/proc/self/statm").read_text().split()[0])
                free = min(free, most - taken)
    return max(free, 0.0)


def room_for(outputs: int, channels: int) -> None:
    """See that there is room for a run of so many outputs of so many channels.

    Raises
    ------
    RunError
        If there is not.
    """
    needed = COPIES * 8.0 * outputs * channels
    if needed < SMALL:
        return
    free = free_bytes()
    if needed > SHARE * free:
        raise RunError(
            f"This run would take {needed / 1e9:.1f} GB of memory, and {free / 1e9:.1f} GB are free. "
            "Shorten the course, drive faster, or run fewer set-ups at once."
        )


def give_back() -> None:
    """Give freed memory back to the system, where its C library keeps it.

    After arrays of some megabytes glibc keeps what was freed between others that are still in use: a hundred megabytes of a run of
    ten minutes.
    """
    with suppress(
        OSError, AttributeError, TypeError
    ):  # another library has no such call, or none is found by that name
        ctypes.CDLL(None).malloc_trim(0)
