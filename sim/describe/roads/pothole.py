"""Pothole: a flat-bottomed hole with sloped or sheer edges."""

from typing import Annotated, Literal, Self

import numpy as np
from annotated_types import Ge, Gt, Le
from pydantic import Field, model_validator

from sim.describe.roads.array import Array
from sim.describe.roads.laid import LONGEST_M, TALLEST_M, Laid
from sim.describe.shown import show
from sim.describe.units import Length


class Pothole(Laid):
    """A hole with a flat bottom; both edges may be ramps."""

    kind: Literal["pothole"]
    depth: Annotated[Length, Gt(0.0), Le(TALLEST_M)] = Field(description="below the road")
    length: Annotated[Length, Gt(0.0), Le(LONGEST_M)] = Field(description="from rim to rim, ramps included")
    ramp: Annotated[Length, Ge(0.0), Le(LONGEST_M)] = Field(
        default=0.0, description="length along the road of each sloped edge; none is a sheer edge"
    )

    @model_validator(mode="after")
    def _ramps_fit(self) -> Self:
        if 2.0 * self.ramp > self.length:
            raise ValueError(
                f"its two ramps of {show(self.ramp, 'length')} are longer than the hole of {show(self.length, 'length')}: "
                f"a ramp may be at most {show(self.length / 2, 'length')}"
            )
        return self

    @property
    def length_m(self) -> float:
        """Length along the road [m]."""
        return self.length

    def height_at(self, x: Array) -> Array:
        """Return the height [m] at distances `x` [m] from the start of the shape."""
        from_rim = np.minimum(x, self.length - x)
        # Without a ramp there is nothing to divide by.
        if self.ramp == 0.0:
            return np.where(from_rim > 0.0, -self.depth, 0.0)
        return -self.depth * np.clip(from_rim / self.ramp, 0.0, 1.0)

    def edges(self) -> tuple[float, ...]:
        """Return the places [m] of its kinks."""
        places = (0.0, self.ramp, self.length - self.ramp, self.length)
        return tuple(sorted(set(places)))  # sheer edges, or ramps that meet, leave fewer places
