"""Damper law: one slope each way."""

from typing import Annotated, Literal

import numpy as np
import numpy.typing as npt
from annotated_types import Ge
from pydantic import Field

from sim.describe.description import Description
from sim.describe.parts.dampers.ramps import COMPRESSION, EXTENSION, side
from sim.describe.units import Damping
from sim.kernel.layout import Knot


class Straight(Description):
    """Force in proportion to speed, with its own slope in bump and in rebound."""

    kind: Literal["straight"]
    bump: Annotated[Damping, Ge(0)] = Field(description="Slope in compression.")
    rebound: Annotated[Damping, Ge(0)] = Field(description="Slope in extension.")

    def force(self, speed: npt.ArrayLike) -> npt.NDArray[np.float64]:
        """Return the force [N] at closing speeds [m/s]; both positive in compression."""
        v = np.asarray(speed, float)
        force: npt.NDArray[np.float64] = np.where(v > 0.0, self.bump, self.rebound) * v
        return force

    def lower(self) -> tuple[Knot, ...]:
        """Return the ramps that the kernel adds up; exact."""
        return side(COMPRESSION, [0.0], [self.bump]) + side(EXTENSION, [0.0], [self.rebound])

    def scaled(self, factor: float) -> "Straight":
        """Return the same law with every force multiplied by `factor`."""
        return self.model_copy(update={"bump": self.bump * factor, "rebound": self.rebound * factor})
