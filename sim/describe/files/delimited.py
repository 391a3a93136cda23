"""Reads a table of numbers from text whose delimiter and decimal mark nobody has stated: it works them out, and says what they are."""

import csv
import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite
from pathlib import Path
from typing import NamedTuple

from sim.describe.files.regular import bytes_of

MOST_BYTES = 50_000_000
"""Largest file that is read."""

FEWEST_COLUMNS, FEWEST_ROWS = 2, 2

LINES_TRIED = 2000
"""Lines at the start of a file from which its form is found."""

DELIMITERS = {";": "semicolon", "\t": "tab", ",": "comma", " ": "spaces"}
"""In the order in which they are preferred where two fit a file equally well."""

_NUMBERS = {
    # The minus sign of typeset tables (U+2212) counts as one: numbers are often copied out of a document.
    ".": re.compile(r"[+\-−]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$"),
    ",": re.compile(r"[+\-−]?(?:\d+,?\d*|,\d+)(?:[eE][+-]?\d+)?$"),
}


NOT_TEXT = {
    b"PK\x03\x04": "a workbook or a packed folder",
    b"\xd0\xcf\x11\xe0": "a workbook",
    b"\x89PNG": "a picture",
    b"\xff\xd8\xff": "a picture",
    b"%PDF": "a PDF",
    b"\x1f\x8b": "a packed file",
}
"""By how files begin that people take for tables of text."""

_CONTROL = re.compile(r"[\x00-\x08\x0e-\x1f\x7f]")
"""What no text holds; a tab, ends of lines and of pages are none of these."""

BLANK = " \t\f\v\u00a0,;"
"""A line of these alone has no content."""

END_OF_FILE = "\x1a"
"""With which old systems end a text."""


class Form(NamedTuple):
    """How a file is written, and how well that fits it."""

    fit: float  # lines of data, each by the share of its cells that are numbers
    preference: int
    delimiter: str
    decimal: str
    width: int  # cells of most lines of data
    first: int  # place of the first such line

    # `fit` and `preference` come first because forms are compared as tuples: the best is the largest.
    def number(self, cell: str) -> float | None:
        """Return a cell as a number, None if it is none."""
        text = cell.strip()
        if not _NUMBERS[self.decimal].match(text):
            return None
        value = float(text.replace(",", ".").replace("−", "-"))  # float() knows neither a decimal comma nor U+2212
        return value if isfinite(value) else None


@dataclass(frozen=True)
class Delimited:
    """A table as found.

    Attributes
    ----------
    form : Form
        What parts the cells, and the decimal mark.
    names, units : tuple of str
        Of the columns, as written; empty texts where there are none.
    rows : list of (line number, cells)
        From the first line of data on.
    notes : tuple of str
        Lines above the header: what the machine or a person wrote there.
    """

    form: Form
    names: tuple[str, ...]
    units: tuple[str, ...]
    rows: list[tuple[int, list[str]]]
    notes: tuple[str, ...]

    @property
    def words(self) -> str:
        """Delimiter and decimal mark in words."""
        mark = {".": "point", ",": "comma"}[self.form.decimal]
        return f"cells parted by {DELIMITERS[self.form.delimiter]}, decimal {mark}"

    def number(self, cell: str) -> float | None:
        """Return a cell as a number, None if it is none."""
        return self.form.number(cell)


def read_delimited(path: Path, shown: str, words: frozenset[str] = frozenset()) -> Delimited:
    """Return the table that a file holds.

    Parameters
    ----------
    path : Path
        The file.
    shown : str
        Its name as the user wrote it, for messages.
    words : frozenset of str
        Words, in small letters, that may stand in a cell of data instead of a number.

    Raises
    ------
    ValueError
        If it cannot be read, or holds no table.
    """
    lines = read_lines(path, shown)
    if not lines:
        raise ValueError(f"{shown} is empty")
    form = form_of(lines, words)
    # Two rows at least: a single line with two numbers may as well be a date.
    if form.fit < FEWEST_ROWS:
        raise ValueError(
            f"{shown} holds no table of numbers: {FEWEST_ROWS} or more lines with {FEWEST_COLUMNS} or more numbers each are needed, "
            "parted by comma, semicolon, tab or spaces"
        )
    head = [(number, _trimmed(line, form.delimiter)) for number, line in lines[: form.first]]
    names, units, above = _header(head, form)
    return Delimited(
        form, names, units,
        [(number, _trimmed(line, form.delimiter)) for number, line in lines[form.first :]],
        tuple(line.strip() for _, line in lines[:above]),
    )  # fmt: skip


