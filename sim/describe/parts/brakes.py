"""Brakes of one axle, reacted by its housing."""

from typing import Annotated

from annotated_types import Gt, Le
from pydantic import Field

from sim.describe.description import Description
from sim.describe.units import Angle, Torque


class Brakes(Description):
    """Both brakes of an axle; the split front to rear is the two axles' torques."""

    torque: Annotated[Torque, Gt(0)] = Field(description="Of both wheels with the pedal fully down.")
    # Brake friction follows turn, so a wheel locks and stands without a jump of its sign (equations.md, Driving).
    give: Annotated[Angle, Gt(0.005), Le(0.5)] = Field(
        default=0.05,
        description="Turn of the wheel over which a standing brake takes up: give of pads, shoes and carriers (estimate).",
        validate_default=False,
    )
