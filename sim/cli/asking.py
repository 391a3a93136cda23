"""Questions in a terminal, in the order in which a shop measures: an empty answer skips one, and what is wrong is asked again."""

import sys
from collections.abc import Callable, Mapping
from typing import Any

from sim.describe.estimates.fields import CHOICE, Field, fields, taken, text_at, with_text
from sim.describe.files.vehicles import vehicle_from
from sim.describe.shown import show
from sim.errors import InputError

ENOUGH = "."
"""An answer that ends the questions."""


def asked(mapping: Mapping[str, Any], answer: Callable[[str], str] | None = None) -> dict[str, str]:
    """Return what somebody answers, by path.

    Parameters
    ----------
    mapping : mapping
        What is known already; what is in it is offered as it is.
    answer : callable, optional
        From a question to the line that is typed; by default it is read from the terminal. EOFError ends the questions.
    """
    answer = answer or _typed
    print(
        f"Every question can be skipped with Enter, and '{ENOUGH}' ends them; what is skipped is estimated. Write numbers with their unit: 92 in, 2450 lb.",
        file=sys.stderr,
    )
    answers: dict[str, str] = {}
    data = dict(mapping)
    step = ""
    for field in fields():
        # Read afresh for each axle: what was answered before may have changed what is taken now.
        if field.when and text_at(data, next(one for one in fields() if one.path == field.when[0])) != field.when[1]:
            continue
        if field.step != step:
            step = field.step
            print(f"\n{step}", file=sys.stderr)
        while True:
            try:
                text = answer(_question(field, data)).strip()
            except EOFError:
                return answers
            if text == ENOUGH:
                return answers
            wrong = _wrong(data, field, text) if text else ""
            if not wrong:
                break
            print(f"    {wrong}", file=sys.stderr)
        if text:
            answers[field.path] = text
            data = with_text(data, field, text)
    return answers


def _typed(question: str) -> str:
    # The question on standard error: standard output is for results.
    print(question, end="", file=sys.stderr, flush=True)
    line = sys.stdin.readline()
    if not line:
        raise EOFError
    return line


def _question(field: Field, data: Mapping[str, Any]) -> str:
    given = text_at(data, field)
    hint = f"now {given}" if given else f"skipped: {taken(data).get(field.path, field.estimate)}"
    example = f"one of {', '.join(field.choices)}" if field.kind == CHOICE else f"e.g. {field.example}"
    usual = (
        f"; usual {show(field.low, field.kind)} to {show(field.high, field.kind)}" if field.low and field.high else ""
    )
    return f"  {field.label} ({example}{usual}; {hint}; docs/measure/{field.page}): "


def _wrong(data: Mapping[str, Any], field: Field, text: str) -> str:
    """Return what is wrong with an answer; empty if nothing is."""
    if field.kind == CHOICE and text not in field.choices:
        return f"'{text}' is not one of {', '.join(field.choices)}"
    try:
        vehicle_from(with_text(data, field, text))
    except InputError as error:
        own = [one for one in error.problems if one.where == field.path or one.where.startswith(f"{field.path}.")]
        return "; ".join(f"{one.message}{f': {one.suggestion}' if one.suggestion else ''}" for one in own)
    return ""
