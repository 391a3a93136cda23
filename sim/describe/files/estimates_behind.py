"""A file in which estimates stand behind #: what is given later takes its estimate's line, and the other estimates are those of the truck as it is then."""

import re
from collections.abc import Container, Iterator, Mapping
from itertools import takewhile
from typing import Any, NamedTuple

from sim.describe.files.as_written import LEFT, FileLine, file_lines, flow, vehicle_text
from sim.describe.files.round_trip import edited

Place = tuple[str, ...]

KEY = re.compile(r"^(?P<sign># )?(?P<indent> *)(?P<key>[^\s#:'\"-][^:#]*|'[^']*'|\"[^\"]*\"):(?P<rest>\s.*)?$")
"""A line with a key, read by YAML or behind #."""


SOURCED = re.compile(r"^# .*?  # from .*?; docs/measure/[\w-]+\.md(?P<more>.*)$")
"""An estimate with what it comes from, as this project writes it, and what somebody wrote behind that."""


class _Line(NamedTuple):
    """A line of a file, and which key it has."""

    text: str
    place: Place = ()  # empty where it has none
    behind: bool = False  # it stands behind #
    indent: int = 0  # blanks before its key
    rest: str = ""  # what follows its key, remarks too

    @property
    def block(self) -> bool:
        """Whether what is in it stands in the lines below."""
        return bool(self.place) and not self.rest.partition("#")[0].strip()


def edited_beside_estimates(
    text: str, before: Mapping[str, Any], after: Mapping[str, Any], edits: Mapping[Place, object], file: str = ""
) -> str:
    """Return the text of a vehicle as measured with values written, as `edited`, and the estimates in it brought up to date.

    Lines that somebody wrote stay to the letter. Of an estimate's line the value and what it comes from are written anew, or go;
    what somebody wrote behind them stays, on a line by itself where the estimate goes.

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
    ours = {line.place: line for line in file_lines(before) if line.place and not line.given}
    now = {line.place: line for line in file_lines(after) if line.place}
    lines, left = _read(text), {}
    # What YAML keeps of comments moves with the key above them: in a file with estimates each value goes to a line chosen here.
    chosen = any(_remark(line, ours) is not None for line in lines)
    for place, value in _single(edits, {line.place for line in lines if not line.behind}):
        written = None
        if chosen:
            written = _taken_back(lines, place, now) if value is None else _taken_up(lines, place, value, ours)
        if written is None:
            left[place] = value
        else:
            # Read again: the next value may belong under a line that is new.
            lines = _read(written)
    return _renewed(edited("".join(line.text for line in lines), left, file), ours, now)


def _single(edits: Mapping[Place, object], read: Container[Place]) -> Iterator[tuple[Place, object]]:
    """Yield edits value by value; a part that takes the place of another one stays whole."""
    for place, value in edits.items():
        if isinstance(value, Mapping) and value and place not in read:
            yield from _single({(*place, str(key)): inner for key, inner in value.items()}, read)
        else:
            yield place, value


def _read(text: str) -> list[_Line]:
    """Return the lines of a file, each with the place of its key by how far it is moved in."""
    lines: list[_Line] = []
    stack: list[tuple[int, str]] = []
    for line in text.splitlines(keepends=True):
        match = KEY.match(line.rstrip("\r\n"))
        if match is None:
            lines.append(_Line(line))
            continue
        far = len(match["indent"])
        while stack and stack[-1][0] >= far:
            stack.pop()
        stack.append((far, match["key"].strip("'\"").strip()))
        place = tuple(key for _, key in stack)
        lines.append(_Line(line, place, match["sign"] is not None, far, match["rest"] or ""))
    return lines


def _remark(line: _Line, ours: Mapping[Place, FileLine]) -> str | None:
    """Return what somebody wrote behind an estimate, empty if nothing; None where the line is no estimate, or is somebody's as a whole."""
    if not line.behind or line.place not in ours:
        return None
    written = ours[line.place].text
    if SOURCED.match(written):
        match = SOURCED.match(line.text.rstrip())
        return match["more"].strip() if match else None
    value, sign, more = line.rest.partition("#")
    # Of a part nothing follows its key, and of a kind one word does: more than that is a sentence of somebody's.
    if len(value.split()) > (0 if written.endswith(":") else 1):
        return None
    return f"#{more}".rstrip() if sign else ""


