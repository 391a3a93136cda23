"""How people say where something is: with a tape, from the front axle, the ground or an axle's centre."""

from typing import Annotated

from annotated_types import Ge, Le
from pydantic import Field

from sim.describe.description import Description
from sim.describe.units import Length


class BodyPoint(Description):
    """A point of the body, measured at the ride height and on level ground that the file describes."""

    behind_front_axle: Annotated[Length, Ge(-30), Le(30)] = Field(
        description="Distance behind the front axle's centreline; negative is ahead of it."
    )
    above_ground: Annotated[Length, Ge(-5), Le(20)] = Field(description="Height above the ground.")


class AxlePoint(Description):
    """A point that moves with the axle housing, from the centre of the axle."""

    ahead: Annotated[Length, Ge(-5), Le(5)] = Field(
        description="Distance ahead of the axle's centre; negative is behind it."
    )
    above: Annotated[Length, Ge(-5), Le(5)] = Field(
        description="Distance above the axle's centre; negative is below it."
    )


class SprungPlace:
    """Turns what the tape says into body axes from the sprung centre of gravity (x forward, z up) [m]."""

    def __init__(self, cg_behind_front_axle: float, cg_above_ground: float) -> None:
        self.cg_behind_front_axle = cg_behind_front_axle
        self.cg_above_ground = cg_above_ground

    def forward(self, point: BodyPoint) -> float:
        """Return how far a body point is ahead of the centre of gravity [m]."""
        # The tape runs rearward from the front axle, x runs forward (ISO 8855): the sign turns.
        return self.cg_behind_front_axle - point.behind_front_axle

    def up(self, point: BodyPoint) -> float:
        """Return how far a body point is above the centre of gravity [m]."""
        return point.above_ground - self.cg_above_ground


CENTRE = AxlePoint(ahead="0 mm", above="0 mm")  # text is what people write
"""The axle's own centre."""
