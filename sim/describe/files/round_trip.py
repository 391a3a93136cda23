"""A file that a person wrote, with some of its values changed: comments, order, quotes and blank lines stay as they are."""

import io
from collections.abc import Mapping
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.comments import CommentedMap
from ruamel.yaml.error import YAMLError

from sim.describe.files.reader import DECIMAL, INTEGER
from sim.errors import InputError, Problem

Place = tuple[str, ...]

WIDE = 1_000_000
"""Letters of a line that is never folded: lines are as long as the person wrote them."""


def edited(text: str, edits: Mapping[Place, object], file: str = "") -> str:
    """Return a file's text with values written, added or taken out.

    Parameters
    ----------
    text : str
        YAML whose top is a mapping; empty for a new file.
    edits : mapping
        From a place to what is to stand there: a text as typed (`33"`), a number, a list or a mapping; None takes the key out,
        and what holds nothing after that. Into a list a step is a number, from 0; the one after its last adds to it.
    file : str
        The file's name, for messages.

    Raises
    ------
    InputError
        If the text is not YAML, or a place leads into a single value.
    """
    yaml = _round_trip()
    try:
        data = yaml.load(text) if text.strip() else CommentedMap()
    except YAMLError as error:
        raise InputError(Problem(f"this is not YAML: {str(error).splitlines()[0]}", file)) from None
    if not isinstance(data, CommentedMap):
        raise InputError(Problem("the file must be a list of 'key: value' lines", file, 1, 1))
    # By its own line where it has one: taken out of the data, remarks that follow a key would go with it.
    gone = _own_lines(data, [place for place, value in edits.items() if value is None], text.splitlines())
    if gone:
        kept = [line for number, line in enumerate(text.splitlines(keepends=True)) if number not in gone.values()]
        return edited("".join(kept), {place: value for place, value in edits.items() if place not in gone}, file)
    for place, value in edits.items():
        if value is None:
            _taken_out(data, place)
        else:
            _written(data, place, value, file)
    out = io.StringIO()
    yaml.dump(data, out)
    return out.getvalue()


def _own_lines(data: CommentedMap, places: list[Place], lines: list[str]) -> dict[Place, int]:
    """Return the number of the line, from 0, that each key to be taken out has to itself; and of the keys above that then hold nothing."""
    found: dict[Place, int] = {}
    for place in places:
        for length in range(len(place), 0, -1):
            around, key = _inside(data, place[: length - 1]), place[length - 1]
            if not isinstance(around, CommentedMap) or around.fa.flow_style() or key not in around:
                break
            inner, number = around[key], around.lc.key(key)[0]
            # A value with lines of its own keeps its key, until all that is in it is gone.
            if length < len(place) and any((*place[:length], one) not in found for one in inner):
                break
            block = isinstance(inner, CommentedMap | list) and not inner.fa.flow_style()  # type: ignore[union-attr]
            if (length == len(place) and (block or "\n" in str(inner))) or not lines[number].lstrip().startswith(
                f"{key}:"
            ):
                break
            found[place[:length]] = number
    return found


def _inside(data: Any, place: Place) -> Any:
    for step in place:
        data = data.get(step) if isinstance(data, dict) else None
    return data


def put(data: dict[str, Any], edits: Mapping[Place, object]) -> None:
    """Make the same edits in plain data, as the reader of files has it.

    Raises
    ------
    InputError
        If a place leads into a single value.
    """
    for place, value in edits.items():
        if value is None:
            _taken_out(data, place)
        else:
            _written(data, place, value, "")


def scalar(typed: str) -> str | int | float:
    """Return what was typed as the reader of files would read it: a number where it is written as one, else the text."""
    text = typed.strip()
    if INTEGER.match(text):
        return int(text)
    if DECIMAL.match(text):
        return float(text)
    return text


def _round_trip() -> YAML:
    yaml = YAML()
    yaml.preserve_quotes = True
    yaml.width = WIDE
    yaml.indent(mapping=2, sequence=4, offset=2)
    return yaml


def _written(data: Any, place: Place, value: object, file: str) -> None:
    for number, step in enumerate(place[:-1]):
        inside = _next(data, step)
        if inside is None and isinstance(data, dict):
            inside = data[step] = type(data)()
        if not isinstance(inside, dict) and not (isinstance(inside, list) and place[number + 1].isdecimal()):
            where = ".".join(place[: number + 1])
            raise InputError(Problem("this is a single value and has nothing inside it", file, where=where))
        data = inside
    if isinstance(data, dict):
        data[place[-1]] = value
    elif int(place[-1]) < len(data):
        data[int(place[-1])] = value
    else:
        data.append(value)


def _next(data: Any, step: str) -> Any:
    """Return what a step of a place leads to, a key of a mapping or a number of a list; None if nothing is there."""
    if isinstance(data, list):
        return data[int(step)] if step.isdecimal() and int(step) < len(data) else None
    return data.get(step) if isinstance(data, dict) else None


def _taken_out(data: Any, place: Place) -> None:
    around = []
    for step in place[:-1]:
        if not isinstance(_next(data, step), dict | list):
            return
        around.append((data, int(step) if isinstance(data, list) else step))
        data = _next(data, step)
    if isinstance(data, dict):
        data.pop(place[-1], None)
    elif _next(data, place[-1]) is not None:
        del data[int(place[-1])]
    # What holds nothing any more would be a part without a single number.
    for outer, step in reversed(around):
        if outer[step]:
            break
        del outer[step]
