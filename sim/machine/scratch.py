"""A folder for what a command needs only while it works, which goes with the command, however that ends.

A command that is killed clears nothing up. So a lock lies beside each folder, and the system lets go of it when the command
ends: whoever makes the next folder removes those whose lock nobody holds.
"""

import re
import secrets
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from sim.machine.locks import HeldError, locked

NAMED = re.compile(r"jounce-[0-9a-f]{16}\.lock")
"""Names of the locks: with so many random digits, no person's file has one by chance."""


@contextmanager
def scratch() -> Iterator[Path]:
    """Yield a new folder among the system's temporary files, which is removed after the body of the `with`.

    Yields
    ------
    Path
        The folder, readable by this user alone.

    Raises
    ------
    OSError
        If it cannot be made.
    """
    place = Path(tempfile.gettempdir())
    _cleared(place)
    folder = place / f"jounce-{secrets.token_hex(8)}"
    # The lock first: a folder that is there without a held lock is nobody's. Between its file and its hold another process that clears up
    # may have found and taken it: that one lets go at once.
    with locked(folder.with_suffix(".lock"), lambda: None):
        try:
            folder.mkdir(mode=0o700)
            yield folder
        finally:
            shutil.rmtree(folder, ignore_errors=True)


def _cleared(place: Path) -> None:
    """Remove the folders of commands that have been killed."""
    for lock in place.glob("jounce-*.lock"):
        if not NAMED.fullmatch(lock.name):
            continue
        # Another user's, or one that ended meanwhile; where the disk knows no locks, it may be at work.
        with suppress(HeldError, OSError), locked(lock) as held:
            if held:
                shutil.rmtree(lock.with_suffix(""), ignore_errors=True)
