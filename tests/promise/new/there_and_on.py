"""Run: over a course at a held speed, with a hand on the bumper until the course begins."""

from typing import Annotated, ClassVar, Literal

from annotated_types import Gt, Le

from sim.describe.lowered import Lowered
from sim.describe.parts.vehicle import Vehicle
from sim.describe.roads.course import Course as Road
from sim.describe.runs.base import Crossing, RunDescription, Way
from sim.describe.runs.plan import Plan
from sim.describe.units import Duration, Length, Speed

LEAD_M = 1.5


class ThereAndOn(RunDescription):
    """The body is let go from below as the truck sets off over a course."""

    way: ClassVar[Way] = "held"

    kind: Literal["there_and_on"]
    course: Road
    speed: Annotated[Speed, Gt(0), Le(70)]
    pressed: Annotated[Length, Gt(0), Le(0.1)]
    watch: Annotated[Duration, Gt(0), Le(60)]

    @property
    def words(self) -> str:
        """What it is, in few words."""
        return f"{self.course.name}, there and on"

    @property
    def held_speed(self) -> float:
        """Speed [m/s] that is held."""
        return self.speed

    def crossing(self, vehicle: Vehicle) -> Crossing:
        """Return its course, and how a vehicle comes to it."""
        return Crossing(self.course, LEAD_M, self.speed)

    def plan(self, setup: Lowered) -> Plan:
        """Return the run in plain SI."""
        return Plan(
            duration_s=self.watch, released_s=0.0, speed_m_per_s=self.speed, course=self.course, lead_m=LEAD_M,
            body_up_m=-self.pressed,
        )  # fmt: skip
