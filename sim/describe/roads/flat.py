"""Flat: a piece of level road between other shapes."""

from typing import Annotated, ClassVar, Literal

import numpy as np
from annotated_types import Gt, Le
from pydantic import Field

from sim.describe.roads.array import Array
from sim.describe.roads.laid import LONGEST_M, Laid
from sim.describe.units import Length


class Flat(Laid):
    """Level road at the height at which the shape before it ended."""

    # Nothing happens on level road that a table of obstacles should tell.
    is_obstacle: ClassVar[bool] = False

    kind: Literal["flat"]
    length: Annotated[Length, Gt(0.0), Le(LONGEST_M)] = Field(description="along the road")

    @property
    def length_m(self) -> float:
        """Length along the road [m]."""
        return self.length

    def height_at(self, x: Array) -> Array:
        """Return zero height [m] at distances `x` [m] from the start."""
        return np.zeros_like(x, dtype=np.float64)

    def edges(self) -> tuple[float, ...]:
        """Return no places: level road has no kinks."""
        return ()
