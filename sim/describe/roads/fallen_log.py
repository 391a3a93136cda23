"""Fallen log: a round trunk across the track, perhaps sunk into the ground."""

from typing import Annotated, Literal, Self

import numpy as np
from annotated_types import Ge, Gt, Le
from pydantic import Field, model_validator

from sim.describe.roads.array import Array
from sim.describe.roads.laid import TALLEST_M, Laid
from sim.describe.shown import show
from sim.describe.units import Length


class FallenLog(Laid):
    """A circle of given diameter of which the lowest part is below the road.

    Notes
    -----
    The height is that of the upper side as seen from above: a trunk that is less than half sunk
    overhangs, and its sides then count as upright. No wheel touches them below its first contact.
    """

    kind: Literal["fallen_log"]
    diameter: Annotated[Length, Gt(0.0), Le(TALLEST_M)] = Field(description="of the trunk")
    sunk: Annotated[Length, Ge(0.0), Le(TALLEST_M)] = Field(
        default=0.0, description="how deep its lowest point lies below the road"
    )

    @model_validator(mode="after")
    def _stands_out(self) -> Self:
        if self.sunk >= self.diameter:
            raise ValueError(
                f"sunk by {show(self.sunk, 'length')}, a log of {show(self.diameter, 'length')} does not stand out of the "
                "road: sink it by less than its diameter"
            )
        return self

    @property
    def length_m(self) -> float:
        """Length along the road [m]: its diameter, or the chord at the road if half sunk."""
        return 2.0 * self._half_width

    @property
    def _half_width(self) -> float:
        radius = self.diameter / 2.0
        # Half sunk or less, it is widest at its middle; deeper, where the road cuts it.
        above_middle = max(self.sunk - radius, 0.0)
        return float(np.sqrt(radius**2 - above_middle**2))

    def height_at(self, x: Array) -> Array:
        """Return the height [m] at distances `x` [m] from the start of the shape."""
        radius = self.diameter / 2.0
        from_middle = np.clip(x - self._half_width, -radius, radius)
        # The upper side: the tyre meets no other.
        upper = radius - self.sunk + np.sqrt(np.maximum(radius**2 - from_middle**2, 0.0))
        # sides of a trunk that overhangs are sheer jumps here
        return np.where((x > 0.0) & (x < self.length_m), np.maximum(upper, 0.0), 0.0)