def read_lines(path: Path, shown: str) -> list[tuple[int, str]]:
    """Return number and text of each line of a file; those without content, and comments after `#`, are left out.

    Parameters
    ----------
    path : Path
        The file: UTF-8 with or without its mark, UTF-16 with it, or Western letters of a byte each.
    shown : str
        Its name as the user wrote it, for messages.

    Raises
    ------
    ValueError
        If it is missing, too large or not text.
    """
    return [
        (number, line)
        # not str.splitlines, which also parts at form feeds and at U+2028
        for number, line in enumerate(re.split(r"\r\n|\r|\n", _text(path, shown)), start=1)
        if line.strip(BLANK) and not line.lstrip().startswith("#")
    ]


def form_of(lines: list[tuple[int, str]], words: frozenset[str] = frozenset(), notes: bool = False) -> Form:
    """Return how lines are written: the delimiter and the decimal mark by which most of them are data.

    Parameters
    ----------
    lines : list of (line number, text)
        At least one.
    words : frozenset of str
        Words, in small letters, that may stand in a cell of data instead of a number.
    notes : bool
        Whether other words may stand beside the numbers of a line. If no line is data then, the first one,
        a header, says by which delimiter.
    """
    # A sign cannot part cells and decimals in one file.
    pairs = [(d, m) for d in DELIMITERS for m in (".", ",") if d != m]
    tried = {pair: -place for place, pair in enumerate(pairs)}
    best = _best(lines[:LINES_TRIED], tried, words, notes)
    if notes and not best.fit:
        delimiter = next((sign for sign in DELIMITERS if sign in lines[0][1]), " ")
        return best._replace(delimiter=delimiter, decimal=".")
    if len(lines) > LINES_TRIED:  # a mark may stand further down only
        tried = {pair: preference for pair, preference in tried.items() if pair[0] == best.delimiter}
        best = _best(lines, tried, words, notes)
    return best


def _best(
    lines: list[tuple[int, str]], tried: Mapping[tuple[str, str], int], words: frozenset[str], notes: bool
) -> Form:
    """Return the form that fits lines best, of pairs of delimiter and decimal mark with how much each is preferred."""
    parted = cells_of if notes else _trimmed
    # Lines are parted once for both marks.
    rows = {sign: [parted(line, sign) for _, line in lines] for sign in dict.fromkeys(sign for sign, _ in tried)}
    return max(_fitted(rows[sign], sign, mark, tried[sign, mark], words, notes) for sign, mark in tried)


def cells_of(line: str, delimiter: str) -> list[str]:
    """Return the cells of a line; a space as delimiter stands for any white space."""
    if delimiter == " ":
        return line.split()
    if '"' not in line:  # quotes are rare, and csv.reader is slow
        return [cell.strip() for cell in line.split(delimiter)]
    try:
        return [cell.strip() for cell in next(csv.reader([line], delimiter=delimiter))]
    except csv.Error:
        return [line]


def _text(path: Path, shown: str) -> str:
    try:
        raw = bytes_of(path, MOST_BYTES)
        if len(raw) > MOST_BYTES:
            raise ValueError(f"{shown} is larger than {MOST_BYTES // 1_000_000} MB: thin it out")
    except FileNotFoundError:
        raise ValueError(
            f"{shown} does not exist: its path is read from the folder of the file that names it"
        ) from None
    except OSError as error:
        raise ValueError(f"{shown} cannot be read: {(error.strerror or 'the system refused').lower()}") from None
    # People give the workbook itself; the decoder would say something about bytes that helps nobody.
    kind = next((start for start in NOT_TEXT if raw.startswith(start)), None)
    if kind is not None:
        raise ValueError(
            f"{shown} is not text but {NOT_TEXT[kind]}: its line 1 begins with {_bytes_shown(kind)}: save the table as CSV in UTF-8"
        )
    text = _decoded(raw, shown).removesuffix(END_OF_FILE)
    odd = _CONTROL.search(text)
    if odd:
        line = len(re.findall(r"\r\n|\r|\n", text[: odd.start()])) + 1
        raise ValueError(
            f"{shown} is not text: its line {line} holds the byte {_bytes_shown(odd[0].encode())}: save the table as CSV in UTF-8"
        )
    return text


