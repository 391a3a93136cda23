"""Half-sine bump: one arch of a sine, with a kink where it starts and ends."""

from typing import Annotated, Literal

import numpy as np
from annotated_types import Gt, Le
from pydantic import Field

from sim.describe.roads.array import Array
from sim.describe.roads.laid import LONGEST_M, TALLEST_M, Laid
from sim.describe.units import Length


class HalfSine(Laid):
    """A bump z = h sin(pi x / l)."""

    kind: Literal["half_sine"]
    height: Annotated[Length, Gt(0.0), Le(TALLEST_M)] = Field(description="at the top")
    length: Annotated[Length, Gt(0.0), Le(LONGEST_M)] = Field(description="along the road")

    @property
    def length_m(self) -> float:
        """Length along the road [m]."""
        return self.length

    def height_at(self, x: Array) -> Array:
        """Return the height [m] at distances `x` [m] from the start of the shape."""
        along = np.clip(x, 0.0, self.length)
        return self.height * np.sin(np.pi * along / self.length)

    def edges(self) -> tuple[float, ...]:
        """Return the places [m] of its kinks."""
        return (0.0, self.length)  # it starts at a slope, unlike the sinusoidal hump
