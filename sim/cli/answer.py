"""What `--json` prints of every command: one answer in one form, whatever was asked and whatever came of it.

Standard output then has this object and nothing else. Commands say what they say to people as ever, and `add` beside it the same
as numbers in SI with their units; without `--json` that is dropped at once. What is no number (nan, or inf: not within the
run) is null, as JSON (RFC 8259) knows neither.
"""

import io
import json
import sys
from argparse import Namespace
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, redirect_stdout
from math import isfinite, nan, radians
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sim.errors import Problem
    from sim.integrate.status import Flag

FORM = 1
"""Rises when a key changes its meaning or goes; a new key does not raise it."""


Answer = dict[str, Any]
"""Of the form `sim.cli.answer_form.Answer`."""


class _Now:
    """The answer that is being put together, and where it goes; None if nobody asked for one."""

    answer: Answer | None = None
    stream: Any = None
    said: bool = False


@contextmanager
def answering(version: str) -> Iterator[None]:
    """Put an answer together as long as this lasts; what is printed meanwhile goes nowhere."""
    before = _Now.answer, _Now.stream, _Now.said
    _Now.answer = {
        "form": FORM, "jounce": version, "command": None, "asked": {}, "exit_code": 0, "name": None, "question": None, "reference": None,
        "setups": {}, "measures": {}, "rows": {}, "verdict": [], "doubt": None, "flags": [], "notices": [], "cautions": [], "files": [],
        "errors": [], "more": {},
    }  # fmt: skip
    _Now.stream, _Now.said = sys.stdout, False
    try:
        # Commands print for people as ever: none has to ask at each print whether its answer is JSON.
        with redirect_stdout(io.StringIO()):
            yield
    finally:
        _Now.answer, _Now.stream, _Now.said = before


def wanted() -> bool:
    """Return whether an answer is put together: what costs time to say is said only then."""
    return _Now.answer is not None


def add(**parts: Any) -> None:
    """Put parts into the answer: what is a list or a mapping goes to what is there, all else takes its place."""
    answer = _Now.answer
    if answer is None:
        return
    for key, part in parts.items():
        there = answer[key]  # a key that an answer has not is a mistake of ours
        if isinstance(there, list):
            there.extend(part)
        elif isinstance(there, dict):
            there.update(part)
        else:
            answer[key] = part


def asked(command: str, options: Namespace) -> None:
    """Say what was asked."""
    # The command has a key of its own; the others say how an answer is given, not what is answered.
    given = {key: value for key, value in vars(options).items() if key not in ("command", "json", "quiet", "version")}
    add(command=command, asked=given)


def wrote(*places: Path) -> None:
    """Say what was written: files, or all files of folders."""
    if wanted():
        for place in places:
            # A disk lists files in any order; sorted, two answers can be compared.
            files = sorted(one for one in place.rglob("*") if one.is_file()) if place.is_dir() else [place]
            add(files=[one.as_posix() for one in files])


def failed(problems: "Iterable[Problem]") -> None:
    """Say what is wrong."""
    keys = ("message", "file", "line", "column", "where", "given", "allowed", "suggestion")
    # What a problem lacks is an empty text in it: null in an answer, as all that is not there.
    add(errors=[{key: getattr(one, key) or None for key in keys} for one in problems])


def number(value: float, quantity: str, **more: Any) -> dict[str, Any]:
    """Return a number in SI with the unit of its quantity (`sim.describe.shown`)."""
    from sim.describe.shown import si_unit

    return {"value": value, "unit": si_unit(quantity), **more}


def flag_of(of: str, flag: "Flag") -> dict[str, Any]:
    """Return a flag and what it is of."""
    return {"of": of, "kind": flag.kind, "part": flag.part, "time_s": flag.time_s, "sentence": flag.sentence}


IN_SI = {"deg": ("angle", radians(1.0)), "%": ("percent", 0.01), "s": ("time", 1.0)}
"""Units that stand behind the heads of tables: what they measure, and one of them in SI."""


def rows_of(head: Sequence[str], rows: Iterable[Sequence[str]]) -> list[dict[str, Any]]:
    """Return the rows of a table by its columns; a column with its unit, `change [deg]`, is one of numbers in SI."""
    return [dict(_cell(key, cell) for key, cell in zip(head, row, strict=True)) for row in rows]


def _cell(key: str, text: str) -> tuple[str, Any]:
    name, bracket, unit = key.removesuffix("]").rpartition(" [")
    if not bracket:
        return key, text or None
    quantity, one = IN_SI[unit]
    try:
        return name, number(float(text) * one, quantity)
    except ValueError:  # empty, or a word: never
        return name, number(nan, quantity)


def printed(code: int) -> int:
    """Print the answer with its exit code, once: a command that goes on for long prints it by itself before. Return the code."""
    answer = _Now.answer
    if answer is None or _Now.said:
        return code
    answer["exit_code"] = code
    # Scripts look in one list for whatever is flagged; commands say flags of a set-up once, beside its measures.
    of_setups = [flag for setup in answer["setups"].values() for flag in setup.get("flags", ())]
    answer["flags"] = [*of_setups, *answer["flags"]]
    # A nan that `plain` missed must end as a bug here: other languages' readers refuse it.
    text = json.dumps(plain(answer), indent=2, ensure_ascii=False, allow_nan=False)
    # Before it is written: after an answer that broke off half-way a second one would make neither readable.
    _Now.said = True
    print(text, file=_Now.stream, flush=True)
    return code


def plain(value: Any) -> Any:
    """Return what JSON can hold."""
    if isinstance(value, Mapping):
        return {str(key): plain(one) for key, one in value.items()}
    if isinstance(value, str):
        # What no text may hold stands in names of files that are no text.
        return value.encode(errors="backslashreplace").decode()
    if isinstance(value, Path):
        return plain(value.as_posix())
    if isinstance(value, list | tuple):
        return [plain(one) for one in value]
    if hasattr(value, "tolist"):  # numpy's own numbers and arrays
        return plain(value.tolist())
    if isinstance(value, float):
        # A number with what is known of it is a float of a kind of its own.
        return float(value) if isfinite(value) else None
    return value
