"""Run: let go from any displacement."""

from typing import Annotated, ClassVar, Literal

from annotated_types import Ge, Gt, Le
from pydantic import Field

from sim.describe.lowered import Lowered
from sim.describe.runs.base import RunDescription, Way
from sim.describe.runs.plan import Plan
from sim.describe.units import Angle, Duration, Length


class Release(RunDescription):
    """Body lifted or tilted with the axles left where they stand, axles moved, housings wound up; then free."""

    way: ClassVar[Way] = "held"
    caution: ClassVar[str] = (
        "on the truck, a lifted body or axle is never let go with somebody underneath or within reach: stands under the frame, chocks, and "
        "small lifts only."
    )

    kind: Literal["release"]
    body_up: Annotated[Length, Ge(-0.5), Le(0.5)] = Field(default=0.0, validate_default=False)
    nose_up: Annotated[Angle, Ge(-0.3), Le(0.3)] = Field(default=0.0, validate_default=False)
    # On top, because the body goes first with the axles left on the ground (sim/integrate/single.py).
    jounce_front: Annotated[Length, Ge(-0.3), Le(0.3)] = Field(
        default=0.0, description="The axle moved up, on top of the body's move.", validate_default=False
    )
    jounce_rear: Annotated[Length, Ge(-0.3), Le(0.3)] = Field(default=0.0, validate_default=False)
    pinion_up_front: Annotated[Angle, Ge(-0.3), Le(0.3)] = Field(
        default=0.0, description="Wind-up, pinion upwards.", validate_default=False
    )
    pinion_up_rear: Annotated[Angle, Ge(-0.3), Le(0.3)] = Field(default=0.0, validate_default=False)
    watch: Annotated[Duration, Gt(0), Le(120)] = Field(default=5.0, validate_default=False)

    def plan(self, setup: Lowered) -> Plan:
        """Return the run in plain SI."""
        # In people's signs, nose and pinion up; the start state turns them into those of the equations.
        return Plan(
            duration_s=self.watch, released_s=0.0, free_to_roll=True, body_up_m=self.body_up, nose_up_rad=self.nose_up,
            jounce_m=(self.jounce_front, self.jounce_rear), pinion_up_rad=(self.pinion_up_front, self.pinion_up_rear),
        )  # fmt: skip
