"""Notes of a long search or sweep: what is finished, a line each, so that it goes on where it was stopped.

Nothing in them is trusted. A line counts only with its own checksum, so that one which was cut short, damaged, or written by
something else is left out and done again; and nothing is ever written through a link.
"""

import json
import os
import stat
from collections.abc import Callable, Iterator
from contextlib import ExitStack, suppress
from hashlib import sha256
from pathlib import Path
from typing import Any, Self

from sim.errors import OutputError
from sim.machine.locks import HeldError, locked

MOST_BYTES = 2_000_000_000
"""A larger file is none of ours."""

KEY_LETTERS = 12
"""Letters of a key in a file's name."""

# O_NOFOLLOW: a link put in the file's place must not lead our writing elsewhere. Windows has no such flag.
APPEND = os.O_WRONLY | os.O_APPEND | getattr(os, "O_NOFOLLOW", 0)
# O_NONBLOCK: a pipe that nobody writes to would keep us waiting. O_BINARY: Windows would change line ends.
READ = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)


def name_of(stem: str, key: str, end: str) -> str:
    """Return the name of a file of notes, which holds the key: what asks for something else has a file of its own."""
    return f".{stem}.{key[:KEY_LETTERS]}.{end}"


class Notes:
    """What is noted in a file, held by one command at a time.

    Parameters
    ----------
    path : Path
        The file. One of another key, or that is no plain file, is begun anew; what a link leads to is left as it is.
    key : str
        What the notes depend on.
    """

    def __init__(self, path: Path, key: str) -> None:
        self.path, self.key = path, key
        self.entries: list[Any] = []
        self._file: Any = None
        self._stack = ExitStack()

    def __enter__(self) -> Self:
        """Read what is there, and open it for more.

        Raises
        ------
        OutputError
            If another command is at it.
        OSError
            If it cannot be written.
        """
        self.path.parent.mkdir(parents=True, exist_ok=True)
        with ExitStack() as stack:
            try:
                stack.enter_context(locked(self.path.with_name(f"{self.path.name}.lock")))
            except HeldError:
                raise OutputError(
                    f"{self.path.parent}: another jounce command is at the very same work here. Wait until it has ended, or "
                    "choose another place with --outputs."
                ) from None
            # Read only under the lock: until then another command may be writing.
            self.entries = self._begun()
            self._file = stack.enter_context(
                open(os.open(self.path, APPEND), "a", encoding="utf-8", newline="\n")  # noqa: PTH123 - never through a link
            )
            # All went well, so lock and file stay open until `__exit__`; any error before this line lets go of both.
            self._stack = stack.pop_all()
        return self

    def __exit__(self, *of: object) -> None:
        self._stack.close()

    def add(self, entry: Any) -> None:
        """Note one thing; `flush` has it written. After the `with` nothing is noted any more."""
        if not self._file.closed:
            self._file.write(_line(entry))

    def flush(self) -> None:
        """Have the system write what was noted."""
        if not self._file.closed:
            self._file.flush()

    def _begun(self) -> list[Any]:
        """Return the entries of the file; begin it if there is none with this key."""
        entries, whole = _read(self.path)
        head = {"key": self.key}
        if not entries or entries[0] != head:
            _put(self.path, [_line(head)])
            return []
        if not whole:  # damaged lines go, or the next one would be put to the end of one
            _put(self.path, map(_line, entries))
        return entries[1:]


def _read(path: Path) -> tuple[list[Any], bool]:
    """Return the lines of a file that are as they were written, and whether those are all; none of what is no plain file."""
    try:
        file = os.open(path, READ)
    except OSError:
        # No file yet, or a link in its place: either way there is nothing to go on from.
        return [], False
    with open(file, "rb") as stream:  # noqa: PTH123 - never through a link
        about = os.fstat(file)
        # A second name of the same file leads elsewhere as a link does.
        if not stat.S_ISREG(about.st_mode) or about.st_nlink > 1 or about.st_size > MOST_BYTES:
            return [], False
        lines = stream.read().split(b"\n")
    # Every line ends with a line end, so what follows the last one was cut short.
    whole = lines.pop() == b""
    entries = []
    for line in lines:
        mark, _, text = line.partition(b" ")
        if mark != _mark(text):
            whole = False
            continue
        try:
            entries.append(json.loads(text))
        # The checksum may be right on what is no JSON, or nested too deep to read: anyone may write such a file.
        except (ValueError, RecursionError):
            whole = False
    return entries, whole


def _put(path: Path, lines: Iterator[str] | list[str]) -> None:
    """Write a file anew beside its place and put it there."""
    new = path.with_name(f"{path.name}.new")
    new.unlink(missing_ok=True)  # of a command that was killed: the lock says that nobody is at it
    try:
        with new.open("x", encoding="utf-8", newline="\n") as file:
            file.writelines(lines)
        # In one step: nobody ever reads half a file under this name.
        new.replace(path)
    except BaseException:
        new.unlink(missing_ok=True)
        raise


def let_go(path: Path) -> None:
    """Remove notes whose results are written; on a disk that does not let them go they stay, and the same command finds its work done."""
    with suppress(OSError):
        path.unlink(missing_ok=True)


def _line(entry: Any) -> str:
    text = json.dumps(entry)
    return f"{_mark(text.encode()).decode()} {text}\n"


def _mark(text: bytes) -> bytes:
    return sha256(text).hexdigest()[:16].encode()


Placed = Path | Callable[[str], Path]
"""A file of notes, or what names it for a key."""


def placed(notes: Placed, key: str) -> Path:
    """Return the file of notes for a key."""
    return notes(key) if callable(notes) else notes
