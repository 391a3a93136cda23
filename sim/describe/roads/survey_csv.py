"""Reader of surveyed road profiles: a CSV file with a distance and a height column.

Every message names the file and, where there is one, the line, and says what to do. All of them
are plain ValueErrors, because the caller adds where in the course the file was asked for.
"""

import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from sim.describe.files.delimited import Form, cells_of, form_of, read_lines
from sim.describe.roads.array import Array, Index
from sim.describe.roads.laid import LONGEST_M
from sim.describe.roads.survey_columns import HEADER, Columns, columns_of
from sim.describe.shown import show

FEWEST_POINTS = 4
"""Fewest points that make a profile."""

MISSING = frozenset({"", "-", "--", "nan", "na", "n/a", "null"})
"""What stands in a height's place where none was measured."""


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
    rows = read_lines(path, shown)
    if not rows:
        raise ValueError(f"{shown} is empty: start it with a header like '{HEADER}'")
    # Remarks may stand beside the numbers of a line, as surveyors write them.
    form = form_of(rows, MISSING, notes=True)
    table = [(line, cells_of(content, form.delimiter)) for line, content in rows]
    columns = columns_of(table[0][1], f"{shown}, line {rows[0][0]}", distance_unit, height_unit)
    kept = table[1:] if columns.headed else table
    points = [_point(cells, columns, form, shown, line) for line, cells in kept]
    lines = np.array([line for line, _ in kept], dtype=np.int64)
    # The shape holds for no rows at all too, of which the next lines complain better.
    x, z = np.array(points, dtype=np.float64).reshape(-1, 2).T
    measured = int(np.count_nonzero(np.isfinite(z)))
    if measured < FEWEST_POINTS:
        raise ValueError(f"{shown} holds {measured} points: at least {FEWEST_POINTS} are needed")
    _check_order(x, lines, shown)
    sign = {" ": "spaces", "\t": "tabs", ";": "semicolons", ",": "commas"}[form.delimiter]
    read = (
        f"{shown}: {len(kept)} points over {show(float(x[-1] - x[0]), 'distance')}; distance in {columns.units[0]}, height in "
        f"{columns.units[1]}, columns apart by {sign}, decimal {'comma' if form.decimal == ',' else 'point'}"
    )
    return Points(x, z, lines, read)


def _point(cells: list[str], columns: Columns, form: Form, shown: str, line: int) -> tuple[float, float]:
    """Return distance and height [m] of one line; nan for a height that was not measured."""
    where = f"{shown}, line {line}"
    # More cells than columns are most likely decimal commas: `1,5,20,3` is two numbers, not four.
    if form.delimiter == "," and len(cells) > columns.count and any(cell.strip() for cell in cells[columns.count :]):
        raise ValueError(
            f"{where}: {len(cells)} columns, the header has {columns.count}: if decimals are written with a comma, put "
            "semicolons between columns"
        )
    values = []
    for (number, size), name in zip((columns.distance, columns.height), ("distance", "height"), strict=True):
        given = cells[number].strip() if number < len(cells) else ""
        # A height may be missing and is bridged; without a distance nobody knows where.
        if number >= len(cells) or (name == "distance" and not given):
            raise ValueError(f"{where}: no {name}: fill it in or delete the line")
        if name == "height" and given.lower() in MISSING:
            values.append(math.nan)
            continue
        value = form.number(given)
        if value is None and _is_not_finite(given, form):  # "inf" and "nan" are numbers to Python
            raise ValueError(f"{where}: the {name} '{given}' is not finite: delete the line")
        if value is None:
            raise ValueError(
                f"{where}: the {name} '{given}' is not a number: write it like 12.5 or 12,5, without a unit and without "
                "signs between thousands, the same way in every line"
            )
        values.append(value * size)
    return values[0], values[1]


def _is_not_finite(given: str, form: Form) -> bool:
    try:
        return not math.isfinite(float(given.replace(form.decimal, ".")))
    except ValueError:
        return False


def _check_order(x: Array, lines: Index, shown: str) -> None:
    # Backwards or twice in one place: sorting would hide a slip of the survey, and a curve needs rising places.
    wrong = np.flatnonzero(np.diff(x) <= 0.0)
    if wrong.size:
        at = int(wrong[0])
        raise ValueError(
            f"{shown}, line {lines[at + 1]}: the distance {x[at + 1]:g} m does not come after "
            f"{x[at]:g} m of line {lines[at]}: sort the lines by distance, one line a place"
        )
    # A distance in mm that is read as m is often caught here.
    if x[-1] - x[0] > LONGEST_M:
        raise ValueError(
            f"{shown} is {x[-1] - x[0]:g} m long, at most {LONGEST_M:g} m are accepted: "
            "check the unit of the distance, or cut the file"
        )
