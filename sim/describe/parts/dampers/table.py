"""Damper law: a measured table of force against speed."""

import itertools
from functools import cached_property
from typing import TYPE_CHECKING, Annotated, Literal

import numpy as np
import numpy.typing as npt
from annotated_types import Len
from pydantic import Field, model_validator

from sim.describe.description import Description
from sim.describe.parts.dampers.law import Claims, DamperLaw, Handle
from sim.describe.parts.dampers.ramps import COMPRESSION, EXTENSION, side
from sim.describe.parts.dampers.sides import SENSES, two_sided, written
from sim.describe.units import Force, Speed
from sim.kernel.layout import Knot

if TYPE_CHECKING:
    from scipy.interpolate import PchipInterpolator

BOUND = 2e-3
"""Largest error of the lowered curve, as a share of the greatest force in the table."""


class TableRow(Description):
    """Force at one speed."""

    speed: Speed
    force: Force


class Table(DamperLaw):
    """Points from a test machine, each way, joined by a curve that keeps their shape.

    Between points a monotone cubic (F. N. Fritsch, R. E. Carlson, SIAM J. Numer. Anal. 17, 1980, as SciPy's
    PchipInterpolator), past the last one straight on. Speeds and forces are written positive on both sides;
    the point at rest is taken to be zero, so gas and seal forces belong in their own fields.
    """

    kind: Literal["table"]
    compression: Annotated[tuple[TableRow, ...], Len(1)] = Field(description="Rows with rising speed.")
    rebound: Annotated[tuple[TableRow, ...], Len(1)] = Field(description="Rows with rising speed.")

    @model_validator(mode="after")
    def _sorted(self) -> "Table":
        for name, rows in (("compression", self.compression), ("rebound", self.rebound)):
            speeds = [row.speed for row in rows]
            if speeds[0] <= 0.0:
                raise ValueError(f"{name}: the first speed must be more than 0; rest has no damping force")
            for number, (slower, faster) in enumerate(itertools.pairwise(speeds), start=2):
                if faster <= slower:
                    raise ValueError(
                        f"{name}: row {number} has speed {faster:g} m/s after {slower:g} m/s; sort the rows by rising speed"
                    )
            if any(row.force < 0.0 for row in rows):
                raise ValueError(f"{name}: write forces positive; which way they push follows from the side")
        return self

    # Once a table: a law is lowered, drawn and asked for forces again and again.
    @cached_property
    def _curves(self) -> dict[str, tuple[npt.NDArray[np.float64], "PchipInterpolator", float]]:
        from scipy.interpolate import PchipInterpolator  # half a second that most files do not need

        curves = {}
        for name, rows in (("compression", self.compression), ("rebound", self.rebound)):
            # Rest is a point that nobody writes: no speed, no damping force.
            speeds = np.array([0.0] + [row.speed for row in rows])
            forces = np.array([0.0] + [row.force for row in rows])
            curve = PchipInterpolator(speeds, forces)
            last = (forces[-1] - forces[-2]) / (speeds[-1] - speeds[-2])
            # Not below none: a last slope that falls would end by pushing along with the motion.
            curves[name] = (speeds, curve, max(float(last), 0.0))
        return curves

    def _side(self, name: str, speed: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        speeds, curve, last = self._curves[name]
        # A cubic swings off past its last point; the last slope goes on instead.
        inside = np.clip(speed, 0.0, speeds[-1])
        return np.asarray(curve(inside)) + last * (speed - inside)

    def force(self, speed: npt.ArrayLike) -> npt.NDArray[np.float64]:
        """Return the force [N] at closing speeds [m/s]; both positive in compression."""
        v = np.asarray(speed, float)
        return self._side("compression", np.maximum(v, 0.0)) - self._side("rebound", np.maximum(-v, 0.0))

    def lower(self) -> tuple[Knot, ...]:
        """Return ramps within BOUND of the curve; more of them where it bends more."""
        return self._lower_side("compression", COMPRESSION) + self._lower_side("rebound", EXTENSION)

    def _lower_side(self, name: str, sense: float) -> tuple[Knot, ...]:
        speeds, curve, last = self._curves[name]
        allowed = BOUND * max(float(np.max(curve(speeds))), 1e-9)  # a table of zeros too needs a bound above 0
        # The points themselves are met exactly; between them, as few pieces as the bound allows.
        starts = [speeds]
        for slow, fast in itertools.pairwise(speeds):
            fine = np.linspace(slow, fast, 65)
            exact = curve(fine)
            pieces = 1
            while pieces < 16:
                ends = np.linspace(slow, fast, pieces + 1)
                if np.max(np.abs(np.interp(fine, ends, curve(ends)) - exact)) <= allowed:
                    break
                pieces += 1
            starts.append(np.linspace(slow, fast, pieces + 1)[1:-1])
        knots = np.unique(np.concatenate(starts))
        slopes = np.append(np.diff(curve(knots)) / np.diff(knots), last)
        return side(sense, knots, slopes)

    def scaled(self, factor: float) -> "Table":
        """Return the same table with every force multiplied by `factor`."""
        rows = {
            name: tuple(row.model_copy(update={"force": row.force * factor}) for row in getattr(self, name))
            for name in ("compression", "rebound")
        }
        # Not a copy: that would keep the curves of the unscaled table.
        return Table.model_construct(kind=self.kind, compression=rows["compression"], rebound=rows["rebound"])

    def sided(self, compression: float, rebound: float) -> "Table":
        """Return the table with the forces of its two sides multiplied."""
        return two_sided(self, compression, rebound)

    @property
    def handles(self) -> tuple[Handle, ...]:
        """Its rows."""
        return tuple(
            Handle(sense * row.speed, sense * row.force)
            for name, sense in SENSES.items()
            for row in getattr(self, name)
        )

    def pulled(self, number: int, speed: float, force: float) -> dict[str, object]:
        """Return a side's rows with another force in one of them; its speed stays, as it was tested there."""
        name = "compression" if number < len(self.compression) else "rebound"
        number -= 0 if name == "compression" else len(self.compression)
        forces = [row.force for row in getattr(self, name)]
        forces[number] = max(SENSES[name] * force, 0.0)
        rows = zip(getattr(self, name), forces, strict=True)
        return {name: [{"speed": written(row.speed, "m/s"), "force": written(own, "N")} for row, own in rows]}

    @property
    def shape(self) -> str:
        """That its curve goes through points."""
        return "points of a table"

    @property
    def claims(self) -> Claims:
        """What it says of itself; forces that fall with speed are drawn so, and then it is not monotone."""
        sides = [[row.force for row in rows] for rows in (self.compression, self.rebound)]
        return Claims(
            "F. N. Fritsch, R. E. Carlson, SIAM J. Numer. Anal. 17 (1980) 238-246: monotone piecewise cubic interpolation.",
            odd=self.compression == self.rebound,
            monotone=all(forces == sorted(forces) for forces in sides),
            bound_n=BOUND * max(max(forces) for forces in sides),
        )