def encoding_of(raw: bytes) -> str:
    """Return how a file's bytes stand for letters: test machines and data loggers write what their system writes."""
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return "utf-16"
    # UTF-8 first, as other text hardly ever is valid UTF-8 by chance; cp1252 takes nearly everything.
    for encoding in ("utf-8-sig", "cp1252"):
        try:
            raw.decode(encoding)
        except UnicodeDecodeError:
            continue
        return encoding
    return "latin-1"  # letters of yet another page: names may look odd, numbers do not


def _decoded(raw: bytes, shown: str) -> str:
    try:
        return raw.decode(encoding_of(raw))
    except UnicodeDecodeError as error:
        given = raw[error.start : error.start + 2]
        line = raw[: error.start].decode("utf-16", "replace").count("\n") + 1
        raise ValueError(
            f"{shown} is not text: it begins as UTF-16, but its line {line} breaks off at {_bytes_shown(given)}: "
            "save the table as CSV in UTF-8"
        ) from None


def _bytes_shown(some: bytes) -> str:
    return " ".join(f"{byte:02X}" for byte in some)


def _trimmed(line: str, delimiter: str) -> list[str]:
    cells = cells_of(line, delimiter)
    while len(cells) > 1 and not cells[-1]:  # a delimiter at the end of a line parts nothing
        cells.pop()
    return cells


def _fitted(
    rows: list[list[str]], delimiter: str, decimal: str, preference: int, words: frozenset[str], notes: bool
) -> Form:
    """Return how well a delimiter and a mark fit: lines of numbers and known words, as many cells as most have."""
    is_number = _NUMBERS[decimal].match
    widths, fit = {}, 0.0
    for place, cells in enumerate(rows):
        numbers = sum([is_number(cell) is not None for cell in cells])
        known = numbers + (sum([cell.lower() in words for cell in cells]) if words else 0)
        # Unless notes may stand beside numbers, every cell must be one or a known word: a title may hold two numbers.
        enough = numbers and known >= FEWEST_COLUMNS if notes else numbers >= FEWEST_COLUMNS and known == len(cells)
        if enough:
            widths[place] = len(cells)
            fit += known / len(cells)
    if not widths:
        return Form(0.0, preference, delimiter, decimal, 0, 0)
    # Most lines decide the width; a ragged one is for whoever reads the rows to name.
    width, alike = Counter(widths.values()).most_common(1)[0]
    first = min(place for place, cells in widths.items() if cells == width)
    return Form(fit if notes else alike, preference, delimiter, decimal, width, first)


def _header(head: list[tuple[int, list[str]]], fit: Form) -> tuple[tuple[str, ...], tuple[str, ...], int]:
    """Return names, units and how many lines stand above them: the last lines before the data that are as wide."""
    blank = ("",) * fit.width
    wide = []
    # Two lines at most: names, and units below them.
    for place in range(len(head) - 1, max(len(head) - 3, -1), -1):
        if len(head[place][1]) != fit.width:
            break
        wide.append(place)
    if not wide:
        return blank, blank, len(head)
    upper = tuple(head[wide[-1]][1])
    if len(wide) == 1:
        return upper, blank, wide[-1]
    lower = tuple(head[wide[0]][1])
    if all(len(cell) <= LONGEST_UNIT for cell in lower):
        return upper, tuple(cell.strip("[]() ") for cell in lower), wide[-1]
    return lower, blank, wide[0]


LONGEST_UNIT = 8
"""Letters that a unit has in brackets, at most: a line of longer words is no line of units."""
