"""Files that a copy of this process writes ahead, before the folder that they are for is there."""

import os
import shutil
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path

from sim.machine.copies import Copy, begun, can_split, memory

Put = Callable[[int, Path], None]
"""Puts the file of a number at a path."""


@contextmanager
def written_ahead(pieces: Sequence[Callable[[Path], object]]) -> Iterator[Put]:
    """Write files into memory in a copy of this process, from the first on, while the body of the `with` runs.

    Where no copy is made, where it fails, or has not come to a file yet, whoever wants that file writes it: then an error of it is met there.

    Parameters
    ----------
    pieces : sequence of callables
        Each writes a file at the path that it is given. As they stay in memory until the body ends, they should not be large.

    Yields
    ------
    callable
        Puts the file of a number at a path; for copies of this process too.
    """
    with ExitStack() as kept:
        copy, places, state = None, [], -1
        if pieces and can_split():
            state, *places = (memory(kept, name) for name in ("state", *("file" for _ in pieces)))
            copy = begun(lambda: _write(pieces, places, state))
        if copy is not None:
            kept.enter_context(copy)
        yield lambda number, path: _put(pieces, copy, places, state, number, path)


def _write(pieces: Sequence[Callable[[Path], object]], places: Sequence[int], state: int) -> None:
    import fcntl  # of the systems on which copies are made

    for number, piece in enumerate(pieces):
        # Locked by somebody: it is wanted now, and being written.
        try:
            fcntl.lockf(state, fcntl.LOCK_EX | fcntl.LOCK_NB, 1, number)
        except OSError:
            continue
        piece(Path(f"/proc/self/fd/{places[number]}"))
        os.pwrite(state, b"x", number)
        fcntl.lockf(state, fcntl.LOCK_UN, 1, number)


def _put(
    pieces: Sequence[Callable[[Path], object]], copy: Copy | None, places: Sequence[int], state: int, number: int, path: Path
) -> None:  # fmt: skip
    if copy is None:
        pieces[number](path)
        return
    import fcntl

    # Waits where the copy is at that file. Of a copy that was ended the system takes the lock back.
    fcntl.lockf(state, fcntl.LOCK_EX, 1, number)
    try:
        if os.pread(state, 1, number).strip(b"\0"):
            shutil.copyfile(f"/proc/self/fd/{places[number]}", path)
        else:
            pieces[number](path)
    finally:
        fcntl.lockf(state, fcntl.LOCK_UN, 1, number)
