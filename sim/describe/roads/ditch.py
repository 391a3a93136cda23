"""Ditch: a smooth cosine-shaped dip, level at both rims and at the bottom."""

from typing import Annotated, Literal

import numpy as np
from annotated_types import Gt, Le
from pydantic import Field

from sim.describe.roads.array import Array
from sim.describe.roads.laid import LONGEST_M, TALLEST_M, Laid
from sim.describe.units import Length


class Ditch(Laid):
    """A dip z = -(d / 2) (1 - cos(2 pi x / w)), steepest slope pi d / w."""

    kind: Literal["ditch"]
    depth: Annotated[Length, Gt(0.0), Le(TALLEST_M)] = Field(description="below the road")
    width: Annotated[Length, Gt(0.0), Le(LONGEST_M)] = Field(description="from rim to rim")

    @property
    def length_m(self) -> float:
        """Length along the road [m]."""
        return self.width

    def height_at(self, x: Array) -> Array:
        """Return the height [m] at distances `x` [m] from the start of the shape."""
        along = np.clip(x, 0.0, self.width)
        # sin² is (1 - cos) / 2 and keeps its digits near the rims
        return -self.depth * np.sin(np.pi * along / self.width) ** 2
