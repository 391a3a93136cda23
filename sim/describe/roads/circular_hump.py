"""Circular hump: the round-top speed hump, a segment of a circle.

Source of the shape: the round-top hump of the TRRL (G. R. Watts, 1973), chord 3.7 m and height up
to 100 mm; the same form with other chords is used in the Danish hump tables.
"""

from typing import Annotated, Literal, Self

import numpy as np
from annotated_types import Gt, Le
from pydantic import Field, model_validator

from sim.describe.roads.array import Array
from sim.describe.roads.laid import LONGEST_M, TALLEST_M, Laid
from sim.describe.shown import show
from sim.describe.units import Length


class CircularHump(Laid):
    """A segment of a circle of given chord c and height h, radius R = (c²/4 + h²) / (2 h)."""

    kind: Literal["circular_hump"]
    height: Annotated[Length, Gt(0.0), Le(TALLEST_M)] = Field(description="at the top")
    chord: Annotated[Length, Gt(0.0), Le(LONGEST_M)] = Field(description="length along the road")

    @model_validator(mode="after")
    def _is_a_segment(self) -> Self:
        if self.height > self.chord / 2.0:  # half a circle; beyond that it would overhang
            raise ValueError(
                f"a hump {show(self.height, 'length')} high needs a chord of at least {show(2 * self.height, 'length')}, "
                f"got {show(self.chord, 'length')}: that would be more than half a circle"
            )
        return self

    @property
    def length_m(self) -> float:
        """Length along the road [m]."""
        return self.chord

    @property
    def radius_m(self) -> float:
        """Radius of the circle [m]."""
        return (self.chord**2 / 4.0 + self.height**2) / (2.0 * self.height)

    def height_at(self, x: Array) -> Array:
        """Return the height [m] at distances `x` [m] from the start of the shape."""
        radius = self.radius_m
        # Clipped first: the arc is drawn for all places at once, and a root of less than zero is nan.
        from_middle = np.clip(x - self.chord / 2.0, -self.chord / 2.0, self.chord / 2.0)
        arc = np.sqrt(np.maximum(radius**2 - from_middle**2, 0.0)) - (radius - self.height)
        # no less than the road, though rounding may say so at the ends
        return np.where((x > 0.0) & (x < self.chord), np.maximum(arc, 0.0), 0.0)
