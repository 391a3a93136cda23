"""Washboard: corrugations, a whole number of raised cosines that start and end in a trough."""

from typing import Annotated, Literal, Self

import numpy as np
from annotated_types import Ge, Gt, Le
from pydantic import Field, model_validator

from sim.roads.array import Array
from sim.roads.laid import LONGEST_M, MOST_REPEATS, TALLEST_M, Laid
from sim.units import Length


class Washboard(Laid):
    """Corrugations z = (d / 2) (1 - cos(2 pi x / p)): troughs at road level, crests at d.

    Give either `count` or `length`; a length is rounded to the nearest whole number of pitches,
    so that the last trough meets the road that follows.
    """

    kind: Literal["washboard"]
    pitch: Annotated[Length, Gt(0.0), Le(LONGEST_M)] = Field(description="from crest to crest")
    depth: Annotated[Length, Gt(0.0), Le(TALLEST_M)] = Field(description="from peak to trough")
    count: Annotated[int, Ge(1), Le(100 * MOST_REPEATS)] | None = Field(
        default=None, description="how many corrugations; or give `length`"
    )
    length: Annotated[Length, Gt(0.0), Le(LONGEST_M)] | None = Field(
        default=None, description="of the whole washboard; or give `count`"
    )

    @model_validator(mode="after")
    def _has_one_extent(self) -> Self:
        if (self.count is None) == (self.length is None):
            raise ValueError("needs either `count` or `length`, one of the two")
        if self.length is not None and self.length < self.pitch:
            raise ValueError(f"its length of {self.length:g} m is shorter than one pitch of {self.pitch:g} m")
        return self

    @property
    def crests(self) -> int:
        """How many corrugations it has."""
        if self.count is not None:
            return self.count
        return round((self.length or self.pitch) / self.pitch)

    @property
    def length_m(self) -> float:
        """Length along the road [m], a whole number of pitches."""
        return self.crests * self.pitch

    def height_at(self, x: Array) -> Array:
        """Return the height [m] at distances `x` [m] from the start of the shape."""
        along = np.clip(x, 0.0, self.length_m)
        return self.depth * np.sin(np.pi * along / self.pitch) ** 2

    def edges(self) -> tuple[float, ...]:
        """Return the places [m] where its curvature jumps."""
        return (0.0, self.length_m)
