"""Washboard: corrugations, a whole number of raised cosines that start and end in a trough."""

from functools import lru_cache
from typing import Annotated, Literal, Self

import numpy as np
from annotated_types import Ge, Gt, Le
from pydantic import Field, model_validator

from sim.describe.bare_numbers import Fraction
from sim.describe.roads.array import Array
from sim.describe.roads.laid import LONGEST_M, MOST_REPEATS, TALLEST_M, Laid, seed_of
from sim.describe.shown import show
from sim.describe.units import Length


class Washboard(Laid):
    """Corrugations z = (d / 2) (1 - cos(2 pi x / p)): troughs at road level, crests at d.

    Give either `count` or `length`; a length is rounded to the nearest whole number of pitches, so that the last trough
    meets the road that follows. It may grow from `depth_first` to `depth`, and be irregular by a seed.

    Notes
    -----
    Scatter is evenly spread between minus and plus its share, pitches scaled so that their mean is as written. The stream
    is that of NumPy's PCG64: the same seed, the same road on every machine.
    """

    kind: Literal["washboard"]
    pitch: Annotated[Length, Gt(0.0), Le(LONGEST_M)] = Field(
        description="from crest to crest; the mean of an irregular one"
    )
    depth: Annotated[Length, Gt(0.0), Le(TALLEST_M)] = Field(
        description="from peak to trough; of the last one if it grows"
    )
    count: Annotated[int, Ge(1), Le(100 * MOST_REPEATS)] | None = Field(
        default=None, description="how many corrugations; or give `length`"
    )
    length: Annotated[Length, Gt(0.0), Le(LONGEST_M)] | None = Field(
        default=None, description="of the whole washboard; or give `count`"
    )
    depth_first: Annotated[Length, Ge(0.0), Le(TALLEST_M)] | None = Field(
        default=None, description="depth of the first one, from which the others grow evenly; left out: all alike"
    )
    pitch_scatter: Annotated[Fraction, Ge(0.0), Le(0.6)] = Field(
        default=0.0, description="each pitch differs by up to this share of it", validate_default=False
    )
    depth_scatter: Annotated[Fraction, Ge(0.0), Le(1.0)] = Field(
        default=0.0, description="each depth differs by up to this share of it", validate_default=False
    )
    seed: Annotated[int, Ge(0), Le(2**32 - 1)] = Field(
        default=1, description="of the scatter: another number, other corrugations"
    )

    @model_validator(mode="after")
    def _has_one_extent(self) -> Self:
        if (self.count is None) == (self.length is None):
            raise ValueError("needs either `count` or `length`, one of the two")
        if self.length is not None and self.length < self.pitch:
            raise ValueError(
                f"its length of {show(self.length, 'length')} is shorter than one pitch of {show(self.pitch, 'length')}"
            )
        return self

    @property
    def crests(self) -> int:
        """How many corrugations it has."""
        if self.count is not None:
            return self.count
        # A whole number, so that it ends in a trough and meets the road without a jump.
        return round((self.length or self.pitch) / self.pitch)

    @property
    def length_m(self) -> float:
        """Length along the road [m], a whole number of pitches."""
        return self.crests * self.pitch

    @property
    def even(self) -> bool:
        """Whether all its corrugations are alike."""
        return self.depth_first is None and self.pitch_scatter == 0.0 and self.depth_scatter == 0.0

    @property
    def _troughs_and_depths(self) -> tuple[Array, Array]:
        """Places of the troughs (n + 1,) and depths of the corrugations between them (n,) [m]."""
        first = self.depth if self.depth_first is None else self.depth_first
        return _laid(self.crests, self.pitch, self.pitch_scatter, first, self.depth, self.depth_scatter, self.seed)

    def height_at(self, x: Array) -> Array:
        """Return the height [m] at distances `x` [m] from the start of the shape."""
        along = np.clip(x, 0.0, self.length_m)
        # The usual case by itself: places of single troughs are not needed.
        if self.even:
            return self.depth * np.sin(np.pi * along / self.pitch) ** 2
        troughs, depths = self._troughs_and_depths
        # The last trough closes the last one; past it there is none.
        number = np.clip(np.searchsorted(troughs, along, side="right") - 1, 0, depths.size - 1)
        share = (along - troughs[number]) / (troughs[number + 1] - troughs[number])
        # sin² of its own share: level in every trough, whatever the pitch
        height: Array = depths[number] * np.sin(np.pi * share) ** 2
        return height

    @property
    def is_drawn(self) -> bool:
        """Whether it is irregular."""
        return self.pitch_scatter > 0.0 or self.depth_scatter > 0.0

    def anew(self, number: int) -> Self:
        """Return another washboard with the same scatter, drawn by a number."""
        return self.model_copy(update={"seed": seed_of(self.seed, number)}) if self.is_drawn else self

    def edges(self) -> tuple[float, ...]:
        """Return the places [m] where its curvature jumps."""
        # Alike, its curvature is continuous from one to the next; only the ends have an edge.
        if self.even:
            return (0.0, self.length_m)
        return tuple(map(float, self._troughs_and_depths[0]))


@lru_cache(maxsize=32)  # not kept in the model, whose parts are compared with one another
def _laid(
    crests: int, pitch: float, pitch_scatter: float, first: float, last: float, depth_scatter: float, seed: int
) -> tuple[Array, Array]:
    # Pitches and depths from one stream, in this order: another order would be another road for the same seed.
    stream = np.random.Generator(np.random.PCG64(seed)).random((2, crests))
    pitches = pitch * (1.0 + pitch_scatter * (2.0 * stream[0] - 1.0))
    troughs = np.concatenate(([0.0], np.cumsum(pitches)))
    # Scaled to the length that was asked, so that what follows starts in its place.
    troughs *= crests * pitch / troughs[-1]
    troughs[-1] = crests * pitch  # exactly, free of the sum's rounding
    grown = np.linspace(first, last, crests) if crests > 1 else np.array([last])  # of one alone, the depth as written
    return troughs, grown * (1.0 + depth_scatter * (2.0 * stream[1] - 1.0))
