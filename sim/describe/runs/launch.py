"""Run: from rest, on any road, by the truck's own engine."""

from typing import Annotated, ClassVar, Literal

from annotated_types import Ge, Gt, Le
from pydantic import Field

from sim.describe.bare_numbers import Fraction
from sim.describe.lowered import Lowered
from sim.describe.parts.slip import Surface
from sim.describe.roads.course import Course as Road
from sim.describe.runs.base import RunDescription, Way
from sim.describe.runs.needed import needed
from sim.describe.runs.plan import Driving, Plan
from sim.describe.units import Duration, Slope, Speed

APPROACH_M = 1.0
"""Level road ahead of the front wheels before a course begins [m]."""


class Launch(RunDescription):
    """The truck stands on its brakes, level or on a hill; they are let go as the throttle goes down.

    Gravity's share along the hill acts all the time; the road's own shapes come on top of the slope.
    """

    way: ClassVar[Way] = "driven"
    caution: ClassVar[str] = (
        "on the truck, private ground, belts on, helpers well clear; from gentle to hard, and stop at any bang, wobble or smell: wind-up can "
        "pull a shaft apart or break a mount."
    )

    kind: Literal["launch"]
    course: Road | None = Field(default=None, description="Left out: an even road.")
    climb: Annotated[Slope, Ge(-0.6), Le(0.6)] = Field(
        default=0.0,
        description="Slope of the hill, uphill positive; in per cent as a road sign has it, or as an angle.",
        validate_default=False,
    )
    surface: Surface
    throttle: Annotated[Fraction, Gt(0), Le(1)] = 1.0
    throttle_off_after: Annotated[Duration, Gt(0), Le(120)] | None = Field(
        default=None,
        description="Time after which the foot leaves the throttle, and the engine's drag brakes; left out: it stays down.",
    )
    # This and the brakes' time are more than nothing: no foot is faster.
    throttle_rise: Annotated[Duration, Gt(0), Le(10)] = Field(
        default=0.3, description="Time until the throttle is where it stays.", validate_default=False
    )
    brakes_off: Annotated[Duration, Gt(0), Le(10)] = Field(
        default=0.2, description="Time in which the brakes let go.", validate_default=False
    )
    watch: Annotated[Duration, Gt(0.5), Le(120)] = Field(default=6.0, validate_default=False)
    to_speed: Annotated[Speed, Gt(0), Le(60)] | None = Field(
        default=None, description="Speed to which time and distance are wanted."
    )

    @property
    def pulls_away_on(self) -> Surface:
        """Ground on which it pulls away."""
        return self.surface

    def plan(self, setup: Lowered) -> Plan:
        """Return the run in plain SI.

        Raises
        ------
        RunError
            If the vehicle's file lacks what drives it, with all that is missing.
        """
        hill = self.climb != 0.0
        begins = "A launch on a hill, which begins as the truck stands on its brakes," if hill else "A launch"
        needed(setup.vehicle, begins, driven=True, braked=hill)
        # Held by its brakes at first: on a hill it would roll back before the torque has come up.
        driving = Driving(
            surface=self.surface, climb_rad=self.climb, speed_m_per_s=0.0, in_gear=True, held=True,
            throttle=self.throttle, throttle_from_s=0.0, throttle_rise_s=self.throttle_rise,
            brakes_off_s=self.brakes_off, pedal=0.0, pedal_from_s=0.0, pedal_rise_s=1.0, goal_m_per_s=self.to_speed,
            throttle_off_s=self.throttle_off_after,
        )  # fmt: skip
        return Plan(
            duration_s=self.watch, released_s=0.0, free_to_roll=True, course=self.course, lead_m=APPROACH_M,
            driving=driving,
        )  # fmt: skip
