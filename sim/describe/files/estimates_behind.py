"""A file in which estimates stand behind #: what is given later takes its estimate's line, and the other estimates are those of the truck as it is then."""

import re
from collections.abc import Mapping
from typing import Any, NamedTuple

from sim.describe.files.as_written import LEFT, file_lines, flow, vehicle_text
from sim.describe.files.round_trip import edited

Place = tuple[str, ...]

KEY = re.compile(r"^(?P<sign># )?(?P<indent> *)(?P<key>[^\s#:'\"-][^:#]*|'[^']*'|\"[^\"]*\"):(?P<rest>\s.*)?$")
"""A line with a key, read by YAML or behind #."""


class _Line(NamedTuple):
    """A line of a file, and which key it has."""

    text: str
    place: Place  # empty where it has none
    behind: bool  # it stands behind #


def edited_beside_estimates(
    text: str, before: Mapping[str, Any], after: Mapping[str, Any], edits: Mapping[Place, object], file: str = ""
) -> str:
    """Return the text of a vehicle as measured with values written, as `edited`, and the estimates in it brought up to date.

    Lines that somebody wrote, remarks of theirs too, stay to the letter.

    Parameters
    ----------
    text : str
        The file.
    before, after : mapping
        What is in it, and what is in it with the edits.
    edits : mapping
        From a place to what is to stand there; None takes it out.
    file : str
        The file's name, for messages.

    Raises
    ------
    InputError
        As `edited`.
    """
    if text == vehicle_text(before):
        # Nobody has changed it by hand: the whole is as it would be written now.
        return vehicle_text(after)
    ours = {line.place for line in file_lines(before) if line.place and not line.given}
    own, left = _taken_up(_read(text), ours, edits)
    return _renewed(edited(own, left, file), ours, after)


def _read(text: str) -> list[_Line]:
    """Return the lines of a file, each with the place of its key by how far it is moved in."""
    lines: list[_Line] = []
    stack: list[tuple[int, str]] = []
    for line in text.splitlines(keepends=True):
        found = KEY.match(line.rstrip("\r\n"))
        if found is None:
            lines.append(_Line(line, (), False))
            continue
        far = len(found["indent"])
        while stack and stack[-1][0] >= far:
            stack.pop()
        stack.append((far, found["key"].strip("'\"").strip()))
        lines.append(_Line(line, tuple(key for _, key in stack), found["sign"] is not None))
    return lines


def _taken_up(lines: list[_Line], ours: set[Place], edits: Mapping[Place, object]) -> tuple[str, dict[Place, object]]:
    """Write what is given into the lines of its estimates; return the text and the edits that have no such line."""
    at = {line.place: number for number, line in enumerate(lines) if line.behind and line.place in ours}
    read = {line.place for line in lines if line.place and not line.behind}
    texts = [line.text for line in lines]
    left: dict[Place, object] = {}
    for place, value in edits.items():
        number = at.get(place)
        heads = [place[:length] for length in range(1, len(place))]
        # A part that stands elsewhere already would be there twice.
        known = all(head in read or head in at for head in heads)
        if number is None or value is None or isinstance(value, Mapping) or not known:
            left[place] = value
            continue
        for head in heads:
            if head not in read:
                texts[at[head]] = texts[at[head]].removeprefix("# ")
                read.add(head)
        key = f"{'  ' * (len(place) - 1)}{place[-1]}: {flow(value)}"
        texts[number] = f"{key:<{LEFT}}  # given\n"
        read.add(place)
    return "".join(texts), left


def _renewed(text: str, ours: set[Place], after: Mapping[str, Any]) -> str:
    """Return a text with its estimates as they are now, without those of what is given or is not there any more."""
    now = {line.place: line for line in file_lines(after) if line.place}
    kept: list[_Line] = []
    for line in _read(text):
        if not (line.behind and line.place in ours):
            kept.append(line)
        elif (new := now.get(line.place)) is not None and not new.given:
            kept.append(line._replace(text=f"{new.text}\n"))
    # From below: a part behind # of which nothing is left is no part.
    whole: list[_Line] = []
    for line in reversed(kept):
        head = line.behind and line.place in ours and line.text.rstrip().endswith(":")
        if head and not any(below.place[: len(line.place)] == line.place for below in whole if below.behind):
            continue
        whole.append(line)
    return "".join(line.text for line in reversed(whole))
