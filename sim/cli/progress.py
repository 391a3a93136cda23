"""How far a command is, on standard error: a line that moves on a terminal, a line now and then where there is none, nothing if asked."""

import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from time import monotonic
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console

EVERY_S = 10.0
"""Time between lines where there is no terminal [s]; what takes less needs none."""


class _Said:
    """Whether what is beside results is said."""

    quiet: bool = False


@contextmanager
def quietly(quiet: bool) -> Iterator[None]:
    """Say neither progress nor what comes next as long as this lasts; errors, notices and cautions are said all the same."""
    # Put back afterwards: a notebook calls several commands in one process.
    before, _Said.quiet = _Said.quiet, quiet
    try:
        yield
    finally:
        _Said.quiet = before


def closing(text: str) -> None:
    """Say what a person waits for, where results are and what comes next, unless it is wanted quiet."""
    if not _Said.quiet:
        print(text, file=sys.stderr, flush=True)


def console() -> "Console":
    """Return a console for what moves: standard error, as standard output may be JSON for a script."""
    from rich.console import Console

    return Console(stderr=True, quiet=_Said.quiet)


def lines() -> Callable[[str], None]:
    """Return what says how far a command is where there is no terminal: a log or a pipe gets a line now and then."""
    begun = last = monotonic()

    def line(text: str) -> None:
        nonlocal last
        now = monotonic()
        # On a terminal the line that moves says it.
        if now - last >= EVERY_S and not _Said.quiet and not sys.stderr.isatty():
            last = now
            print(f"{text} ({now - begun:.0f} s)", file=sys.stderr, flush=True)

    return line


@contextmanager
def working(text: str) -> Iterator[Callable[[str], None]]:
    """Show what is being done as long as this lasts; gives what changes the words."""
    line, before = lines(), set(threading.enumerate())
    turns: set[threading.Thread] = set()
    try:
        with console().status(text, spinner="line") as status:
            turns |= set(threading.enumerate()) - before

            def update(words: str) -> None:
                status.update(words)
                line(words)

            yield update
    finally:
        # The spinner's thread is only asked to end: while it is there, no process is copied (`sim.machine.copies`).
        for thread in turns:
            thread.join()
