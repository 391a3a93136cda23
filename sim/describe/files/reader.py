"""Reads one YAML file into plain data, remembering where each thing stands.

Only what a person means survives: numbers that look like numbers, `true`, `false`, `null`, and text. YAML 1.1
would also read `on` as true, `010` as eight and `1:30` as ninety; here they stay text and are judged as such.
"""

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NamedTuple

import yaml

from sim.describe.files.kept import keep
from sim.describe.files.not_yaml import Refusal, lines_of, looks_like_table, table_problem, yaml_problem
from sim.describe.files.regular import bytes_of
from sim.describe.files.standard_input import WORDS, held, is_given
from sim.errors import UNSEEN, InputError, Problem, cut

# Of a file that a person writes; tables belong into a CSV. Nodes bound what aliases may unfold into.
LARGEST_BYTES = 2_000_000
MOST_NODES = 100_000

LONGEST_TEXT = 4000
"""Letters of a key or a value: a long question has some hundreds."""

MOST_DIGITS = 40
"""Digits in a row: no measurement has more than ten, and a million of them take Python's reader minutes."""

MANY_DIGITS = re.compile(rf"\d{{{MOST_DIGITS + 1},}}")

Place = tuple[str | int, ...]


class Mark(NamedTuple):
    """Where something stands: file, line and column, both from 1."""

    file: str
    line: int
    column: int


@dataclass(frozen=True)
class Document:
    """Plain data of a file, and the marks of every value and key by its place."""

    data: dict[str, Any]
    path: Path
    marks: dict[Place, Mark] = field(default_factory=dict)
    key_marks: dict[Place, Mark] = field(default_factory=dict)
    folders: tuple[Path, ...] = ()  # where files that it names are looked for first, before its own folder
    files: dict[Any, Any] = field(
        default_factory=dict
    )  # what was read of files that it names: once, whatever is changed later
    estimates: dict[Place, Any] = field(default_factory=dict)
    """What of the data nobody gave, by its place: an `Estimate` each (sim/describe/estimates)."""
    notices: list[str] = field(default_factory=list)  # of words in it that have a newer one

    @property
    def name(self) -> str:
        """The file's name as messages show it."""
        return shown(self.path)

    def mark(self, place: Place) -> Mark:
        """Return the mark of a place, or of the nearest thing around it."""
        while place and place not in self.marks:
            place = place[:-1]
        return self.marks.get(place, Mark(self.name, 1, 1))


def shown(path: Path) -> str:
    """Return a path relative to where the command runs, if it lies there; or that it is standard input."""
    if is_given(path):
        return WORDS
    try:
        # People type paths from where the command runs, and look for them that way in messages.
        return str(path.resolve().relative_to(Path.cwd()))
    except ValueError:
        return str(path)


def read(path: str | Path) -> Document:
    """Read a YAML file whose top is a mapping.

    Raises
    ------
    InputError
        If it is missing, empty, too large, not text, not YAML, has a key twice, or unfolds endlessly.
    """
    path = Path(path)
    text = _text(path)
    try:
        node = _composed(text)
    except yaml.MarkedYAMLError as error:
        name = shown(path)
        mark = error.problem_mark or error.context_mark  # some errors know only where their list or mapping began
        refusal = Refusal(
            error.problem or str(error), mark.line if mark else 0, mark.column if mark else 0,
            error.context_mark.line if error.context_mark else None,
        )  # fmt: skip
        raise InputError(table_problem(name) if looks_like_table(text) else yaml_problem(refusal, text, name)) from None
    # Nested brackets by the thousand end in a RecursionError, an escape beyond Unicode in a ValueError.
    except RecursionError:
        line = _deepest(text)
        raise InputError(
            Problem(
                "brackets or indentation are nested too deep",
                shown(path),
                line,
                1,
                given=_line(text, line),
                suggestion="close them",
            )
        ) from None
    except (yaml.YAMLError, ValueError, OverflowError) as error:
        raise InputError(
            Problem(f"this is not YAML: {str(error).splitlines()[0]}", shown(path), 1, 1, given=_line(text, 1))
        ) from None
    if node is None:
        raise InputError(Problem("the file is empty", shown(path), 1, 1, suggestion="begin with e.g. 'kind: scenario'"))
    if not isinstance(node, yaml.MappingNode):
        if looks_like_table(text):
            raise InputError(table_problem(shown(path)))
        raise InputError(Problem("the file must be a list of 'key: value' lines", shown(path), 1, 1))
    builder = _Builder(shown(path))
    data = builder.built(node, (), ())
    # All at once, as with every other reader here.
    if builder.problems:
        raise InputError(builder.problems)
    return Document(data, path, builder.marks, builder.key_marks)


