"""What a text that cannot be read as YAML looks like to a person: a table, or a line without its colon."""

import re
from typing import NamedTuple

from sim.errors import Problem, cut

ROWS_LOOKED_AT = 40
ROWS_OF_A_TABLE = 2
"""Lines one after the other with as many cells each that make a table."""

NUMBERS_ALONE = re.compile(r"\s*[-+]?\d[\d.,]*(?:[eE][-+]?\d+)?\s*")
COLON = re.compile(r":(?:\s|$)")


class Refusal(NamedTuple):
    """What the YAML parser says of a text: in its words, at which line and column, and where what it was reading began; from 0."""

    words: str
    line: int
    column: int
    began: int | None


def lines_of(text: str) -> list[str]:
    """Return the lines of a text, whichever system ended them."""
    return re.split(r"\r\n|\r|\n", text)


def looks_like_table(text: str) -> bool:
    """Tell whether the first lines are cells with semicolons, tabs or commas between, numbers among them."""
    rows = [line for line in lines_of(text)[:ROWS_LOOKED_AT] if line.strip() and not line.lstrip().startswith("#")]
    for mark in (";", "\t", ","):
        together, before = 0, 0
        for row in rows:
            cells = row.split(mark)
            # A list over several lines has commas too, and brackets or dashes.
            numbers = sum(bool(NUMBERS_ALONE.fullmatch(cell)) for cell in cells)
            is_row = len(cells) > 1 and 2 * numbers > len(cells) - 1 and not re.search(r"[\[\]{}]|^\s*-\s", row)
            together = (together + 1 if len(cells) == before else 1) if is_row else 0
            before = len(cells)
            if together >= ROWS_OF_A_TABLE:
                return True
    return False


def table_problem(name: str) -> Problem:
    """Return what is said of a table in place of a file of ours."""
    return Problem(
        "this looks like a table (CSV), and here a file with 'key: value' lines (YAML) is wanted", name, 1, 1,
        suggestion=f"a surveyed road is named in a course, items: [{{kind: survey, file: {name}}}], which jounce road reads (docs/roads.md); a damper's test "
        f"is read by jounce dyno {name}, or named in a vehicle, valving: {{kind: measured, file: {name}}} (docs/dampers.md)",
    )  # fmt: skip


def yaml_problem(error: Refusal, text: str, name: str) -> Problem:
    """Return what is wrong with a text that the YAML parser refuses, at the line that a person has to mend where that is known."""
    lines = lines_of(text)
    line, column = error.line, error.column
    bare = _without_colon(error, lines)
    if bare is not None:
        return Problem(
            "this line has no colon between a key and its value", name, bare + 1, 1, given=cut(lines[bare].strip(), 80),
            suggestion="write it as 'key: value', with a space behind the colon",
        )  # fmt: skip
    text_of = lines[line] if line < len(lines) else ""
    if "\t" in text_of[: _indent(text_of)]:
        return Problem(
            "this line is indented with a tab", name, line + 1, 1, given=cut(text_of.strip(), 80), suggestion="indent with spaces, two for each level",
        )  # fmt: skip
    levels = _levels(lines, line)
    if "expected <block end>" in error.words and COLON.search(_content(text_of)) and _indent(text_of) not in levels:
        return Problem(
            f"this line is indented by {_spaces(_indent(text_of))}, and no line that it could stand beside is", name, line + 1, 1,
            given=cut(text_of.strip(), 80), allowed=f"as the lines above: {' or '.join(map(str, sorted(levels)))} spaces",
            suggestion=f"give it {_spaces(max(levels))} to stand beside '{cut(lines[_before(lines, line)].strip(), 40)}'",
        )  # fmt: skip
    return Problem(
        f"this is not YAML: {error.words}", name, line + 1, column + 1,
        given=cut(lines[line].strip(), 80) if line < len(lines) else "",
        suggestion="check the indentation (spaces, not tabs), colons followed by a space, and closing brackets",
    )  # fmt: skip


def _without_colon(error: Refusal, lines: list[str]) -> int | None:
    """Return the line, from 0, that lacks its colon; None where another fault may be behind it."""
    if error.words == "could not find expected ':'" and error.began is not None:
        # The parser goes on to where it is sure: where the word began is where the colon is missing.
        place = error.began
    elif error.words in RUN_ON:
        # A second colon in a line is a fault of that line; else words of the line above run on into this one.
        place = error.line
        if COLON.search(lines[place][: error.column]):
            return None
        place = _before(lines, place)
        above = _before(lines, place)
        # Words that go on with the value of the line above need no colon.
        if (
            above < place
            and re.search(r":\s+\S", _content(lines[above]))
            and _indent(lines[above]) < _indent(lines[place])
        ):
            return None
    else:
        return None
    content = _content(lines[place]) if place < len(lines) else ""
    return place if content and not COLON.search(content) and not re.match(r"[-\[{\"'&*|>]", content) else None


RUN_ON = ("mapping values are not allowed here", "expected <block end>, but found '<block mapping start>'")
"""What the parser says where a key comes after words without a colon."""


def _before(lines: list[str], place: int) -> int:
    """Return the line before one that holds anything; the same where there is none."""
    return next((n for n in range(place - 1, -1, -1) if _content(lines[n])), place)


def _levels(lines: list[str], place: int) -> set[int]:
    """Return how far the lines above are indented beside which one could stand."""
    levels: list[int] = []
    for line in reversed([one for one in lines[:place] if _content(one)]):
        if not levels or _indent(line) < levels[-1]:
            levels.append(_indent(line))
    return set(levels)


def _spaces(count: int) -> str:
    return "1 space" if count == 1 else f"{count} spaces"


def _indent(line: str) -> int:
    return len(line) - len(line.lstrip())


def _content(line: str) -> str:
    return re.sub(r"(?:^|\s)#.*", "", line).strip()
