"""What the columns of a damper test machine's file are: speed, force, position, time, direction, with their units.

Found from names and units, in any order; nothing is guessed that the file does not say. All messages are plain ValueErrors,
because the caller adds where the file was asked for.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
from pydantic import TypeAdapter

from sim.describe.files.delimited import Delimited, read_delimited
from sim.describe.units import Duration, Force, Length, Speed

Array = npt.NDArray[np.float64]

# In a cell `in` is a direction; in a column's name it is the inch or a word between (`_meaning`).
IN = frozenset({"compression", "comp", "bump", "jounce", "in", "c"})
OUT = frozenset({"rebound", "reb", "extension", "ext", "tension", "droop", "out", "r"})

# The order decides: 'stroke speed' is a speed, because speed comes before position.
NAMES = {
    "speed": frozenset({"speed", "velocity", "vel", "v"}),
    "force": frozenset({"force", "load", "f"}),
    "position": frozenset({"position", "displacement", "pos", "disp", "stroke", "travel", "x"}),
    "time": frozenset({"time", "t"}),
    "direction": frozenset({"direction", "way", "sense"}),
}
"""Words by which a column is known; a side's own word beside them makes it the column of that side."""

QUANTITIES = {"speed": Speed, "force": Force, "position": Length, "time": Duration}
USUAL_UNITS = {"speed": "mm/s", "force": "N", "position": "mm", "time": "s"}
"""A unit for each of them, as an example of how one is written."""
ALIASES = {
    "ips": "in/s", '"': "in", "inch": "in", "inches": "in", "sec": "s", "seconds": "s", "newton": "N", "newtons": "N", "kg": "kgf",
    "lb": "lbf", "lbs": "lbf", "pounds": "lbf", "mps": "m/s", "m/sec": "m/s", "mm/sec": "mm/s", "in/sec": "in/s",
}  # fmt: skip
"""As machines write units. A force in lb or kg is that weight."""

MEANINGS = (
    "speed", "compression speed", "rebound speed", "force", "compression force", "rebound force", "position", "time", "direction",
)  # fmt: skip

_HEAD = re.compile(r"^(?P<name>.*?)\s*[\[(](?P<unit>[^\])]*)[\])]\s*$")  # Force [N], Force (N)
# Speed in mm/s, Force_N, Force/N: the last word, if it is a unit.
_TAIL = re.compile(r"^(?P<name>.*?)(?:\s+in\s+|[_/,]\s*)(?P<unit>[A-Za-z]+(?:/[a-z]+)?)$")
# Speed in/s, Speed / in/s: a last word that is a unit of speed or force as a whole.
_LAST = re.compile(r"^(?P<name>.*?\S)(?:\s+in|\s*[/,])?\s+(?P<unit>\S+)$")


@dataclass(frozen=True)
class Column:
    """One column: as written, and as understood."""

    written: str
    meaning: str  # one of MEANINGS, or empty: not used
    unit: str = ""

    @property
    def words(self) -> str:
        """What it is, with its unit and as what that was read."""
        if not self.meaning:
            return "not used"
        read = ALIASES.get(self.unit.strip().lower(), self.unit)
        return (
            f"{self.meaning} [{self.unit}{'' if read == self.unit else f', read as {read}'}]"
            if self.unit
            else self.meaning
        )


@dataclass(frozen=True)
class Machine:
    """A test machine's file, read.

    Attributes
    ----------
    shown : str
        The file's name.
    words : str
        Delimiter and decimal mark in words.
    columns : tuple of Column
    values : dict of str to (n,) array
        SI, by meaning; direction is +1 in compression and -1 in rebound.
    """

    shown: str
    words: str
    columns: tuple[Column, ...]
    values: dict[str, Array]


def read_machine(path: Path, shown: str, columns: Mapping[str, str], units: Mapping[str, str]) -> Machine:
    """Return what a file holds.

    Parameters
    ----------
    path, shown : Path, str
        The file, and its name for messages.
    columns : mapping
        From a meaning to a column's name, or its number from 1, where the names do not say it.
    units : mapping
        From a meaning to a unit, where the file does not say it.

    Raises
    ------
    ValueError
        If it cannot be read, or what it means is not clear.
    """
    table = read_delimited(path, shown, IN | OUT)
    heads = [_head(name, unit) for name, unit in zip(table.names, table.units, strict=True)]
    meanings = _meanings(heads, columns, shown)
    columns_read = []
    for number, (_, unit) in enumerate(heads):
        meaning = meanings.get(number, "")
        kind = meaning.split()[-1] if meaning else ""  # a side's force is a force
        # What the user writes goes before the file: of the side, then of the kind, then the header's unit.
        said = units.get(meaning, units.get(kind, unit)) if kind in QUANTITIES else ""
        columns_read.append(Column(table.names[number] or f"column {number + 1}", meaning, said))
    values = {}
    for number, column in enumerate(columns_read):
        if column.meaning:
            values[column.meaning] = _values(table, number, column, shown)
    return Machine(shown, table.words, tuple(columns_read), values)


def _head(name: str, unit: str) -> tuple[str, str]:
    """Return a column's name and unit: from its brackets, the line below, or its last word."""
    bare = name.strip()
    # Some files name their columns by the unit alone: in/s, lbf.
    if not unit and _kind(bare):
        return bare, bare
    for pattern in (_HEAD, _LAST, _TAIL):
        match = pattern.match(bare)
        # Brackets leave no doubt; a last word counts only where no line of units says more, and only if it is a unit.
        if match and (pattern is _HEAD or not unit):
            if pattern is _TAIL and _size(match["unit"], None) is None:
                continue
            # After a space alone a word may be part of the name: "force in" is none in inches.
            if pattern is _LAST and not _kind(match["unit"]):
                continue
            return match["name"].strip(), match["unit"].strip()
    return bare, unit


