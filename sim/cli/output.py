"""Standard output and standard error of a command, which may be full, closed, or without a reader (`jounce … | head`).

Only a process that is a command puts these in the place of the system's. Results that cannot be written are an error. Where
nobody reads them any more, and for notes, there is none: the command goes on, and writes its files.
"""

import os
import sys
from typing import Any, TextIO

from sim.errors import OutputError

OUT, ERR = 1, 2
"""File numbers of standard output and standard error."""


class Stream:
    """A text stream that says in a sentence why it cannot be written, or, for notes, does without."""

    def __init__(self, stream: TextIO, for_notes: bool, closed: bool = False) -> None:
        self._stream, self._for_notes, self._closed = stream, for_notes, closed

    def __getattr__(self, name: str) -> Any:
        """Return whatever else a stream has."""
        return getattr(self._stream, name)

    def write(self, text: str) -> int:
        """Write a text.

        Raises
        ------
        OutputError
            If results cannot be written.
        """
        # Said here: the stream itself leads nowhere by now, and would take everything.
        if self._closed and not self._for_notes:
            raise OutputError(_sentence("it is closed"))
        try:
            self._stream.write(text)
        except OSError as error:
            self._given_up(error)
        # As if written, if nobody reads any more: the command still has files to write.
        return len(text)

    def flush(self) -> None:
        """Write what has been kept back.

        Raises
        ------
        OutputError
            As `write` does.
        """
        try:
            self._stream.flush()
        except OSError as error:
            self._given_up(error)

    def _given_up(self, error: OSError) -> None:
        """Let the rest, and what is still kept back, go nowhere; then say why, if somebody waits for it."""
        # The number itself is led elsewhere: what the stream has kept back would fail again when Python ends.
        _nowhere(self._stream.fileno())
        # A reader that has seen enough (`| head`) is no error; a full disk is.
        if not self._for_notes and not isinstance(error, BrokenPipeError):
            raise OutputError(_sentence(error.strerror or "the system refused")) from None


def taken_over() -> None:
    """Put them in the place of the system's; a closed one keeps its number, which else the next file would get."""
    # Only by the command line: a library must not change its caller's streams.
    sys.stdout = _stream(sys.stdout, OUT, for_notes=False)
    sys.stderr = _stream(sys.stderr, ERR, for_notes=True)


def _stream(given: TextIO | None, number: int, for_notes: bool) -> Any:
    if given is not None:
        return Stream(given, for_notes)
    _nowhere(number)
    # closefd: the number stays taken when this object goes.
    return Stream(open(number, "w", encoding="utf-8", closefd=False), for_notes, closed=True)


def _nowhere(number: int) -> None:
    null = os.open(os.devnull, os.O_WRONLY)
    if null != number:
        os.dup2(null, number)
        os.close(null)


def _sentence(reason: str) -> str:
    return (
        f"standard output: results cannot be written: {reason}. Files that were written before are whole. "
        "Send the output to a place that can be written, or leave it on the screen."
    )
