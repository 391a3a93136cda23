"""Damper law: one slope each way."""

from typing import Annotated, Literal

import numpy as np
import numpy.typing as npt
from annotated_types import Ge
from pydantic import Field

from sim.describe.parts.dampers.law import Claims, DamperLaw, Handle
from sim.describe.parts.dampers.ramps import COMPRESSION, EXTENSION, side
from sim.describe.parts.dampers.sides import SENSES, two_sided, written
from sim.describe.units import Damping
from sim.kernel.layout import Knot

PULLED_AT = 0.5
"""Speed at which its handles stand [m/s]: about 20 in/s."""


class Straight(DamperLaw):
    """Force in proportion to speed, with its own slope in compression and in rebound."""

    kind: Literal["straight"]
    compression: Annotated[Damping, Ge(0)] = Field(description="Slope in compression.")
    rebound: Annotated[Damping, Ge(0)] = Field(description="Slope in extension.")

    def force(self, speed: npt.ArrayLike) -> npt.NDArray[np.float64]:
        """Return the force [N] at closing speeds [m/s]; both positive in compression."""
        v = np.asarray(speed, float)
        force: npt.NDArray[np.float64] = np.where(v > 0.0, self.compression, self.rebound) * v  # at rest both give 0
        return force

    def lower(self) -> tuple[Knot, ...]:
        """Return the ramps that the kernel adds up; exact."""
        return side(COMPRESSION, [0.0], [self.compression]) + side(EXTENSION, [0.0], [self.rebound])

    def scaled(self, factor: float) -> "Straight":
        """Return the same law with every force multiplied by `factor`."""
        return self.model_copy(update={"compression": self.compression * factor, "rebound": self.rebound * factor})

    def sided(self, compression: float, rebound: float) -> "Straight":
        """Return the law with the slopes of its two sides multiplied."""
        return two_sided(self, compression, rebound)

    @property
    def handles(self) -> tuple[Handle, ...]:
        """A point of each slope."""
        return tuple(
            Handle(sense * PULLED_AT, sense * PULLED_AT * getattr(self, name)) for name, sense in SENSES.items()
        )

    def pulled(self, number: int, speed: float, force: float) -> dict[str, object]:
        """Return the slope for its handle to stand at a force; its speed stays."""
        name = tuple(SENSES)[number]
        return {name: written(max(SENSES[name] * force, 0.0) / PULLED_AT, "N s/m")}

    @property
    def shape(self) -> str:
        """That it has no knee."""
        return "no knee"

    @property
    def claims(self) -> Claims:
        """What it says of itself."""
        return Claims(
            "Definition of a viscous damper: force in proportion to speed.", odd=self.compression == self.rebound
        )