def _kind(unit: str) -> str:
    """Return what a unit of a curve is of, "speed" or "force"; empty where it is neither."""
    return next((kind for kind in ("speed", "force") if _size(unit, QUANTITIES[kind]) is not None), "")


def _words(name: str) -> set[str]:
    return set(re.findall(r"[a-z]+", name.lower()))


def _meanings(heads: list[tuple[str, str]], given: Mapping[str, str], shown: str) -> dict[int, str]:
    """Return the meaning of columns by their number."""
    by_number: dict[int, str] = {}
    # What the user says first; names are asked only for what is left.
    for meaning, column in given.items():
        names = [name.lower() for name, _ in heads]
        wanted = column.strip().lower()
        # A number is a column's place counted from 1, whatever that column is called.
        if wanted.isdigit() and 1 <= int(wanted) <= len(heads):
            by_number[int(wanted) - 1] = meaning
        elif _head(wanted, "")[0] in names:
            by_number[names.index(_head(wanted, "")[0])] = meaning
        else:
            raise ValueError(f"{shown} has no column '{column}': it has {_listed(heads)}")
    for number, (name, unit) in enumerate(heads):
        if number not in by_number:
            meaning = _meaning(name) or (_kind(name) if name == unit else "")
            # A meaning that the user gave takes no second column.
            if meaning and meaning not in given:
                by_number[number] = meaning
    taken = list(by_number.values())
    # Of two columns that fit none is chosen: the wrong one gives a curve that looks right.
    twice = next((m for m in taken if taken.count(m) > 1), None)
    if twice is not None:
        raise ValueError(
            f"{shown}: two columns could be the {twice}: {_listed(heads)}. Say which one: columns: {{{twice}: NAME}}"
        )
    if not any(m.endswith("force") for m in taken):
        raise ValueError(
            f"{shown}: no column is called force: it has {_listed(heads)}. Say which one it is: columns: {{force: NAME or number}}"
        )
    if not any(m.endswith(("speed", "position")) for m in taken):
        raise ValueError(
            f"{shown}: no column is called speed, nor position: it has {_listed(heads)}. "
            "Say which one it is: columns: {speed: NAME or number}"
        )
    return by_number


def _meaning(name: str) -> str:
    words = _words(name)
    kind = next((kind for kind, known in NAMES.items() if words & known), "")
    # 'speed in' is no compression, so the inch is no side's word here.
    side = "compression" if words & (IN - {"in"}) else "rebound" if words & OUT else ""
    # A side's word alone heads a force, as in speed, bump, rebound (common practice, no source).
    if kind in ("", "force", "speed") and side:
        return f"{side} {kind or 'force'}"
    return kind


def _listed(heads: list[tuple[str, str]]) -> str:
    return ", ".join(f"'{name}'" if name else f"column {n} without a name" for n, (name, _) in enumerate(heads, 1))


@lru_cache(maxsize=1024)
def _size(unit: str, quantity: Any) -> float | None:
    """Return one unit in SI, None if it is none of that quantity, or of any."""
    text = ALIASES.get(unit.strip().lower(), unit.strip())
    # Any quantity will do where the question is only whether a word is a unit.
    for kind in QUANTITIES.values() if quantity is None else (quantity,):
        try:
            return float(TypeAdapter(kind).validate_python(f"1 {text}"))
        except ValueError:
            continue
    return None


LARGEST = 1e6
"""Of a force, a speed, a travel, a time or a temperature of a damper's test, in SI."""


def _values(table: Delimited, number: int, column: Column, shown: str) -> Array:
    kind = column.meaning.split()[-1]
    size = 1.0
    if kind in QUANTITIES:
        if not column.unit:
            usual = USUAL_UNITS[kind]
            raise ValueError(
                f"{shown}: the column '{column.written}' has no unit: write '{column.written} [{usual}]' or the like in its header, "
                f"or units: {{{kind}: {usual}}} beside the file's name"
            )
        unit_si = _size(column.unit, QUANTITIES[kind])
        if unit_si is None:
            raise ValueError(f"{shown}: '{column.unit}' of the column '{column.written}' is not a unit of {kind}")
        size = unit_si
    values = []
    for line, cells in table.rows:
        # A hole is not skipped: loops need every row, in the order of time.
        if number >= len(cells) or not cells[number]:
            raise ValueError(
                f"{shown}, line {line}: no {column.meaning}: fill it in, delete the line or begin it with #"
            )
        value = _direction(cells[number], table) if kind == "direction" else table.number(cells[number])
        if value is None:
            raise ValueError(
                f"{shown}, line {line}: the {column.meaning} '{cells[number]}' is not a number here ({table.words}): "
                "correct it, delete the line or begin it with #"
            )
        # So large that the physics could not count with it: a lost decimal point, or a word of the machine that looks like a number.
        if abs(value * size) > LARGEST:
            raise ValueError(
                f"{shown}, line {line}: the {column.meaning} '{cells[number]}' is too large for any damper: "
                "correct it, delete the line or begin it with #"
            )
        values.append(value * size)
    return np.array(values)


def _direction(cell: str, table: Delimited) -> float | None:
    word = cell.lower()
    if word in IN | OUT:
        return 1.0 if word in IN else -1.0
    return table.number(cell)  # as a number, its sign is the sense
