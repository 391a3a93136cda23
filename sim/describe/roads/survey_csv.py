"""Reader of surveyed road profiles: a CSV file with a distance and a height column.

Every message names the file and, where there is one, the line, and says what to do. All of them
are plain ValueErrors, because the caller adds where in the course the file was asked for.
"""

import csv
import math
import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from sim.describe.roads.array import Array, Index
from sim.describe.roads.laid import LONGEST_M
from sim.describe.roads.survey_columns import HEADER, Columns, cells_of, columns_of

MOST_BYTES = 50_000_000
"""Largest file that is read."""

FEWEST_POINTS = 4
"""Fewest points that make a profile."""

MISSING = ("", "-", "--", "nan", "na", "n/a", "null")
"""What stands in a height's place where none was measured."""


_COMMA = re.compile(r"\s*[+-]?\d*,\d")


@dataclass(frozen=True)
class Points:
    """A profile as the file has it.

    Attributes
    ----------
    x, z : (n,) arrays
        Distances, rising, and heights [m]; nan where a height was not measured.
    line : (n,) array
        The line of each in the file.
    read : str
        What was found out about the file, in words.
    """

    x: Array
    z: Array
    line: Index
    read: str


def read_points(path: Path, shown: str, distance_unit: str | None = None, height_unit: str | None = None) -> Points:
    """Return the points of a file.

    Parameters
    ----------
    path : Path
        The file.
    shown : str
        The file's name as the user wrote it, for messages.
    distance_unit, height_unit : str, optional
        Units of a file that names none.

    Raises
    ------
    ValueError
        If the file cannot be read or does not hold a profile.
    """
    rows = _rows(_text(path, shown))
    if not rows:
        raise ValueError(f"{shown} is empty: start it with a header like '{HEADER}'")
    try:
        columns = columns_of(rows[0][1], f"{shown}, line {rows[0][0]}", distance_unit, height_unit)
        kept = rows[1:] if columns.headed else rows
        table = [(line, cells_of(content, columns.between)) for line, content in kept]
        comma = _decimal_comma(table, columns)
        points = [_point(cells, columns, comma, shown, line) for line, cells in table]
    except csv.Error as error:
        raise ValueError(f"{shown}: {error}: check its quotation marks") from None
    lines = np.array([line for line, _ in kept], dtype=np.int64)
    x, z = np.array(points, dtype=np.float64).reshape(-1, 2).T
    measured = int(np.count_nonzero(np.isfinite(z)))
    if measured < FEWEST_POINTS:
        raise ValueError(f"{shown} holds {measured} points: at least {FEWEST_POINTS} are needed")
    _check_order(x, lines, shown)
    sign = {" ": "spaces", "\t": "tabs", ";": "semicolons", ",": "commas"}[columns.between]
    read = (
        f"{shown}: {len(kept)} points over {x[-1] - x[0]:.4g} m; distance in {columns.units[0]}, height in "
        f"{columns.units[1]}, columns apart by {sign}, decimal {'comma' if comma else 'point'}"
    )
    return Points(x, z, lines, read)


def _text(path: Path, shown: str) -> str:
    try:
        if path.stat().st_size > MOST_BYTES:
            raise ValueError(f"{shown} is larger than {MOST_BYTES // 1_000_000} MB: thin it out")
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        raise ValueError(f"{shown} does not exist: its path is read from the folder of the course file") from None
    except UnicodeDecodeError:
        raise ValueError(f"{shown} is not text: save it as CSV in UTF-8") from None
    except OSError as error:
        reason = error.strerror or "the system refused"
        raise ValueError(f"{shown} cannot be read: {reason.lower()}") from None
    if "\0" in text:
        raise ValueError(f"{shown} is not text: save it as CSV in UTF-8")
    return text


def _rows(text: str) -> list[tuple[int, str]]:
    """Return number and text of each line; blank lines and `#` comments are left out."""
    return [
        (line, content)
        for line, content in enumerate(text.splitlines(), start=1)
        if content.strip(" \t,;") and not content.lstrip().startswith("#")
    ]


def _decimal_comma(table: list[tuple[int, list[str]]], columns: Columns) -> bool:
    """Return whether decimals are written with a comma: some number has one, and none has a point."""
    wanted = (columns.distance[0], columns.height[0])
    seen = [cells[number] for _, cells in table for number in wanted if number < len(cells)]
    return any("," in cell and _COMMA.match(cell) for cell in seen) and not any("." in cell for cell in seen)


def _point(cells: list[str], columns: Columns, comma: bool, shown: str, line: int) -> tuple[float, float]:
    """Return distance and height [m] of one line; nan for a height that was not measured."""
    where = f"{shown}, line {line}"
    if columns.between == "," and len(cells) > columns.count and any(cell.strip() for cell in cells[columns.count :]):
        raise ValueError(
            f"{where}: {len(cells)} columns, the header has {columns.count}: if decimals are written with a comma, put "
            "semicolons between columns"
        )
    values = []
    for (number, size), name in zip((columns.distance, columns.height), ("distance", "height"), strict=True):
        given = cells[number].strip() if number < len(cells) else ""
        if number >= len(cells) or (name == "distance" and not given):
            raise ValueError(f"{where}: no {name}: fill it in or delete the line")
        if name == "height" and given.lower() in MISSING:
            values.append(math.nan)
            continue
        try:
            value = float(given.replace(",", ".") if comma else given) * size
        except ValueError:
            raise ValueError(
                f"{where}: the {name} '{given}' is not a number: write it like 12.5 or 12,5, without a unit and without "
                "signs between thousands, the same way in every line"
            ) from None
        if not math.isfinite(value):
            raise ValueError(f"{where}: the {name} '{given}' is not finite: delete the line")
        values.append(value)
    return values[0], values[1]


def _check_order(x: Array, lines: Index, shown: str) -> None:
    wrong = np.flatnonzero(np.diff(x) <= 0.0)
    if wrong.size:
        at = int(wrong[0])
        raise ValueError(
            f"{shown}, line {lines[at + 1]}: the distance {x[at + 1]:g} m does not come after "
            f"{x[at]:g} m of line {lines[at]}: sort the lines by distance, one line a place"
        )
    if x[-1] - x[0] > LONGEST_M:
        raise ValueError(
            f"{shown} is {x[-1] - x[0]:g} m long, at most {LONGEST_M:g} m are accepted: "
            "check the unit of the distance, or cut the file"
        )
