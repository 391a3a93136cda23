"""Lets two folders change names in one step, where the system can."""

import ctypes
import errno
import os
import sys
from pathlib import Path

HERE, EXCHANGE = -100, 2
"""AT_FDCWD and RENAME_EXCHANGE of Linux' renameat2(2)."""

SWAP = 2
"""RENAME_SWAP of macOS' renamex_np(2)."""

CANNOT = {errno.ENOSYS, errno.EINVAL, errno.ENOTSUP, errno.EOPNOTSUPP, errno.EPERM}
"""What a system says, or a disk, that cannot do it."""


def exchanged(one: Path, other: Path) -> bool:
    """Let two folders that exist change names in one step; false, and nothing is done, where the system cannot.

    Raises
    ------
    OSError
        If it can, and it fails.
    """
    if sys.platform not in ("linux", "darwin"):
        return False
    try:
        # Python has no call for it: `os.replace` cannot put one folder over another that is not empty.
        library = ctypes.CDLL(None, use_errno=True)
        if sys.platform == "linux":
            failed = library.renameat2(HERE, os.fsencode(one), HERE, os.fsencode(other), EXCHANGE)
        else:
            failed = library.renamex_np(os.fsencode(one), os.fsencode(other), SWAP)
    except (OSError, AttributeError):  # an older library
        return False
    if not failed:
        return True
    code = ctypes.get_errno()
    if code in CANNOT:
        return False
    raise OSError(code, os.strerror(code), str(one))
