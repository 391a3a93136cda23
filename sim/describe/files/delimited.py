"""Reads a table of numbers from text whose delimiter and decimal mark nobody has told: it finds out, and says what it found."""

import csv
import re
from collections import Counter
from dataclasses import dataclass
from math import isfinite
from pathlib import Path
from typing import NamedTuple

MOST_BYTES = 50_000_000
"""Largest file that is read."""

FEWEST_COLUMNS, FEWEST_ROWS = 2, 2

LINES_TRIED = 2000
"""Lines at the start of a file from which its form is found."""

DELIMITERS = {";": "semicolon", "\t": "tab", ",": "comma", " ": "spaces"}
"""In the order in which they are preferred where two fit a file equally well."""

_NUMBERS = {
    ".": re.compile(r"[+\-−]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$"),
    ",": re.compile(r"[+\-−]?(?:\d+,?\d*|,\d+)(?:[eE][+-]?\d+)?$"),
}


class _Fit(NamedTuple):
    """How well a delimiter and a decimal mark fit a file."""

    rows: int  # lines of data
    preference: int
    delimiter: str
    decimal: str
    width: int
    first: int  # place of the first line of data


@dataclass(frozen=True)
class Delimited:
    """A table as found.

    Attributes
    ----------
    delimiter, decimal : str
        What parts the cells, and the decimal mark.
    names, units : tuple of str
        Of the columns, as written; empty texts where there are none.
    rows : list of (line number, cells)
        From the first line of data on.
    notes : tuple of str
        Lines above the header: what the machine or a person wrote there.
    """

    delimiter: str
    decimal: str
    names: tuple[str, ...]
    units: tuple[str, ...]
    rows: list[tuple[int, list[str]]]
    notes: tuple[str, ...]

    @property
    def told(self) -> str:
        """Delimiter and decimal mark in words."""
        mark = {".": "point", ",": "comma"}[self.decimal]
        return f"cells parted by {DELIMITERS[self.delimiter]}, decimal {mark}"

    def number(self, cell: str) -> float | None:
        """Return a cell as a number, None if it is none."""
        text = cell.strip()
        if not _NUMBERS[self.decimal].match(text):
            return None
        value = float(text.replace(",", ".").replace("−", "-"))
        return value if isfinite(value) else None


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
    lines = [
        (number, line)
        for number, line in enumerate(_text(path, shown).splitlines(), start=1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    if not lines:
        raise ValueError(f"{shown} is empty")
    pairs = [(d, m) for d in DELIMITERS for m in (".", ",") if d != m]
    best = max(_fitted(lines[:LINES_TRIED], d, m, -place, words) for place, (d, m) in enumerate(pairs))
    if best.rows < FEWEST_ROWS:
        raise ValueError(
            f"{shown} holds no table of numbers: {FEWEST_ROWS} or more lines with {FEWEST_COLUMNS} or more numbers each are needed, "
            "parted by comma, semicolon, tab or spaces"
        )
    head = [(number, _cells(line, best.delimiter)) for number, line in lines[: best.first]]
    names, units, above = _header(head, best)
    return Delimited(
        best.delimiter, best.decimal, names, units,
        [(number, _cells(line, best.delimiter)) for number, line in lines[best.first :]],
        tuple(line.strip() for _, line in lines[:above]),
    )  # fmt: skip


def _text(path: Path, shown: str) -> str:
    try:
        if path.stat().st_size > MOST_BYTES:
            raise ValueError(f"{shown} is larger than {MOST_BYTES // 1_000_000} MB: thin it out")
        raw = path.read_bytes()
    except FileNotFoundError:
        raise ValueError(
            f"{shown} does not exist: its path is read from the folder of the file that names it"
        ) from None
    except OSError as error:
        raise ValueError(f"{shown} cannot be read: {(error.strerror or 'the system refused').lower()}") from None
    # Test machines write what their system writes: UTF-8, UTF-16 with its mark, or Windows' western letters.
    encodings = ("utf-16",) if raw[:2] in (b"\xff\xfe", b"\xfe\xff") else ("utf-8-sig", "cp1252")
    for encoding in encodings:
        try:
            text = raw.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text
    raise ValueError(f"{shown} is not text: save it as CSV")


def _cells(line: str, delimiter: str) -> list[str]:
    if delimiter == " ":
        return line.split()
    try:
        cells = next(csv.reader([line], delimiter=delimiter))
    except csv.Error:
        return [line]
    while len(cells) > 1 and not cells[-1].strip():  # a delimiter at the end of a line parts nothing
        cells.pop()
    return [cell.strip() for cell in cells]


def _fitted(lines: list[tuple[int, str]], delimiter: str, decimal: str, preference: int, words: frozenset[str]) -> _Fit:
    """Return how many lines are data: all cells numbers, or known words, as many cells as most have."""
    pattern = _NUMBERS[decimal]
    widths = {}
    for place, (_, line) in enumerate(lines):
        cells = _cells(line, delimiter)
        data = [pattern.match(cell) is not None for cell in cells]
        if sum(data) >= FEWEST_COLUMNS and all(
            number or cell.lower() in words for number, cell in zip(data, cells, strict=True)
        ):
            widths[place] = len(cells)
    if not widths:
        return _Fit(0, preference, delimiter, decimal, 0, 0)
    width, rows = Counter(widths.values()).most_common(1)[0]
    return _Fit(rows, preference, delimiter, decimal, width, min(p for p, w in widths.items() if w == width))


def _header(head: list[tuple[int, list[str]]], fit: _Fit) -> tuple[tuple[str, ...], tuple[str, ...], int]:
    """Return names, units and how many lines stand above them: the last lines before the data that are as wide."""
    blank = ("",) * fit.width
    wide = []
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
