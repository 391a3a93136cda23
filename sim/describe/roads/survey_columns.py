"""What a surveyed profile's columns are: which is which, and their units."""

import math
import re
from dataclasses import dataclass

from pydantic import TypeAdapter

from sim.describe.units import Length

HEADER = "distance [m],height [mm]"
"""Header line that is shown as the example."""

# Words of surveyors and of test machines; one letter each, as tables of numbers have it.
NAMES: dict[str, tuple[str, ...]] = {
    "distance": ("distance", "dist", "station", "chainage", "position", "along", "x"),
    "height": ("height", "elevation", "level", "profile", "z"),
}
"""Words by which a column is known, the plain one first."""

_UNIT = r"mm|cm|km|m|inches|inch|in|feet|foot|ft|metres?|meters?"
_COLUMN = re.compile(
    rf"^\s*(?P<name>[A-Za-z]+)\s*(?:[\[(]\s*(?P<unit>[^\])]*?)\s*[\])]|[\s_/,]+(?:in\s+)?(?P<bare>{_UNIT}))?\s*$",
    re.IGNORECASE,
)
_NUMBER = re.compile(r"^\s*[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?\s*$")


@dataclass(frozen=True)
class Columns:
    """How a file is to be read.

    Attributes
    ----------
    distance, height : (int, float)
        Number of the column, from 0, and size of its unit [m].
    units : (str, str)
        Their units as written.
    headed : bool
        Whether the first row is a header.
    count : int
        How many columns there are.
    """

    distance: tuple[int, float]
    height: tuple[int, float]
    units: tuple[str, str]
    headed: bool
    count: int


def columns_of(cells: list[str], where: str, distance_unit: str | None, height_unit: str | None) -> Columns:
    """Return how a file is to be read, from its first line that is not a comment.

    Parameters
    ----------
    cells : list of str
        Those of that line.
    where : str
        File and line, for messages.
    distance_unit, height_unit : str or None
        Units that the course gives; they are for a file that names none.

    Raises
    ------
    ValueError
        If columns or units are not clear; it says how to give them.
    """
    if len(cells) < 2:
        raise ValueError(f"{where}: only one column: put commas or semicolons between columns, like '{HEADER}'")
    # A run of blanks is one: of thousands the patterns would try every way to share them out.
    cells = [" ".join(cell.split()) for cell in cells]
    headed = not all(_NUMBER.match(cell) for cell in cells)  # numbers alone: no header
    # Which two of three columns are meant is not to be guessed; and `12,5,3` may be two decimals.
    if not headed and len(cells) > 2:
        raise ValueError(
            f"{where}: {len(cells)} columns and no header: begin the file with one, like '{HEADER}'; if decimals are written "
            "with a comma, put semicolons between columns"
        )
    # Without a header: distance first, as every such file has it (common practice, no source).
    named = _named(cells, where) if headed else {"distance": (0, ""), "height": (1, "")}
    given = {"distance": distance_unit, "height": height_unit}
    columns, units = {}, {}
    for name, (number, unit) in named.items():
        asked = given[name]
        # By size and not by word: `in` and `inch` agree.
        if unit and asked and _size(unit, name, where) != _size(asked, name, where):
            raise ValueError(
                f"{where}: the column '{name}' is in {unit}, but the course says {name}_unit: {asked}; keep one of them"
            )
        # Heights in mm and in inches both look like a road, so nothing is assumed.
        if not unit and not asked:
            how = f"write '{name} [m]' in the header" if headed else f"begin the file with a header like '{HEADER}'"
            raise ValueError(
                f"{where}: the column '{name}' has no unit: in which one was it measured? "
                f"Write e.g. {name}_unit: {'m' if name == 'distance' else 'mm'} beside `file` in the course, or {how}"
            )
        units[name] = unit or asked or ""
        columns[name] = (number, _size(units[name], name, where))
    return Columns(columns["distance"], columns["height"], (units["distance"], units["height"]), headed, len(cells))


def _named(cells: list[str], where: str) -> dict[str, tuple[int, str]]:
    """Return number and unit, perhaps none, of the column of each name."""
    columns: dict[str, tuple[int, str]] = {}
    for number, cell in enumerate(cells):
        match = _COLUMN.match(cell)
        if match is None:
            continue  # other columns may stand beside, such as a time or a remark
        name = next((key for key, words in NAMES.items() if match["name"].lower() in words), None)
        if name is None:
            continue
        if name in columns:
            raise ValueError(f"{where}: two columns are named '{name}': keep one")
        columns[name] = (number, match["unit"] or match["bare"] or "")
    for name in NAMES:
        if name not in columns:
            given = ",".join(cell.strip() for cell in cells)[:80]
            raise ValueError(
                f"{where}: no column '{name}' in the header '{given}': write it like '{HEADER}' "
                f"(known words: {', '.join(NAMES[name])})"
            )
    return {name: columns[name] for name in NAMES}


def _size(unit: str, name: str, where: str) -> float:
    """Return the size of a unit of length [m]."""
    # By the same door as every other length, so that a unit means the same in all files.
    try:
        size = TypeAdapter(Length).validate_python(f"1 {unit}")
    except ValueError:
        size = math.nan
    if not (math.isfinite(size) and size > 0.0):
        raise ValueError(f"{where}: '{unit}' of the column '{name}' is not a unit of length: write m, mm, cm, in or ft")
    return size
