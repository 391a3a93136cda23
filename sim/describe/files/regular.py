"""Reads the bytes of a regular file, and of nothing else: a pipe would wait for ever, a device would never end."""

import os
import stat
from pathlib import Path

_KINDS = (
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISSOCK, "a socket"),
    (stat.S_ISCHR, "a device"),
    (stat.S_ISBLK, "a device"),
)


def there(path: Path) -> bool:
    """Return whether there is anything at a path; not so where the system does not take its name, which may be too long."""
    try:
        path.stat()
    except (OSError, ValueError):
        return False
    return True


def bytes_of(path: Path, most: int) -> bytes:
    """Return what a regular file holds.

    Parameters
    ----------
    path : Path
        The file; a link is followed.
    most : int
        Bytes that are read at most; of a longer file one more comes back.

    Raises
    ------
    OSError
        If it cannot be read, or is no regular file; its `strerror` is fit for people.
    """
    # Opened without waiting for a writer, and looked at only then: what lies at a path may be replaced in between.
    file = os.open(
        path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)
    )
    with open(file, "rb") as stream:  # noqa: PTH123 - by its number
        mode = os.fstat(stream.fileno()).st_mode
        if not stat.S_ISREG(mode):
            kind = next((words for is_one, words in _KINDS if is_one(mode)), "no file")
            raise OSError(None, f"it is {kind}, not a file that is read from start to end")
        return stream.read(most + 1)