def _composed(text: str) -> yaml.Node | None:
    """Compose by the parser in C where there is one, ten times as fast; errors are worded by the one in Python."""
    try:
        node: yaml.Node | None = yaml.compose(text, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))
    except (yaml.YAMLError, ValueError, OverflowError):
        node = yaml.compose(text, Loader=yaml.SafeLoader)
    return node


def _text(path: Path) -> str:
    name = shown(path)
    try:
        if path.is_dir() and not is_given(path):
            raise InputError(Problem("this is a folder, not a file", name))
        raw = held() if is_given(path) else bytes_of(path, LARGEST_BYTES)
        if len(raw) > LARGEST_BYTES:
            raise InputError(
                Problem(
                    f"the file is too large: at most {LARGEST_BYTES / 1e6:.0f} MB are read",
                    name,
                    suggestion="put long tables into a CSV file",
                )
            )
        # Kept before anything is judged, so that a record shows the very bytes the run came from.
        keep(path, raw)
    except FileNotFoundError:
        near = _nearest_file(path)
        raise InputError(
            Problem("there is no such file", name, suggestion=f"did you mean {near}?" if near else "")
        ) from None
    except OSError as error:
        raise InputError(Problem(f"the file cannot be read: {error.strerror or error}", name)) from None
    # A NUL is valid UTF-8, so a workbook could get as far as the YAML parser and its odd words.
    if b"\x00" in raw:
        line = raw[: raw.index(0)].count(b"\n") + 1
        raise InputError(
            Problem(
                "this is a binary file, not text: it holds the byte 00",
                name,
                line,
                1,
                suggestion="save it as text in UTF-8",
            )
        )
    try:
        text = raw.decode("utf-8-sig")  # with a byte order mark or without: some editors of Windows write one
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        given = f"byte {raw[error.start]:02X}"
        raise InputError(
            Problem("this is not UTF-8 text", name, line, 1, given=given, suggestion="save it as UTF-8")
        ) from None
    if odd := UNSEEN.search(text.removesuffix("\x1a").replace("\ufeff", "")):
        line = len(re.findall(r"\r\n|\r|\n", text[: odd.start()])) + 1
        raise InputError(
            Problem(
                f"the text holds a sign that cannot be seen (U+{ord(odd[0]):04X})", name, line, 1, given=_line(text, line),
                suggestion="write the line anew by hand",
            )
        )  # fmt: skip
    if not text.strip():
        raise InputError(Problem("the file is empty", name, 1, 1, suggestion="begin with e.g. 'kind: scenario'"))
    return text


def _line(text: str, number: int) -> str:
    """Return a line of a text as it may be shown."""
    lines = lines_of(text)
    return cut(lines[number - 1].strip(), 80) if number <= len(lines) else ""


def _deepest(text: str) -> int:
    """Return the line with the most brackets."""
    lines = lines_of(text)
    return 1 + max(range(len(lines)), key=lambda place: lines[place].count("[") + lines[place].count("{"))


def _nearest_file(path: Path) -> str:
    # Only where a file is missing: the usual start of the command need not wait for it.
    import difflib

    if not path.parent.is_dir():
        return ""
    names = [p.name for p in path.parent.iterdir() if p.suffix in (".yaml", ".yml", ".csv")]
    # Without the endings, which all of them share: by those alone no name is near another.
    near = difflib.get_close_matches(path.stem, {Path(name).stem for name in names}, 1, 0.55)
    alike = [name for name in names if near and Path(name).stem == near[0]]
    return shown(path.parent / difflib.get_close_matches(path.name, alike, 1, 0.0)[0]) if alike else ""


