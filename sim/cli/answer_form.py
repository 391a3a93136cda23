"""The form of what `--json` prints, as a schema: for those who read it (`jounce schema answer`), and for the tests."""

from typing import Any

from pydantic import BaseModel, ConfigDict


class Form(BaseModel):
    """A part of an answer; it has no other keys."""

    # Tests hold every command's answer against this: a key that is not listed, or a number as text, must fail there.
    model_config = ConfigDict(extra="forbid", strict=True)


class Number(Form):
    """A number in SI with its unit ("1" for a share or a count); null where there is none.

    Attributes
    ----------
    numerical_error : float
        Of the run, as a share.
    flagged : bool
        Whether that error is above what is allowed, or the run it is of was flagged there.
    within : float
        How far off what was measured may be, 95 times in 100.
    between : list of two floats
        What the numbers in doubt leave open, 95 times in 100.
    """

    value: float | None
    unit: str
    # Left out where they do not apply: a truck at rest has no step whose error could be given.
    numerical_error: float | None = None
    flagged: bool | None = None
    within: float | None = None
    between: list[float | None] | None = None


class Flagged(Form):
    """What left the model's validity, or a limit: of which set-up, damper or file."""

    of: str
    kind: str
    part: str
    time_s: float | None
    sentence: str
    # Of a sweep alone: its place, in the units in which it was asked for.
    at: list[str] | None = None


class SetupAnswer(Form):
    """What came of one set-up."""

    measures: dict[str, Number]
    # `stand` gives measures alone, and what follows the flags is of comparisons: hence the defaults.
    flags: list[Flagged] | None = None
    energy_residual_share: float | None = None
    judged_against: str | None = None
    against_reference: dict[str, Any] | None = None
    placed: list[dict[str, Any]] | None = None


class Wrong(Form):
    """One thing that is wrong, where, and what to do about it."""

    message: str
    file: str | None
    line: int | None
    column: int | None
    where: str | None
    given: str | None
    allowed: str | None
    suggestion: str | None


class Answer(Form):
    """The answer of a command to `--json`; all keys are always there.

    Attributes
    ----------
    form : int
        Of this object.
    jounce : str
        Version.
    command : str or None
        None if no command was understood.
    asked : dict
        Its arguments and options as typed, or as they are by default.
    exit_code : int
    name, question : str or None
        Of the scenario, vehicle or course.
    reference : str or None
        The set-up that others are measured against.
    setups : dict of str to SetupAnswer
        In the scenario's order.
    measures : dict of str to Number
        Numbers that belong to no one set-up.
    rows : dict of str to list of dict
        Tables by name, each row by its columns.
    verdict : list of str
        Sentences.
    doubt : dict or None
        What the numbers in doubt leave open.
    flags : list of Flagged
        All of them, those of set-ups too.
    notices, cautions : list of str
    files : list of str
        What was written, as found from the current folder.
    errors : list of Wrong
    more : dict
        What one command alone says.
    """

    # No defaults from here on: scripts need not ask whether a key is there.
    form: int
    jounce: str
    command: str | None
    asked: dict[str, Any]
    exit_code: int
    name: str | None
    question: str | None
    reference: str | None
    setups: dict[str, SetupAnswer]
    measures: dict[str, Number]
    rows: dict[str, list[dict[str, Any]]]
    verdict: list[str]
    doubt: dict[str, Any] | None
    flags: list[Flagged]
    notices: list[str]
    cautions: list[str]
    files: list[str]
    errors: list[Wrong]
    more: dict[str, Any]
