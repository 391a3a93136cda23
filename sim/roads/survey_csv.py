"""Reader of surveyed road profiles: a CSV file with a distance and a height column.

Every message names the file and, where there is one, the line, and says what to do. All of them
are plain ValueErrors, because the caller adds where in the course the file was asked for.
"""

import csv
import math
import re
from pathlib import Path

import numpy as np
from pydantic import TypeAdapter

from sim.roads.array import Array
from sim.roads.laid import LONGEST_M, TALLEST_M
from sim.units import Length

MOST_BYTES = 50_000_000
"""Largest file that is read."""

FEWEST_POINTS = 4
"""Fewest points that make a profile."""

STEEPEST = 5.0
"""Steepest slope [m/m] between two points; more is a slip of the unit, or a sheer edge."""

HEADER = "distance [m],height [mm]"
"""Header line that is shown as the example."""

_COLUMN = re.compile(r"^\s*(?P<name>[A-Za-z][A-Za-z ]*?)\s*\[(?P<unit>[^\]]+)\]\s*$")


def read_survey(path: Path, shown: str) -> tuple[Array, Array]:
    """Return distances [m] from the first point and heights [m] above it.

    Parameters
    ----------
    path : Path
        The file.
    shown : str
        The file's name as the user wrote it, for messages.

    Raises
    ------
    ValueError
        If the file cannot be read or does not hold a usable profile.
    """
    rows = _rows(_text(path, shown), shown)
    if not rows:
        raise ValueError(f"{shown} is empty: start it with a header like '{HEADER}'")
    header_line, header = rows[0]
    columns = _columns(header, f"{shown}, line {header_line}")
    points = [_point(cells, columns, f"{shown}, line {line}") for line, cells in rows[1:]]
    if len(points) < FEWEST_POINTS:
        raise ValueError(f"{shown} holds {len(points)} points: at least {FEWEST_POINTS} are needed")
    x, z = np.array(points).T
    _check_order(x, [line for line, _ in rows[1:]], shown)
    _check_slopes(x, z, [line for line, _ in rows[1:]], shown)
    return x - x[0], z - z[0]


def _text(path: Path, shown: str) -> str:
    try:
        if path.stat().st_size > MOST_BYTES:
            raise ValueError(f"{shown} is larger than {MOST_BYTES // 1_000_000} MB: thin it out")
        return path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        raise ValueError(f"{shown} does not exist: its path is read from the folder of the course file") from None
    except UnicodeDecodeError:
        raise ValueError(f"{shown} is not text: save it as CSV in UTF-8") from None
    except OSError as error:
        reason = error.strerror or "the system refused"
        raise ValueError(f"{shown} cannot be read: {reason.lower()}") from None


def _rows(text: str, shown: str) -> list[tuple[int, list[str]]]:
    """Return line number and cells of each row; blank lines and `#` comments are left out."""
    if "\0" in text:
        raise ValueError(f"{shown} is not text: save it as CSV in UTF-8")
    rows = []
    for line, content in enumerate(text.splitlines(), start=1):
        if not content.strip() or content.lstrip().startswith("#"):
            continue
        try:
            cells = next(csv.reader([content]))
        except csv.Error as error:
            raise ValueError(f"{shown}, line {line}: {error}") from None
        rows.append((line, cells))
    return rows


def _columns(header: list[str], where: str) -> tuple[tuple[int, float], tuple[int, float]]:
    """Return column number and size of its unit [m] for distance and for height."""
    if len(header) == 1:
        raise ValueError(f"{where}: only one column: put commas between columns, like '{HEADER}'")
    found: dict[str, tuple[int, float]] = {}
    for number, cell in enumerate(header):
        match = _COLUMN.match(cell)
        name = match["name"].lower() if match else cell.split("[")[0].strip().lower()
        if name not in ("distance", "height"):
            continue
        if match is None:
            raise ValueError(f"{where}: the column '{name}' has no unit: write '{name} [m]'")
        if name in found:
            raise ValueError(f"{where}: two columns are named '{name}': keep one")
        found[name] = (number, _unit_size(match["unit"].strip(), name, where))
    missing = [name for name in ("distance", "height") if name not in found]
    if missing:
        given = ",".join(cell.strip() for cell in header)[:80]
        raise ValueError(f"{where}: no column '{missing[0]}' in the header '{given}': write it like '{HEADER}'")
    return found["distance"], found["height"]


def _unit_size(unit: str, name: str, where: str) -> float:
    try:
        size = TypeAdapter(Length).validate_python(f"1 {unit}")
    except ValueError:
        size = math.nan
    if not (math.isfinite(size) and size > 0.0):
        raise ValueError(f"{where}: '{unit}' of the column '{name}' is not a unit of length: write m, mm, cm, in or ft")
    return size


def _point(cells: list[str], columns: tuple[tuple[int, float], tuple[int, float]], where: str) -> tuple[float, float]:
    """Return distance and height [m] of one row."""
    values = []
    for (number, size), name in zip(columns, ("distance", "height"), strict=True):
        if number >= len(cells) or not cells[number].strip():
            raise ValueError(f"{where}: no {name}: fill it in or delete the line")
        given = cells[number].strip()
        try:
            value = float(given) * size
        except ValueError:
            raise ValueError(
                f"{where}: the {name} '{given}' is not a number: write it like 12.5, "
                "with a decimal point and without a unit"
            ) from None
        if not math.isfinite(value):
            raise ValueError(f"{where}: the {name} '{given}' is not finite: delete the line")
        values.append(value)
    return values[0], values[1]


def _check_order(x: Array, lines: list[int], shown: str) -> None:
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


def _check_slopes(x: Array, z: Array, lines: list[int], shown: str) -> None:
    slopes = np.diff(z) / np.diff(x)
    steep = np.flatnonzero(np.abs(slopes) > STEEPEST)
    if steep.size:
        at = int(steep[0])
        raise ValueError(
            f"{shown}, line {lines[at + 1]}: a slope of {slopes[at]:.3g} m per m from line "
            f"{lines[at]} (at most {STEEPEST:g}): check the units of the header; write a sheer "
            f"edge as a step or plank (up to {TALLEST_M:g} m) in the course instead"
        )