def _taken_up(lines: list[_Line], place: Place, value: object, ours: Mapping[Place, FileLine]) -> str | None:
    """Return the text with a value in the line of its estimate, or right under the part that it belongs to; None if it has no line for either."""
    at = {line.place: number for number, line in enumerate(lines) if _remark(line, ours) is not None}
    read = {line.place: number for number, line in enumerate(lines) if line.place and not line.behind}
    if place in read or isinstance(value, Mapping):
        return None
    heads = [place[:length] for length in range(1, len(place))]
    known = list(takewhile(lambda head: head in read or head in at, heads))
    # A part that stands elsewhere already would be there twice, and one in brackets has no lines.
    if (len(known) < len(heads) and (place in at or not known)) or not all(
        lines[read[head]].block for head in known if head in read
    ):
        return None
    texts = [line.text for line in lines]
    for head in known:
        if head not in read:
            texts[at[head]] = texts[at[head]].removeprefix("# ")
    if place in at:
        number = at[place]
        key = f"{' ' * lines[number].indent}{flow(place[-1])}: {flow(value)}"
        texts[number] = f"{f'{key:<{LEFT}}  # given  {_remark(lines[number], ours)}'.rstrip()}\n"
        return "".join(texts)
    if not known:
        return None
    under = known[-1]
    number = read.get(under, at.get(under, 0))
    if number + 1 < len(lines) and lines[number + 1].text.lstrip().startswith("- "):
        return None
    # As far in as what is there already: people have their own way of moving in.
    inside = [line for line in lines if line.place[:-1] == under and (not line.behind or line.place in ours)]
    far = min(inside, key=lambda line: line.behind).indent if inside else lines[number].indent + 2
    new = [f"{' ' * (far + 2 * step)}{flow(key)}:" for step, key in enumerate(place[len(under) : -1])]
    last = f"{' ' * (far + 2 * len(new))}{flow(place[-1])}: {flow(value)}"
    texts[number] = "\n".join([texts[number].rstrip("\r\n"), *new, f"{last:<{LEFT}}  # given", ""])
    return "".join(texts)


def _taken_back(lines: list[_Line], place: Place, now: Mapping[Place, FileLine]) -> str | None:
    """Return the text with a value taken out: its estimate in its line, and behind # the parts in which nothing else is given; None if it has no line."""
    read = {line.place: number for number, line in enumerate(lines) if line.place and not line.behind}
    heads = [place[:length] for length in range(len(place) - 1, 0, -1)]
    if (
        place not in read
        or lines[read[place]].block
        or not all(head in read and lines[read[head]].block for head in heads)
    ):
        return None
    number = read[place]
    following = lines[number + 1] if number + 1 < len(lines) else _Line("")
    # A value that goes on in the lines below is not taken out with its first one.
    goes_on = not following.place or (not following.behind and following.indent > lines[number].indent)
    if following.text.strip() and not following.text.lstrip().startswith("#") and goes_on:
        return None
    texts = [line.text for line in lines]
    behind = [one.text for one in now.values() if one.place[: len(place)] == place and not one.given]
    texts[number] = "".join(f"{text}\n" for text in behind)
    for head in heads:
        if any(other[: len(head)] == head for other in read if other not in (place, *heads)):
            break
        texts[read[head]] = f"# {texts[read[head]]}" if head in now and not now[head].given else ""
    return "".join(texts)


def _renewed(text: str, ours: Mapping[Place, FileLine], now: Mapping[Place, FileLine]) -> str:
    """Return a text with its estimates as they are now, without those of what is given or is not there any more."""
    kept: list[_Line] = []
    for line in _read(text):
        remark = _remark(line, ours)
        if remark is None:
            kept.append(line)
        elif (new := now.get(line.place)) is not None and not new.given:
            kept.append(line._replace(text=f"{f'{new.text}  {remark}'.rstrip()}\n"))
        elif remark:
            kept.append(_Line(f"# {remark.lstrip('# ')}\n"))
    # From below: a part behind # of which nothing is left is no part.
    whole: list[_Line] = []
    for line in reversed(kept):
        head = _remark(line, ours) == "" and line.text.rstrip().endswith(":")
        if head and not any(below.place[: len(line.place)] == line.place for below in whole if below.behind):
            continue
        whole.append(line)
    return "".join(line.text for line in reversed(whole))
