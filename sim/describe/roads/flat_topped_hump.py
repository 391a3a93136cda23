"""Flat-topped hump: a table with two straight ramps."""

from typing import Annotated, Literal

import numpy as np
from annotated_types import Ge, Gt, Le
from pydantic import Field

from sim.describe.roads.array import Array
from sim.describe.roads.laid import LONGEST_M, TALLEST_M, Laid
from sim.describe.units import Length


class FlatToppedHump(Laid):
    """A ramp up, a plateau and a ramp down."""

    kind: Literal["flat_topped_hump"]
    height: Annotated[Length, Gt(0.0), Le(TALLEST_M)] = Field(description="of the plateau")
    plateau: Annotated[Length, Ge(0.0), Le(LONGEST_M)] = Field(description="length of the top")
    ramp: Annotated[Length, Gt(0.0), Le(LONGEST_M)] = Field(description="length along the road of each ramp")

    @property
    def length_m(self) -> float:
        """Length along the road, ramps included [m]."""
        return self.plateau + 2.0 * self.ramp

    def height_at(self, x: Array) -> Array:
        """Return the height [m] at distances `x` [m] from the start of the shape."""
        # Both ramps are alike, so the nearer end decides.
        from_end = np.minimum(x, self.length_m - x)
        return self.height * np.clip(from_end / self.ramp, 0.0, 1.0)

    def edges(self) -> tuple[float, ...]:
        """Return the places [m] of its kinks."""
        places = (0.0, self.ramp, self.ramp + self.plateau, self.length_m)
        return tuple(sorted(set(places)))  # without a plateau both inner kinks are one
