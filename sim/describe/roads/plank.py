"""Plank: a board with square edges that lies across the road."""

from typing import Annotated, Literal

import numpy as np
from annotated_types import Gt, Le
from pydantic import Field

from sim.describe.roads.array import Array
from sim.describe.roads.laid import LONGEST_M, TALLEST_M, Laid
from sim.describe.units import Length


class Plank(Laid):
    """A square-edged board: up at once, along, and down at once."""

    kind: Literal["plank"]
    height: Annotated[Length, Gt(0.0), Le(TALLEST_M)] = Field(description="thickness of the board")
    width: Annotated[Length, Gt(0.0), Le(LONGEST_M)] = Field(description="its extent in the direction of travel")

    @property
    def length_m(self) -> float:
        """Length along the road [m]."""
        return self.width

    def height_at(self, x: Array) -> Array:
        """Return the height [m] at distances `x` [m] from the start of the shape."""
        return np.where((x > 0.0) & (x < self.width), self.height, 0.0)  # at the very edges, the road
