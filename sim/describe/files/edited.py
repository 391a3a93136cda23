"""A file that somebody wrote, with values changed in it: comments, order and spelling of all the rest stay."""

from collections.abc import Mapping, Sequence
from io import StringIO
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.comments import CommentedMap
from ruamel.yaml.error import YAMLError

from sim.errors import InputError

WIDEST = 4096
"""Lines are never broken: a person's own line stays one."""


def edited(text: str, values: Mapping[Sequence[str], Any]) -> str:
    """Return the text of a YAML file with values written at places; None puts a key behind #, where its line can be found again.

    Parameters
    ----------
    text : str
        Of a file whose top is a mapping.
    values : mapping of sequence of str to value
        By place, from the top.

    Raises
    ------
    InputError
        If the text is not such a file.
    """
    yaml = YAML(typ="rt")
    yaml.preserve_quotes = True
    yaml.width = WIDEST
    yaml.indent(mapping=2, sequence=4, offset=2)
    try:
        data = yaml.load(text)
    except YAMLError as error:
        raise InputError(f"this is not YAML: {str(error).splitlines()[0]}") from None
    if data is None:
        data = CommentedMap()
    if not isinstance(data, CommentedMap):
        raise InputError("the file must be a list of 'key: value' lines")
    gone = [list(place) for place, value in values.items() if value is None]
    lines = text.splitlines(keepends=True)
    numbers = [_line_of(data, place, lines) for place in gone]
    if any(number is not None for number in numbers):
        for number in numbers:
            if number is not None:
                lines[number] = f"# {lines[number]}"
        # Behind # by its text: taken out of the data, remarks that follow it would go too.
        rest = {place: value for place, value in values.items() if value is not None}
        rest |= {tuple(place): None for place, number in zip(gone, numbers, strict=True) if number is None}
        return edited("".join(lines), rest) if rest else "".join(lines)
    for place, value in values.items():
        _put(data, list(place), value)
    into = StringIO()
    yaml.dump(data, into)
    return into.getvalue()


def _line_of(data: Any, place: list[str], lines: list[str]) -> int | None:
    """Return the number of the line that a key with a single value has to itself, from 0; None if it has none."""
    for step in place[:-1]:
        data = data.get(step) if isinstance(data, CommentedMap) else None
    key = place[-1]
    if (
        not isinstance(data, CommentedMap)
        or key not in data
        or isinstance(data[key], CommentedMap)
        or data.fa.flow_style()
    ):
        return None
    number: int = data.lc.key(key)[0]
    whole = lines[number].lstrip().startswith(f"{key}:") and (
        not isinstance(data[key], list) or data[key].fa.flow_style()
    )
    return number if whole else None


def _put(data: Any, place: list[str], value: Any) -> None:
    first, rest = place[0], place[1:]
    if not rest:
        if value is None:
            data.pop(first, None)
        else:
            data[first] = value
        return
    inner = data.get(first)
    if not isinstance(inner, CommentedMap):
        if value is None:
            return
        data[first] = inner = CommentedMap()
    _put(inner, rest, value)
    if value is None and not inner and first != "weighed":
        data.pop(first)
