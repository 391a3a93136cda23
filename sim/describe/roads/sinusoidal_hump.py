"""Sinusoidal hump: a full raised cosine, which starts and ends level."""

from typing import Annotated, Literal

import numpy as np
from annotated_types import Gt, Le
from pydantic import Field

from sim.describe.roads.array import Array
from sim.describe.roads.laid import LONGEST_M, TALLEST_M, Laid
from sim.describe.units import Length


class SinusoidalHump(Laid):
    """A hump z = (h / 2) (1 - cos(2 pi x / l)), steepest slope pi h / l."""

    kind: Literal["sinusoidal_hump"]
    height: Annotated[Length, Gt(0.0), Le(TALLEST_M)] = Field(description="at the top")
    length: Annotated[Length, Gt(0.0), Le(LONGEST_M)] = Field(description="along the road")

    @property
    def length_m(self) -> float:
        """Length along the road [m]."""
        return self.length

    def height_at(self, x: Array) -> Array:
        """Return the height [m] at distances `x` [m] from the start of the shape."""
        along = np.clip(x, 0.0, self.length)
        # sin² is the same as (1 - cos) / 2 and keeps its digits near the ends
        return self.height * np.sin(np.pi * along / self.length) ** 2

    def edges(self) -> tuple[float, ...]:
        """Return the places [m] where its curvature jumps."""
        return (0.0, self.length)
