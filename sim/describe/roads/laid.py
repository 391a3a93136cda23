"""What every road shape has in common: how often it is laid in a row."""

from typing import Annotated

from annotated_types import Ge, Le
from pydantic import Field

from sim.describe.description import Description
from sim.describe.units import Length

LONGEST_M = 20_000.0
"""Longest course that is accepted [m]."""

TALLEST_M = 2.0
"""Tallest single shape that is accepted [m]: more is a wall, or a slip of the unit."""

MOST_REPEATS = 10_000
"""Most repeats of one shape."""


class Laid(Description):
    """How often a shape is laid, and how much flat road follows each one."""

    repeat: Annotated[int, Ge(1), Le(MOST_REPEATS)] = Field(default=1, description="how many of them in a row")
    gap: Annotated[Length, Ge(0.0), Le(LONGEST_M)] = Field(default=0.0, description="flat road after each one")
