"""A file that says that a command is at work on something, and that the system lets go of when the command ends, however it ends.

Why not a library: those that are kept well leave their file behind for ever, one beside every folder of results. Here it is
removed by whoever held it; who has opened it meanwhile sees that it is not the one at that name any more, and tries again.
"""

import errno
import os
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

LOOK_AGAIN_S = 0.1
"""Time between looks at what another command holds [s]."""

CANNOT = {errno.ENOSYS, errno.ENOLCK, errno.EOPNOTSUPP, errno.ENOTSUP, errno.EINVAL}
"""What a disk says that knows no locks."""

OPEN = os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_CLOEXEC", 0)


class HeldError(Exception):
    """Another command is at work on it."""


@contextmanager
def locked(path: Path, waits: Callable[[], None] | None = None) -> Iterator[bool]:
    """Hold a lock in the body of the `with`.

    Parameters
    ----------
    path : Path
        The lock's file, in a folder that exists. A link is not followed.
    waits : callable, optional
        Called once if another command holds it, which is then waited for; without, that is an error.

    Yields
    ------
    bool
        Whether it is held: false on a disk that knows no locks, where the work is done all the same.

    Raises
    ------
    HeldError
        If another command holds it and nobody waits.
    OSError
        If the file cannot be made.
    """
    try:
        file = _taken(path, waits)
    except OSError as error:
        if error.errno not in CANNOT:  # a network disk without locks must not keep anybody from working
            raise
        file = None
    if file is None:
        yield False
        return
    try:
        yield True
    finally:
        try:
            if os.name != "nt":  # there an open file cannot be removed
                with suppress(OSError):
                    # Removed while it is held: let go first, it could be the next one's that goes.
                    path.unlink()
        finally:
            os.close(file)
        if os.name == "nt":
            with suppress(OSError):
                path.unlink()


def _taken(path: Path, waits: Callable[[], None] | None) -> int:
    """Return the open file of a lock once it is held."""
    announced = False
    while True:
        file = _tried(path)
        if file is not None:
            return file
        if waits is None:
            raise HeldError(str(path))
        if not announced:  # said once, however long it takes
            waits()
            announced = True
        time.sleep(LOOK_AGAIN_S)


def _tried(path: Path) -> int | None:
    """Return the open file of a lock if it can be held now, and is still the one at that name."""
    while True:
        file = os.open(path, OPEN, 0o600)
        try:
            if not _held(file):
                os.close(file)
                return None
            # Who held it may have removed it between opening and locking: then this one guards nothing.
            if _is_at(file, path):
                return file
        except BaseException:  # Ctrl-C in between must leave no file open
            os.close(file)
            raise
        os.close(file)


def _held(file: int) -> bool:
    try:
        if os.name == "nt":
            import msvcrt

            msvcrt.locking(file, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]
        else:
            import fcntl

            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        # What systems say when another holds it; anything else is a fault of the disk.
        if error.errno in (errno.EAGAIN, errno.EACCES, errno.EDEADLK):
            return False
        raise
    return True


def _is_at(file: int, path: Path) -> bool:
    try:
        # By number on its disk: the name alone would be that of a new file too.
        there, here = path.stat(follow_symlinks=False), os.fstat(file)
    except FileNotFoundError:
        return False
    return (there.st_ino, there.st_dev) == (here.st_ino, here.st_dev)
