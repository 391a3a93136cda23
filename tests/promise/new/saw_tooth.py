"""Saw tooth: up a slope and down at once."""

from typing import Annotated, Literal

import numpy as np
from annotated_types import Gt, Le

from sim.describe.roads.array import Array
from sim.describe.roads.laid import LONGEST_M, TALLEST_M, Laid
from sim.describe.units import Length


class SawTooth(Laid):
    """A slope with a sheer end."""

    kind: Literal["saw_tooth"]
    height: Annotated[Length, Gt(0.0), Le(TALLEST_M)]
    slope: Annotated[Length, Gt(0.0), Le(LONGEST_M)]

    @property
    def length_m(self) -> float:
        """Length along the road [m]."""
        return self.slope

    def height_at(self, x: Array) -> Array:
        """Return the height [m] at distances `x` [m] from its start."""
        return np.where((x > 0.0) & (x < self.slope), self.height * x / self.slope, 0.0)

    def edges(self) -> tuple[float, ...]:
        """Return the places [m] of its kink and its jump."""
        return (0.0, self.slope)
