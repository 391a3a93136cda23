"""What every road shape has in common: height, length, edges, words, and how often it is laid in a row."""

from abc import abstractmethod
from typing import TYPE_CHECKING, Annotated, ClassVar, Self

from annotated_types import Ge, Le
from pydantic import Field

from sim.describe.description import Description
from sim.describe.roads.array import Array
from sim.describe.units import Length

LONGEST_M = 20_000.0
"""Longest course that is accepted [m]."""

TALLEST_M = 2.0
"""Tallest single shape that is accepted [m]: more is a wall, or a slip of the unit."""

MOST_REPEATS = 10_000
"""Most repeats of one shape."""


SEEDS_APART = 0x9E3779B9
"""Between the seeds of two laps: no small number, or people's own seeds 1, 2, 3 would be the laps of one another."""


def seed_of(seed: int, number: int) -> int:
    """Return the seed with which a shape is drawn anew for the lap of a number."""
    return (seed + SEEDS_APART * number) % 2**32


class Laid(Description):
    """Base of the shapes: how often it is laid, and how much flat road follows each one."""

    if TYPE_CHECKING:
        kind: str  # each has a word of its own

    is_obstacle: ClassVar[bool] = True
    """Whether what happens there is reported of it; level road is none."""

    from_file: ClassVar[bool] = False
    """Whether its shape is as a file has it, so that nothing but how it is laid can move."""

    repeat: Annotated[int, Ge(1), Le(MOST_REPEATS)] = Field(default=1, description="how many of them in a row")
    gap: Annotated[Length, Ge(0.0), Le(LONGEST_M)] = Field(default=0.0, description="flat road after each one")

    @property
    @abstractmethod
    def length_m(self) -> float:
        """Length along the road [m]."""

    @abstractmethod
    def height_at(self, x: Array) -> Array:
        """Return the height [m] at distances `x` [m] from its start; past its end, that of its end."""

    def edges(self) -> tuple[float, ...]:
        """Return the places [m] from its start at which it jumps, or its slope or curvature does; both ends, if it says no other."""
        return (0.0, self.length_m)

    @property
    def is_drawn(self) -> bool:
        """Whether it is drawn by a seed."""
        return False

    def anew(self, number: int) -> Self:
        """Return another one of its kind, drawn by a number, as long as this one and at its ends as high; itself if it is not drawn."""
        return self

    @property
    def words(self) -> str:
        """What it is, in few words."""
        return self.kind.replace("_", " ")
