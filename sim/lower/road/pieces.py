"""What the rolling tyre asks of a road, and the road cut into smooth pieces of points."""

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from sim.describe.roads.array import Array, Index
from sim.describe.roads.course import SAME_PLACE_M

MOST_POINTS = 15_000_000
"""Most points that a road is sampled at."""

INSIDE_M = 1e-10
"""How far inside a piece its end points are evaluated, so that each side of a jump is seen [m]."""

FEWEST_SPANS = 4
"""Fewest spans between the points of a piece: its quartics need five points."""


class Road(Protocol):
    """Heights along a road, level before its start and after its end."""

    @property
    def length_m(self) -> float:
        """Length [m]."""
        ...

    def height(self, x: Array) -> Array:
        """Return the heights [m] at places `x` [m]."""
        ...

    def edges(self) -> tuple[float, ...]:
        """Return the places [m] of jumps and kinks, rising."""
        ...


@dataclass(frozen=True)
class Pieces:
    """Points of a road, evenly spaced in each smooth piece between two edges.

    Attributes
    ----------
    x, z : (n,) arrays
        Places, not falling, and heights [m]; an edge is there twice, once from each side.
    first, last : (n,) arrays
        Numbers of the first and the last point of each point's piece.
    """

    x: Array
    z: Array
    first: Index
    last: Index


def pieces(road: Road, before_m: float, after_m: float, spacing_m: float) -> Pieces:
    """Return the road's points from `before_m` ahead of its start to `after_m` past its end.

    Raises
    ------
    ValueError
        If the road would need too many points.
    """
    cuts = _cuts(road, before_m, after_m)
    # The spacing shrinks until whole spans fill the piece: the quartics need points evenly spaced.
    spans = np.maximum(np.ceil(np.diff(cuts) / spacing_m), FEWEST_SPANS).astype(np.int64)
    total = int(np.sum(spans + 1))
    if total > MOST_POINTS:  # said before any of them is laid: they would fill the memory
        raise ValueError(
            f"the road would need {total} points, at most {MOST_POINTS} are accepted: "
            "make the course shorter or lay fewer shapes"
        )
    x = np.concatenate(
        [np.linspace(start, end, count + 1) for start, end, count in zip(cuts[:-1], cuts[1:], spans, strict=True)]
    )
    ends = np.cumsum(spans + 1) - 1
    starts = ends - spans
    # A height at an edge itself is that of one side only; each piece must have its own.
    seen = x.copy()
    seen[starts] += INSIDE_M
    seen[ends] -= INSIDE_M
    first, last = np.repeat(starts, spans + 1), np.repeat(ends, spans + 1)
    return Pieces(x, road.height(seen), first, last)


def _cuts(road: Road, before_m: float, after_m: float) -> Array:
    """Return the ends of all pieces, rising."""
    inner = [0.0, *road.edges(), road.length_m]  # a course may step up at its ends, from the level before and after it
    places = np.sort([-before_m, *inner, road.length_m + after_m])
    # Edges of two shapes laid end to end differ by rounding: between them would be a piece of nothing.
    return places[np.concatenate(([True], np.diff(places) > SAME_PLACE_M))]