# A leading zero is no integer here: YAML 1.1 reads 010 as eight, people mean ten or a label.
INTEGER = re.compile(r"[+-]?(0|[1-9]\d*)$")
DECIMAL = re.compile(r"[+-]?(\d+\.\d*|\.\d+|\d+)([eE][+-]?\d+)?$")


class _Builder:
    """Turns YAML nodes into plain data and collects marks."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.marks: dict[Place, Mark] = {}
        self.key_marks: dict[Place, Mark] = {}
        self.problems: list[Problem] = []
        self.count = 0

    def mark(self, node: yaml.Node) -> Mark:
        return Mark(self.file, node.start_mark.line + 1, node.start_mark.column + 1)

    def built(self, node: yaml.Node, place: Place, above: tuple[int, ...]) -> Any:
        self.count += 1
        mark = self.mark(node)
        # An alias may contain itself, or double at each step ("billion laughs"); deep nesting exhausts the stack.
        if self.count > MOST_NODES or id(node) in above or len(above) > 60:
            raise InputError(
                Problem(
                    "the file's aliases (&name, *name) unfold without end",
                    self.file,
                    mark.line,
                    mark.column,
                    suggestion="write the repeated part out, or use it fewer times",
                )
            )
        # Marked before its inside is built, so that an error within finds at least this line.
        self.marks[place] = mark
        if isinstance(node, yaml.ScalarNode):
            return _scalar(node) if self.is_meant(str(node.value), mark) else None
        above = (*above, id(node))
        if isinstance(node, yaml.SequenceNode):
            return [self.built(child, (*place, index), above) for index, child in enumerate(node.value)]
        return self._mapping(node, place, above)

    def is_meant(self, text: str, mark: Mark) -> bool:
        """Refuse text that no person means: it would steer a terminal, or keep a pattern or a number's reader busy."""
        problem = ""
        if len(text) > LONGEST_TEXT:
            problem = f"a text of {len(text)} letters; at most {LONGEST_TEXT} are read"
        elif odd := UNSEEN.search(text):
            problem = f"the text holds a sign that cannot be seen (U+{ord(odd[0]):04X})"
        elif digits := MANY_DIGITS.search(text):
            problem = f"a number of {len(digits[0])} digits; at most {MOST_DIGITS} are read"
        if problem:
            self.problems.append(
                Problem(
                    problem, self.file, mark.line, mark.column, given=cut(text, 60), suggestion="write it anew by hand"
                )
            )
        return not problem

    def _mapping(self, node: yaml.Node, place: Place, above: tuple[int, ...]) -> dict[str, Any]:
        data: dict[str, Any] = {}
        for key_node, value_node in node.value:
            mark = self.mark(key_node)
            if not isinstance(key_node, yaml.ScalarNode):
                self.problems.append(Problem("a key must be plain text", self.file, mark.line, mark.column))
                continue
            key = str(key_node.value)
            self.is_meant(key, mark)
            # With merged keys, no line of the file says where a value comes from, and messages need one.
            if key == "<<":
                self.problems.append(
                    Problem(
                        "merging with '<<' is not supported",
                        self.file,
                        mark.line,
                        mark.column,
                        suggestion="write the keys out",
                    )
                )
                continue
            # YAML parsers keep the last of two silently: a person corrects one and wonders why nothing happens.
            if key in data:
                first = self.key_marks[(*place, key)]
                self.problems.append(
                    Problem(
                        f"the key '{key}' is given twice; first in line {first.line}",
                        self.file,
                        mark.line,
                        mark.column,
                        suggestion="delete one of them, or give one another name",
                    )
                )
                continue
            self.key_marks[(*place, key)] = mark
            data[key] = self.built(value_node, (*place, key), above)
        return data


def _scalar(node: yaml.ScalarNode) -> str | int | float | bool | None:
    text = str(node.value)
    if node.style:  # quoted, or a block of text; what is plain has none, or an empty one
        return text
    # An empty value is null; `yes`, `on` and `off` stay text and fail where a number or a truth is wanted.
    if text in ("", "~", "null"):
        return None
    if text in ("true", "false"):
        return text == "true"
    if INTEGER.match(text):
        return int(text)
    if DECIMAL.match(text):
        return float(text)
    return text
