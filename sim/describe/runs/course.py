"""Run: over a course, at a speed that a driver of some kind holds."""

from typing import Annotated, ClassVar, Literal

from annotated_types import Ge, Gt, Le
from pydantic import Field, model_validator

from sim.describe.lowered import Lowered
from sim.describe.parts.vehicle import Vehicle
from sim.describe.roads.course import Course as Road
from sim.describe.runs.base import Crossing, RunDescription, Way
from sim.describe.runs.plan import Plan
from sim.describe.shown import show
from sim.describe.units import Damping, Duration, Speed
from sim.errors import RunError


def lead_m(vehicle: Vehicle) -> float:
    """Return how far ahead of the course the front wheels begin [m]."""
    # A tyre feels an edge up to a radius ahead of its centre; as much again is level, so that it starts at rest.
    return max(1.0, 2.0 * max(axle.tyre.radius for _, axle in vehicle.axles))


KEPT_IN_S = 2.0
"""Time [s] in which a keeper of speed takes out most of what is missing of it, if no gain is given: a driver's foot."""


def keeper_gain(setup: Lowered) -> float:
    """Return the usual force of a keeper of speed by what is missing of it [N s/m]."""
    return (setup.body.mass + sum(axle.mass for axle in setup.axles.values())) / KEPT_IN_S


LONGEST_S = 600.0
"""Longest run that is accepted [s]: its channels at every millisecond and what is worked out of them fit into 1 GB of memory."""

Driver = Literal["constant_speed", "speed_keeper", "coasting"]
TyreLoad = Literal["square_to_road", "upright"]


class Course(RunDescription):
    """The truck comes up on level ground at a speed, goes over the course and some way on."""

    way: ClassVar[Way] = "held"

    kind: Literal["course"]
    course: Road = Field(description="A course file, or a course written out here.")
    speed: Annotated[Speed, Gt(0), Le(70)]
    settle: Annotated[Duration, Ge(0.5), Le(60)] = Field(
        default=2.5, description="Time after the rear wheels have left the course.", validate_default=False
    )
    driver: Driver | None = Field(
        default=None,
        description="What holds the speed: speed_keeper (a force at the body's centre of gravity by what is missing of the "
        "speed), coasting (nothing), or constant_speed (an ideal force that keeps the body from surging at all). Left out: "
        "speed_keeper, or constant_speed if tyre_load is upright.",
    )
    keeper_gain: Annotated[Damping, Gt(0)] | None = Field(
        default=None,
        description="Of a speed_keeper: force by what is missing of the speed. Left out: the truck's mass over 2 s.",
    )
    tyre_load: TyreLoad = Field(
        default="square_to_road",
        description="Square to the road that the tyre feels, read where the wheels really are: bumps push back as well as "
        "up. Upright: up alone, and the road is read where the wheels would be without give.",
    )

    @model_validator(mode="after")
    def _has_a_driver_that_fits(self) -> "Course":
        if self.tyre_load == "upright" and self.held_by != "constant_speed":
            raise ValueError(
                f"with tyre_load: upright nothing pushes the truck back, so driver: {self.driver} has nothing to do; "
                "leave out one of the two"
            )
        if self.keeper_gain is not None and self.held_by != "speed_keeper":
            raise ValueError(
                f"keeper_gain is of driver: speed_keeper, but here the driver is {self.held_by}; leave out one of the two"
            )
        return self

    @property
    def held_by(self) -> Driver:
        """What holds the speed."""
        if self.driver is not None:
            return self.driver
        # Nothing pushes a truck back whose loads are upright.
        return "constant_speed" if self.tyre_load == "upright" else "speed_keeper"

    @property
    def words(self) -> str:
        """Which course, and how fast."""
        return f"{self.course.name} at {show(self.speed, 'road_speed')}"

    @property
    def held_speed(self) -> float:
        """Speed [m/s] that is held."""
        return self.speed

    def crossing(self, vehicle: Vehicle) -> Crossing:
        """Return its course, and how a vehicle comes to it."""
        return Crossing(self.course, lead_m(vehicle), self.speed)

    def plan(self, setup: Lowered) -> Plan:
        """Return the run in plain SI.

        Raises
        ------
        RunError
            If the course is shorter than the wheelbase or the run would be absurdly long.
        """
        wheelbase = setup.vehicle.wheelbase
        if self.course.length_m < wheelbase:
            raise RunError(
                f"The course '{self.course.name}' is {show(self.course.length_m, 'distance')} long, shorter than the wheelbase of "
                f"{show(wheelbase, 'distance')}. Add level ground before and after its shapes: - {{kind: flat, length: 10 m}}"
            )
        # Of the larger tyre, so that neither axle still touches the last edge when free motion is said to begin.
        radius = max(axle.tyre.radius for _, axle in setup.vehicle.axles)
        lead = lead_m(setup.vehicle)
        over = (lead + self.course.length_m + wheelbase) / self.speed
        duration = over + self.settle
        if duration > LONGEST_S:
            raise RunError(
                f"This run would take {duration / 60.0:.0f} minutes; at most {LONGEST_S / 60.0:.0f} are allowed. Shorten the course, "
                "drive faster, or drive it for hours: a run of kind track, and jounce endure."
            )
        # Free motion begins when the rear tyre has left the last edge, which it touches up to a radius past its centre.
        released = (
            lead + min(self.course.flat_after_m + radius, self.course.length_m + radius) + wheelbase
        ) / self.speed
        return Plan(
            duration_s=duration, released_s=min(released, duration), speed_m_per_s=self.speed, course=self.course,
            lead_m=lead, free_to_roll=self.held_by != "constant_speed", pushes_back=self.tyre_load != "upright",
            keeper_gain=(self.keeper_gain or keeper_gain(setup)) if self.held_by == "speed_keeper" else 0.0,
        )  # fmt: skip
