"""Tables as CSV that spreadsheets open: no cell of theirs is taken for a formula."""

import csv
import re
from collections.abc import Iterable
from typing import TextIO

FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""Signs with which a cell begins that a spreadsheet may run: OWASP, "CSV Injection"."""

NUMBER = re.compile(r"[+-](\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?( [\w%°/·.() -]*)?\Z|[+-](inf|nan)\Z")
"""A number with its sign, and perhaps with its units behind it."""

CONTROL = re.compile(r"[\x00-\x1f\x7f]+")
"""What no name needs, and no two programs read alike: new lines among it."""


class Table:
    """Writes rows to a file.

    Parameters
    ----------
    file : text file
        Open for writing, with newlines left as they are.
    """

    def __init__(self, file: TextIO) -> None:
        # One newline on every system: the same results give the same file, byte for byte.
        self._table = csv.writer(file, lineterminator="\n")

    def writerow(self, row: Iterable[object]) -> None:
        """Write a row."""
        self._table.writerow([harmless(cell) for cell in row])

    def writerows(self, rows: Iterable[Iterable[object]]) -> None:
        """Write rows."""
        for row in rows:
            self.writerow(row)


def harmless(cell: object) -> object:
    """Return a cell that no spreadsheet runs: text that begins as a formula does with an apostrophe before it; numbers as they are."""
    # Numbers of ours cannot be formulas; quoting -3.2 would make text of it.
    if not isinstance(cell, str):
        return cell
    # New lines first: some programs split a cell there, and the rest of it could begin as a formula.
    text = CONTROL.sub(" ", cell)
    # One sign alone is no formula: a lone dash stands for nothing to show.
    if len(text) < 2 or not cell.startswith(FORMULA) or NUMBER.match(text):
        return text
    return f"'{text}"
