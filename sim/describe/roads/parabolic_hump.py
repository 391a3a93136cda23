"""Parabolic hump: a speed hump of constant curvature."""

from typing import Annotated, Literal

import numpy as np
from annotated_types import Gt, Le
from pydantic import Field

from sim.describe.roads.array import Array
from sim.describe.roads.laid import LONGEST_M, TALLEST_M, Laid
from sim.describe.units import Length


class ParabolicHump(Laid):
    """A hump z = 4 h (x / l) (1 - x / l), entry slope 4 h / l, curvature 8 h / l²."""

    kind: Literal["parabolic_hump"]
    height: Annotated[Length, Gt(0.0), Le(TALLEST_M)] = Field(description="at the top")
    length: Annotated[Length, Gt(0.0), Le(LONGEST_M)] = Field(description="along the road")

    @property
    def length_m(self) -> float:
        """Length along the road [m]."""
        return self.length

    def height_at(self, x: Array) -> Array:
        """Return the height [m] at distances `x` [m] from the start of the shape."""
        share = np.clip(x / self.length, 0.0, 1.0)  # clipped, so that it ends level and does not go on downwards
        return 4.0 * self.height * share * (1.0 - share)

    def edges(self) -> tuple[float, ...]:
        """Return the places [m] of its kinks."""
        return (0.0, self.length)
