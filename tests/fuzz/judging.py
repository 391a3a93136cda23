"""What must hold for `check` of any file: an exit code that is documented, no traceback, words that fit a screen and cannot steer it."""

import contextlib
import io
import re
import time
from pathlib import Path
from typing import NamedTuple

from sim.cli import main

DOCUMENTED = (0, 2, 3)
"""Exit codes of `check`: all is well, what was written cannot be used, flagged."""

LONGEST = 12_000
"""Letters of all that is said: some screens."""

LONGEST_S = 5.0
"""Seconds of the processor that reading may take, whatever else the machine does."""

CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")
"""What can steer a terminal, or stands for nothing."""

WITH_LINE = re.compile(r"^\S.*?:\d+(?::\d+)?: ", re.MULTILINE)


class Judged(NamedTuple):
    """What a file led to.

    Attributes
    ----------
    code : int
        The exit code.
    fault : str
        What must not be, in words; empty if all holds.
    problems : int
        Problems that were said.
    without_line, without_value : list of str
        Those of them that say no line, and those that do not say what was given.
    words : str
        All that was said.
    """

    code: int
    fault: str
    problems: int
    without_line: list[str]
    without_value: list[str]
    words: str


def judged(path: Path, command: str = "check") -> Judged:
    """Let a command read a file, and judge what comes of it.

    Parameters
    ----------
    path : Path
        The file.
    command : str
        One that takes a file.
    """
    said = io.StringIO()
    begun = time.process_time()
    try:
        with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
            code = main([command, str(path)])
    except SystemExit as end:
        code = int(end.code or 0)
    except BaseException as error:  # whatever gets past the command itself is a traceback to a person
        return Judged(70, f"{type(error).__name__} reached the caller: {error}", 0, [], [], said.getvalue())
    words = said.getvalue()
    lines = [line for line in words.splitlines() if line and not line.startswith((" ", "\t"))]
    problems = [line for line in lines if ": " in line and code == 2 and "NOTICE" not in line]
    without = [line for line in problems if not WITH_LINE.match(line)]
    mute = _without_value(words) if code == 2 else []
    took = time.process_time() - begun
    fault = _fault(code, words) or (f"{took:.0f} s of the processor" if took > LONGEST_S else "")
    return Judged(code, fault, len(problems), without, mute, words)


def _without_value(words: str) -> list[str]:
    """Return the problems that say neither in their first line nor below it what was given."""
    mute, lines = [], words.splitlines()
    for line, after in zip(lines, [*lines[1:], ""], strict=True):
        if (
            WITH_LINE.match(line)
            and "'" not in line
            and not re.search(r": .*\d", line.split(": ", 1)[1])
            and "given:" not in after
        ):
            mute.append(line)
    return mute


def _fault(code: int, words: str) -> str:
    if "Traceback" in words:
        return "a traceback"
    if code not in DOCUMENTED:
        return f"exit code {code}"
    if CONTROL.search(words):
        return f"a sign that steers a terminal: {CONTROL.search(words)!r}"
    if len(words) > LONGEST:
        return f"{len(words)} letters said"
    return ""
