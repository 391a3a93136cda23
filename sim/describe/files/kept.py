"""What was read of files while something was loaded: a record tells of that, and not of what the files hold by then."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import TypeVar

from sim.describe.files.delimited import encoding_of

LONGEST_TEXT = 2_000_000
"""Bytes up to which a file's text is kept; of a longer one, a surveyed profile, its hash."""

Found = TypeVar("Found")


@dataclass(frozen=True)
class Kept:
    """A file as it was read: its SHA-256, and its text or, of a long one, how long it is."""

    sha256: str
    text: str


Read = dict[Path, Kept]
"""Files by where they really are."""

_open: ContextVar[tuple[Read, ...]] = ContextVar("_open", default=())


@contextmanager
def keeping() -> Iterator[Read]:
    """Yield what fills, in the body of the `with`, with every file that is read there."""
    read: Read = {}
    # A tuple, not one record: a load within a load (a study that reads a scenario) fills both.
    token = _open.set((*_open.get(), read))
    try:
        yield read
    finally:
        _open.reset(token)


def kept(raw: bytes) -> Kept:
    """Return what is kept of a file's bytes."""
    # binary bytes must not stop a record
    text = raw.decode(encoding_of(raw), "replace") if len(raw) <= LONGEST_TEXT else f"left out: {len(raw) / 1e6:.1f} MB"
    return Kept(sha256(raw).hexdigest(), text)


def keep(path: Path, raw: bytes) -> None:
    """Keep what a file held when it was read; of one that is read twice, what was read first."""
    for read in _open.get():
        # By its real path: two names of one file, a link and its target, are one file.
        read.setdefault(path.resolve(), kept(raw))


def steady(path: Path, reads: Callable[[], Found]) -> Found:
    """Return what a reader makes of a file, and keep the bytes that it has read.

    Raises
    ------
    ValueError
        If the file is changed meanwhile; and what the reader raises.
    """
    # Compared before and after, since a test machine may still be writing: half a table reads as a whole one.
    before = _bytes(path)
    contents = reads()
    if before is None or _bytes(path) != before:
        raise ValueError(f"{path.name} is being changed: try again when it is written")
    keep(path, before)
    return contents


def _bytes(path: Path) -> bytes | None:
    """Return what a file holds; None if it cannot be read, of which its reader says more, or is longer than any reader takes."""
    try:
        return path.read_bytes() if path.is_file() and path.stat().st_size <= MOST_BYTES else None
    except OSError:
        return None


MOST_BYTES = 50_000_000
"""Largest file that any reader takes."""
