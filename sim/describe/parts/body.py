"""The sprung body and the points at which people want to know how it rides."""

from typing import Annotated

from annotated_types import Ge, Gt, Le
from pydantic import Field

from sim.describe.description import Description
from sim.describe.parts.places import BodyPoint
from sim.describe.units import Mass, PitchInertia


class Body(Description):
    """Everything above the springs, without the loads and without dampers whose mass is given."""

    mass: Annotated[Mass, Gt(0)]
    centre_of_gravity: BodyPoint
    pitch_inertia: Annotated[PitchInertia, Gt(0)] = Field(
        description="About its own centre of gravity, nose up and down."
    )


class Load(Description):
    """A mass put on or into the body: people, cargo, an engine that is heavier than the old one."""

    # A lighter engine is a load below zero; a body that ends with no mass is refused (sim/lower/stance.py).
    mass: Annotated[Mass, Ge(-60_000), Le(60_000)] = Field(description="May be negative: something taken out.")
    place: BodyPoint
    # The place counts by mass x distance² anyway (parallel axes); this adds only the load's turn about itself.
    pitch_inertia: Annotated[PitchInertia, Gt(-1e5), Le(1e6)] = Field(
        default=0.0, description="About its own centre of gravity; small things have none worth naming."
    )
