"""Course: road shapes one after the other; a step up stays up for all that follows."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Annotated, Literal, Self

import numpy as np
from pydantic import Field, StringConstraints, model_validator

from sim.describe.description import Description
from sim.describe.roads import AnyShape, Shape
from sim.describe.roads.array import Array, Index
from sim.describe.roads.in_parts import in_parts
from sim.describe.roads.laid import LONGEST_M
from sim.describe.roads.survey import Survey

MOST_PLACED = 100_000
"""Most shapes that are laid one after the other, repeats counted."""

# Shapes laid end to end share an edge that sums of lengths give twice, apart by rounding.
SAME_PLACE_M = 1e-9
"""Edges nearer than this to each other are one edge [m]."""


@dataclass(frozen=True, eq=False)
class Layout:
    """Where each laid shape starts.

    Attributes
    ----------
    start, base : (n,) arrays
        Place and height of its start [m].
    item : (n,) array
        Number of the course's item that it is.
    end_m : float
        Length of the course [m].
    """

    start: Array
    base: Array
    item: Index
    end_m: float


class Course(Description):
    """Items in the order in which the wheels meet them.

    `height`, `length_m` and `edges` are all that the rolling tyre asks of a road.
    """

    kind: Literal["course"]
    name: Annotated[str, StringConstraints(min_length=1, max_length=200)] = Field(
        description="what this course is called"
    )
    items: tuple[Shape, ...] = Field(description="road shapes and flat pieces, in order")

    @model_validator(mode="after")
    def _has_a_sane_size(self) -> Self:
        # not a bound of the field: that would be reported again whenever an item is wrong
        if not self.items:
            # a step alone, with a sheer edge, has none
            raise ValueError("it has no items: add one, e.g. {kind: flat, length: 20 m}")
        placed = sum(item.repeat for item in self.items)
        if placed > MOST_PLACED:
            raise ValueError(f"it lays {placed} shapes, at most {MOST_PLACED} are accepted: lower a `repeat`")
        length = sum(item.repeat * (item.length_m + item.gap) for item in self.items)
        if length > LONGEST_M:
            raise ValueError(f"it is {length:g} m long, at most {LONGEST_M:g} m are accepted: shorten an item")
        if length <= 0.0:
            raise ValueError("it has no length: add a flat item, e.g. {kind: flat, length: 20 m}")
        return self

    @cached_property
    def _layout(self) -> Layout:
        """Where each shape lies, worked out once."""
        # A thousand shapes and a height asked for at every sample: places are summed up once.
        starts, bases, numbers = [], [], []
        at, base = 0.0, 0.0
        for number, item in enumerate(self.items):
            rise = _rise(item)
            for _ in range(item.repeat):
                starts.append(at)
                bases.append(base)
                numbers.append(number)
                at += item.length_m + item.gap
                base += rise  # a step up stays up
        return Layout(np.array(starts), np.array(bases), np.array(numbers), at)

    @property
    def length_m(self) -> float:
        """Length of the course [m]."""
        return self._layout.end_m

    def height(self, x: Array) -> Array:
        """Return the height of the road [m] at distances `x` [m] from the start of the course.

        Before the start it is zero, after the end it stays as it was there. Exactly at a sheer
        edge either side may be returned.
        """
        (height,) = in_parts(self._heights, x)
        return height

    def _heights(self, places: Array) -> tuple[Array]:
        layout = self._layout
        if not places.size:
            return (np.zeros_like(places),)
        # Right side: a sheer step and what follows it start in one place, and the later one has its height.
        ends = np.maximum(np.searchsorted(layout.start, [places.min(), places.max()], side="right") - 1, 0)
        if ends[0] == ends[1]:  # all within one shape: of a long one, whose places are not looked up one by one
            only = int(ends[0])
            return (layout.base[only] + self.items[layout.item[only]].height_at(places - layout.start[only]),)
        placed = np.maximum(np.searchsorted(layout.start, places, side="right") - 1, 0)
        local = places - layout.start[placed]
        height = layout.base[placed]
        items = layout.item[placed]
        # One call an item, its repeats together, and not one a place: heights are asked for by the million.
        numbers = np.flatnonzero(np.bincount(items.ravel()))
        if numbers.size == 1:  # mostly, of some thousand neighbours
            height += self.items[numbers[0]].height_at(local)
            return (height,)
        for number in numbers:
            here = items == number
            height[here] += self.items[number].height_at(local[here])
        return (height,)

    def edges(self) -> tuple[float, ...]:
        """Return the places [m] where the road jumps, has a kink or changes its law, rising."""
        places = sorted(self._all_edges())
        kept: list[float] = []
        for place in places:
            if not kept or place - kept[-1] > SAME_PLACE_M:  # sorted, so only the last one can be the same
                kept.append(place)
        return tuple(kept)

    def _all_edges(self) -> Iterator[float]:
        layout = self._layout
        local = [item.edges() for item in self.items]
        for start, number in zip(layout.start, layout.item, strict=True):
            for edge in local[number]:
                yield float(start) + edge

    def extents(self) -> tuple[tuple[float, float], ...]:
        """Return from where to where each item reaches [m], its repeats together, the gap after the last one left out."""
        layout = self._layout
        reaches = []
        # Repeats are one obstacle to whoever drives over them, so they are one extent.
        for number, item in enumerate(self.items):
            placed = layout.start[layout.item == number]
            reaches.append((float(placed[0]), float(placed[-1]) + item.length_m))
        return tuple(reaches)

    @property
    def is_drawn(self) -> bool:
        """Whether a shape of it is drawn by a seed, so that it can be drawn anew."""
        return any(item.is_drawn for item in self.items)

    def anew(self, number: int) -> Self:
        """Return the same course with its random shapes drawn anew, by a number; 0 is as it is."""
        if number == 0 or not self.is_drawn:
            return self
        # Drawn shapes keep their lengths and the heights of their ends, so that where each lies stays worked out.
        return self.model_copy(update={"items": tuple(item.anew(number) for item in self.items)})

    @property
    def surveys(self) -> tuple[Survey, ...]:
        """Its surveyed profiles, each file once."""
        # by path: two items may survey one file
        return tuple({item.path: item for item in self.items if isinstance(item, Survey)}.values())

    @property
    def notices(self) -> tuple[str, ...]:
        """What was found in surveyed profiles and done about it, a sentence each."""
        # a file laid twice says its sentences once
        return tuple(dict.fromkeys(text for item in self.items if isinstance(item, Survey) for text in item.notices))

    @property
    def flat_after_m(self) -> float:
        """Place [m] after which the road is level: its last edge, the start if it has none."""
        return max(self.edges(), default=0.0)


def _rise(item: AnyShape) -> float:
    """Return how much higher [m] the road is after the shape than before it."""
    # A metre past its end, where every shape stays at the height of its end.
    return float(item.height_at(np.array([item.length_m + 1.0]))[0])
