"""Damper law: as measured. The file of a test machine, read and reduced to a curve."""

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Any, ClassVar, Literal, Self

import numpy as np
import numpy.typing as npt
from annotated_types import Ge
from pydantic import Field, PrivateAttr, StringConstraints, ValidationInfo, model_validator

from sim.describe.files.kept import steady
from sim.describe.files.regular import there
from sim.describe.parts.dampers.law import Claims, DamperLaw, MoveWord
from sim.describe.parts.dampers.machine_csv import MEANINGS, Machine, read_machine
from sim.describe.parts.dampers.machine_curve import Reduced, Side, reduced
from sim.describe.parts.dampers.table import Table, TableRow
from sim.describe.units import Force
from sim.kernel.layout import Knot

Array = npt.NDArray[np.float64]


class Measured(DamperLaw):
    """A curve from a test machine's CSV: points or whole loops, in any order of columns and any unit that the file names.

    Its curve runs through the points, or the mean of a loop's two branches, as `table` does. Push of the gas and seal friction that
    the file's forces hold are taken off the curve and put back by the damper set, unless the set names its own.
    """

    kind: Literal["measured"]
    file: Annotated[str, StringConstraints(min_length=1, max_length=500)] = Field(
        description="CSV file, from the folder of the file that names it."
    )
    columns: dict[str, str] = Field(
        default={},
        description=f"Name or number of a column whose name does not say it, by meaning: {', '.join(MEANINGS)}.",
    )
    units: dict[str, str] = Field(default={}, description="Unit that the file does not say, by meaning.")
    positive: Literal["compression", "rebound"] | None = Field(
        default=None, description="Sense of positive forces; left out: found from the gas force at rest."
    )
    gas_force: Force | None = Field(
        default=None,
        description="Push at rest in the file's forces; left out: as found in points at rest, or where loops turn.",
    )
    seal_friction: Annotated[Force, Ge(0)] | None = Field(
        default=None, description="Friction in the file's forces; left out: as found in points below 5 mm/s."
    )

    moves: ClassVar[frozenset[MoveWord]] = frozenset()
    moved_instead: ClassVar[tuple[str, str]] = (
        "a curve from a test machine stays as it was measured",
        "write it in the starting set-up as kind: table or knee, and move that ({law}.compression.1.force, …)",
    )

    # Read from the file, not written by people, so no keys of the law.
    _machine: Machine = PrivateAttr()
    _reduced: Reduced = PrivateAttr()
    _table: Table = PrivateAttr()
    _path: Path = PrivateAttr()

    @model_validator(mode="after")
    def _read(self, info: ValidationInfo) -> Self:
        # The system refuses such a name with an error that says nothing of the file.
        if "\0" in self.file:
            raise ValueError("a file name cannot hold a null character")
        unknown = sorted((set(self.columns) | set(self.units)) - set(MEANINGS))
        if unknown:
            raise ValueError(f"'{unknown[0]}' is nothing that a column can mean: {', '.join(MEANINGS)}")
        folders = [Path(folder) for folder in (info.context or {}).get("folders", (".",))]
        # The first folder that has it; if none has, its reader names the first place that was looked at.
        self._path = next((f / self.file for f in folders if there(f / self.file)), folders[0] / self.file)
        # A vehicle is checked again for each set-up; the file is read once for all of them.
        files = (info.context or {}).get("files", {})
        key = self._path.resolve(), tuple(self.columns.items()), tuple(self.units.items())
        if key not in files:
            # A file that is changed meanwhile is refused: half of it may look like a whole curve.
            files[key] = steady(self._path, lambda: read_machine(self._path, self.file, self.columns, self.units))
        self._machine = files[key]
        self._reduced = reduced(self._machine, self.positive, self.gas_force, self.seal_friction)
        self._table = as_table(self._reduced.compression, self._reduced.rebound)
        return self

    def __eq__(self, other: object) -> bool:
        """Return whether both are the same curve of the same file: what was read of it are arrays, which know no yes or no."""
        return isinstance(other, Measured) and self._path == other._path and self._table == other._table

    def __hash__(self) -> int:
        """Return a hash of file and curve."""
        # Arrays have no hash; the rows of the table hold the same curve.
        return hash((self._path, self._table.compression, self._table.rebound))

    def __repr_args__(self) -> Iterable[tuple[str | None, Any]]:
        """Return what its text shows: also the curve, so that what depends on that text notices another file of the same name."""
        yield from super().__repr_args__()
        yield "compression", self._table.compression
        yield "rebound", self._table.rebound

    @property
    def path(self) -> Path:
        """The file that was read."""
        return self._path

    @property
    def machine(self) -> Machine:
        """The file as it was understood."""
        return self._machine

    @property
    def reduced(self) -> Reduced:
        """The curve, and what was taken off it."""
        return self._reduced

    @property
    def gas(self) -> tuple[float, float | None]:
        """Push of the gas [N] that was taken off, and no rate: a loop about mid-stroke tells none."""
        return self._reduced.gas, None

    @property
    def friction(self) -> float:
        """Seal friction [N] that was taken off."""
        return self._reduced.friction

    def force(self, speed: npt.ArrayLike) -> npt.NDArray[np.float64]:
        """Return the force [N] at closing speeds [m/s]; both positive in compression, without gas and friction taken off."""
        return self._table.force(speed)

    def lower(self) -> tuple[Knot, ...]:
        """Return ramps within the bound of `table`."""
        return self._table.lower()

    def scaled(self, factor: float) -> "Measured":
        """Return the same law with every force multiplied by `factor`."""
        # Only the curve is another one: what was read and taken off stays with the copy.
        law = self.model_copy()
        law._table = self._table.scaled(factor)
        return law

    def sided(self, compression: float, rebound: float) -> "Measured":
        """Return the law with all forces multiplied by the mean: a curve from a machine stays in one piece."""
        return self.scaled(0.5 * (compression + rebound))

    @property
    def shape(self) -> str:
        """The curve in a few words."""
        return "as measured"

    @property
    def claims(self) -> Claims:
        """What it says of itself: what its table does."""
        return replace(self._table.claims, source=f"{self.file}, a test machine's file. {self._table.claims.source}")

    @property
    def points(self) -> tuple[Array, Array]:
        """Speeds [m/s] of its points, in compression and in rebound."""
        return self._reduced.compression.speed, self._reduced.rebound.speed

    @property
    def files(self) -> tuple[Path, ...]:
        """The file that was read."""
        return (self._path,)

    @property
    def notices(self) -> tuple[str, ...]:
        """How the file was understood."""
        return (f"{self.file} read as: {self._machine.words}; {'; '.join(self._reduced.words)}",)


def as_table(compression: Side, rebound: Side) -> Table:
    """Return a curve as a table's law; forces are SI already, so they need no reading."""
    # Not checked: a check wants text with units, and `_side` has sorted speeds and left no force below none.
    return Table.model_construct(kind="table", compression=_rows(compression), rebound=_rows(rebound))


def _rows(side: Side) -> tuple[TableRow, ...]:
    return tuple(
        TableRow.model_construct(speed=float(v), force=float(f)) for v, f in zip(side.speed, side.force, strict=True)
    )
