"""A file that is written into a command's standard input: `-` in place of a file's name."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

DASH = Path("-")
"""What stands for it. Files that it names are looked for in the folder in which the command runs."""

WORDS = "standard input"
"""How messages call it."""


class _Given:
    """What was read, once for all that read it; None where no command was given it."""

    raw: bytes | None = None


@contextmanager
def given(raw: bytes) -> Iterator[None]:
    """Have `-` stand for what was read there, as long as this lasts."""
    before, _Given.raw = _Given.raw, raw
    try:
        yield
    finally:
        _Given.raw = before


def is_given(path: Path) -> bool:
    """Return whether a path stands for what was given; else `-` is a file's name as any other."""
    return _Given.raw is not None and path == DASH


def held() -> bytes:
    """Return what was given."""
    return _Given.raw or b""
