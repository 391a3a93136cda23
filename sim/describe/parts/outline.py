"""Outline of the body as far as anything may touch it: what is lowest underneath, and where the wings (fenders) are nearest to the tyres."""

from pydantic import Field

from sim.describe.description import Description
from sim.describe.parts.places import BodyPoint


class Outline(Description):
    """Points of the body that are taped for clearances; what has none is not looked at."""

    under: dict[str, BodyPoint] = Field(
        default={},
        description="Lowest points underneath, as many as there are, e.g. `bumper`, `gearbox`, `tow hitch`: ahead of the front axle they limit the approach angle, "
        "behind the rear one the departure angle, between them the breakover angle.",
    )
    front_wing: dict[str, BodyPoint] = Field(
        default={},
        description="Points of the front wings and of what stands in their openings that come near the tyre.",
    )
    rear_wing: dict[str, BodyPoint] = Field(default={}, description="The same of the rear wings.")
