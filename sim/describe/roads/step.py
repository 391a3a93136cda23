"""Step: the road goes up or down for good, over a ramp or at once."""

from typing import Annotated, Literal

import numpy as np
from annotated_types import Ge, Le
from pydantic import Field

from sim.describe.roads.array import Array
from sim.describe.roads.laid import LONGEST_M, TALLEST_M, Laid
from sim.describe.units import Length


class Step(Laid):
    """A step up (height above zero) or down (below); what follows stays at the new height."""

    kind: Literal["step"]
    height: Annotated[Length, Ge(-TALLEST_M), Le(TALLEST_M)] = Field(description="rise; below zero is a step down")
    ramp: Annotated[Length, Ge(0.0), Le(LONGEST_M)] = Field(
        default=0.0, description="length of the ramp; none is a sheer edge"
    )

    @property
    def length_m(self) -> float:
        """Length along the road [m]; nothing for a sheer edge."""
        return self.ramp

    def height_at(self, x: Array) -> Array:
        """Return the height [m] at distances `x` [m] from the start of the shape."""
        if self.ramp == 0.0:
            return np.where(x > 0.0, self.height, 0.0)  # at the very edge, still the road before it
        return self.height * np.clip(x / self.ramp, 0.0, 1.0)

    def edges(self) -> tuple[float, ...]:
        """Return the places [m] of its kinks."""
        return (0.0, self.ramp) if self.ramp > 0.0 else (0.0,)  # a sheer edge is one place
