"""Everything that jounce says no with.

::

    JounceError
    ├── InputError      a file or a change that cannot be understood; holds every Problem found
    ├── RunError        the physics cannot start: no place to stand, a damper outside its stroke
    │   └── LiftedError a load that lifts the wheels of one end
    ├── OutputError     results cannot be written; what was there before is untouched
    └── InternalError   our own bug

The command line turns them into exit codes (`sim.cli`).
"""

import re
from dataclasses import dataclass

UNSEEN = re.compile(
    r"[\x00-\x08\x0b-\x1f\x7f-\x84\x86-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ufffe\uffff\ud800-\udfff]"
)
"""Signs that are not seen but steer a terminal, turn the direction of writing, or stand for nothing."""

STEERS = re.compile(UNSEEN.pattern[:-1] + r"\x85]")
"""Those, and the line end that YAML knows besides: readers take it as one, a terminal must not be given it."""

LONGEST_PART = 400
"""Letters of one part of a message."""

MOST_SHOWN = 20
"""Problems that are shown at once: a screen of them; the rest is counted."""


def cut(text: str, letters: int) -> str:
    """Return a text as it may be shown: what is not seen by its number, and at most so many letters."""
    seen = STEERS.sub(lambda sign: f"\\u{ord(sign[0]):04x}", text[: letters + 1])
    return seen if len(seen) <= letters else seen[: letters - 3] + "..."


class JounceError(Exception):
    """Base of all errors that a person can act on."""


# Plain fields, not one text: tests and other programs ask which key it was, people read the text.
@dataclass(frozen=True)
class Problem:
    """One thing that is wrong, and where, and what to do about it."""

    message: str
    file: str = ""
    line: int | None = None
    column: int | None = None
    where: str = ""  # dotted path inside the file, e.g. front.tyre.rate
    given: str = ""
    allowed: str = ""
    suggestion: str = ""

    def __str__(self) -> str:
        """Return `file:line:column: where: message`, then what was given, is allowed and may help."""
        place = self.file
        if self.line is not None:
            place += f":{self.line}:{self.column}"
        # What a file holds may be long, and hold anything: it is made fit for a screen here, whoever words the message.
        head = ": ".join(cut(part, LONGEST_PART) for part in (place, self.where, self.message) if part)
        rows = (("given", self.given), ("allowed", self.allowed), ("try", self.suggestion))
        return "\n".join([head, *(f"    {name}: {cut(text, LONGEST_PART)}" for name, text in rows if text)])


class InputError(JounceError):
    """One or more problems with what was written."""

    def __init__(self, problems: "tuple[Problem, ...] | list[Problem] | Problem | str") -> None:
        # A sentence alone is enough where there is no file: an option on the command line.
        if isinstance(problems, str):
            problems = Problem(problems)
        every = (problems,) if isinstance(problems, Problem) else tuple(problems)
        # Whoever mends a file goes through it from its top; files in the order in which they are spoken of.
        files = list(dict.fromkeys(problem.file for problem in every))
        self.problems: tuple[Problem, ...] = tuple(
            sorted(every, key=lambda one: (files.index(one.file), one.line or 0, one.column or 0))
        )
        shown = [str(problem) for problem in self.problems[:MOST_SHOWN]]
        more = len(self.problems) - len(shown)
        super().__init__("\n".join([*shown, f"and {more} more, of the same file or those after it"] if more else shown))


class RunError(JounceError):
    """A run that cannot start.

    Attributes
    ----------
    kind, part : str
        What a study flags it as, and what of the truck it is about.
    message, suggestion : str
        What is wrong, and what to try; empty if that is in the message. Its text has both.
    """

    kind = "not_run"

    def __init__(self, message: str, part: str = "set-up", suggestion: str = "") -> None:
        self.message, self.part, self.suggestion = message, part, suggestion
        super().__init__(f"{message}\n    try: {suggestion}" if suggestion else message)


class NeededError(RunError):
    """A run for which the vehicle's file lacks parts.

    Attributes
    ----------
    missing : tuple of str
        Their paths in the vehicle.
    """

    def __init__(self, message: str, missing: tuple[str, ...], suggestion: str = "") -> None:
        self.missing = missing
        super().__init__(message, suggestion=suggestion)

    def __reduce__(self) -> tuple[type["NeededError"], tuple[str, tuple[str, ...], str]]:
        """Go whole from one process to another."""
        return type(self), (self.message, self.missing, self.suggestion)


class LiftedError(RunError):
    """A load that lifts the wheels of one end, so that the truck cannot stand on all of them."""

    kind = "wheels_up"


class OutputError(JounceError):
    """Results that cannot be written."""


class InternalError(JounceError):
    """A bug of ours."""
