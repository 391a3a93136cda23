"""How memory that has been freed is treated, in a process that is a jounce command and nothing else."""

import sys
from contextlib import suppress
from functools import cache

from sim import machine

TRIM, MAPPED = -1, -3
"""Names of what is set, M_TRIM_THRESHOLD and M_MMAP_THRESHOLD (malloc.h of the GNU C library)."""

KEPT_MOST, LARGEST = 256 * 2**20, 32 * 2**20
"""Bytes: so much free memory is kept, and of pieces up to that size."""


@cache
def keep_freed() -> None:
    """Have freed memory kept for the next arrays of like size, on a system that can be told to.

    Else signals of a block, a megabyte or two each, are given back as soon as they are done with and fetched anew for the
    next, page by page: that takes longer than all that is worked out of them.
    """
    if not (machine.OWN_PROCESS and sys.platform == "linux"):
        return
    import ctypes

    with suppress(OSError, AttributeError):  # another C library has no such call
        library = ctypes.CDLL(None)
        library.mallopt(MAPPED, LARGEST)
        library.mallopt(TRIM, KEPT_MOST)
