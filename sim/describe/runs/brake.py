"""Run: from speed to a stop, on any road."""

from typing import Annotated, ClassVar, Literal

from annotated_types import Ge, Gt, Le
from pydantic import Field

from sim.describe.bare_numbers import Fraction
from sim.describe.lowered import Lowered
from sim.describe.parts.slip import Surface
from sim.describe.roads.course import Course as Road
from sim.describe.runs.base import RunDescription, Way
from sim.describe.runs.launch import APPROACH_M
from sim.describe.runs.needed import needed
from sim.describe.runs.plan import Driving, Plan
from sim.describe.units import Duration, Slope, Speed
from sim.errors import RunError


class Brake(RunDescription):
    """The truck rolls at a speed, in neutral unless `in_gear`, then the pedal goes down and stays."""

    way: ClassVar[Way] = "driven"
    caution: ClassVar[str] = (
        "on the truck, private ground, belts on, nobody ahead, from low speed upwards; brakes are adjusted and altered by qualified people, "
        "and local rules come first. This is no test of brakes."
    )

    kind: Literal["brake"]
    course: Road | None = Field(default=None, description="Left out: an even road.")
    climb: Annotated[Slope, Ge(-0.6), Le(0.6)] = Field(
        default=0.0,
        description="Slope of the hill, uphill positive; in per cent as a road sign has it, or as an angle.",
        validate_default=False,
    )
    surface: Surface
    speed: Annotated[Speed, Gt(0.5), Le(60)]
    pedal: Annotated[Fraction, Ge(0), Le(1)] = 1.0
    pedal_after: Annotated[Duration, Ge(0), Le(60)] = Field(
        default=0.5, description="Time rolled before the pedal goes down.", validate_default=False
    )
    # More than nothing: no foot is faster, and the ramp divides by it.
    pedal_rise: Annotated[Duration, Gt(0), Le(10)] = Field(
        default=0.2, description="Time until it is where it stays.", validate_default=False
    )
    in_gear: bool = Field(
        default=False,
        description="The engine, its throttle shut, stays in gear and brakes by its drag.",
        validate_default=False,
    )
    watch: Annotated[Duration, Gt(0.5), Le(120)] = Field(default=8.0, validate_default=False)

    def plan(self, setup: Lowered) -> Plan:
        """Return the run in plain SI.

        Raises
        ------
        RunError
            If it stays in gear and the vehicle's file does not say what drives it, or nothing would slow it down.
        """
        if self.pedal == 0.0 and not self.in_gear:
            raise RunError("pedal: 0 brakes by the engine alone, and needs in_gear: yes.")
        needed(
            setup.vehicle, "A stop in gear" if self.in_gear else "A stop", driven=self.in_gear, braked=self.pedal > 0.0
        )
        driving = Driving(
            surface=self.surface, climb_rad=self.climb, speed_m_per_s=self.speed, in_gear=self.in_gear, held=False,
            # The throttle stays shut; its rise is there only because the ramp divides by it.
            throttle=0.0, throttle_from_s=0.0, throttle_rise_s=1.0, brakes_off_s=0.0, pedal=self.pedal,
            pedal_from_s=self.pedal_after, pedal_rise_s=self.pedal_rise,
        )  # fmt: skip
        return Plan(
            duration_s=self.watch, released_s=self.pedal_after, free_to_roll=True, course=self.course,
            lead_m=APPROACH_M, driving=driving,
        )  # fmt: skip
