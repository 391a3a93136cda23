"""Run: a day's drive, kilometres of track and stops, in which dampers warm and cool."""

from typing import Annotated, ClassVar, Literal

from annotated_types import Ge, Gt, Le
from pydantic import Field, model_validator

from sim.describe.description import Description
from sim.describe.lowered import Lowered
from sim.describe.parts.dampers.tube import USUAL_TEMPERATURE
from sim.describe.roads.course import Course as Road
from sim.describe.runs.base import RunDescription, Way
from sim.describe.runs.course import TyreLoad
from sim.describe.runs.plan import Plan
from sim.describe.shown import show_short
from sim.describe.units import Duration, Length, Speed, Temperature
from sim.errors import RunError

LONGEST_S = 48.0 * 3600.0  # two days: more is a slip in a distance or a speed


class Drive(Description):
    """Over a course again and again, from standing, at a speed that a driver keeps."""

    kind: Literal["drive"]
    course: Road = Field(description="A course file, or a course written out here; its end meets its beginning.")
    speed: Annotated[Speed, Gt(0), Le(70)]
    distance: Annotated[Length, Gt(0)] | None = Field(default=None, description="How far; or give `duration`.")
    duration: Annotated[Duration, Gt(0)] | None = Field(default=None, description="How long; or give `distance`.")
    air: Temperature | None = Field(default=None, description="If not that of the run.")
    tyre_load: TyreLoad = Field(default="square_to_road", description="As in a run of kind course.")

    @model_validator(mode="after")
    def _has_one_extent(self) -> "Drive":
        # With the speed, one gives the other; both could contradict each other.
        if (self.distance is None) == (self.duration is None):
            raise ValueError("needs either `distance` or `duration`, one of the two")
        return self

    @property
    def seconds(self) -> float:
        """How long it takes [s]."""
        # `or 0.0` is for the type checker: one of the two is given.
        return self.duration if self.duration is not None else (self.distance or 0.0) / self.speed

    @property
    def pushes_back(self) -> bool:
        """Whether bumps push back as well as up."""
        return self.tyre_load != "upright"

    @property
    def words(self) -> str:
        """What it is, in few words."""
        return f"“{self.course.name}”, {show_short(self.speed, 'road_speed', (0, 0))}"


class Stand(Description):
    """Parked: nothing works, still air takes the heat away."""

    kind: Literal["stand"]
    duration: Annotated[Duration, Gt(0)]
    air: Temperature | None = Field(default=None, description="If not that of the run.")

    # A stand answers what a drive answers, so that whoever rides the stages need not ask which it is.
    @property
    def course(self) -> None:
        """Course: none."""
        return None

    @property
    def speed(self) -> float:
        """Speed [m/s]: none."""
        return 0.0

    @property
    def seconds(self) -> float:
        """How long it lasts [s]."""
        return self.duration

    @property
    def words(self) -> str:
        """What it is, in few words."""
        return f"parked {self.duration / 60.0:.0f} min"


Stage = Annotated[Drive | Stand, Field(discriminator="kind")]


class Track(RunDescription):
    """Stages one after the other, hours long; for `jounce endure`. Each drive begins with the truck standing still."""

    way: ClassVar[Way] = "hours"

    kind: Literal["track"]
    stages: tuple[Stage, ...] = Field(description="Drives and stands, in order.")
    air: Temperature = Field(default=USUAL_TEMPERATURE, description="Temperature of the air.", validate_default=False)
    altitude: Annotated[Length, Ge(-500), Le(6000)] = Field(
        default=0.0, description="Height above the sea: thin air cools less.", validate_default=False
    )
    begins_at: Temperature | None = Field(
        default=None, description="Temperature of the dampers at the start; left out: that of the air."
    )

    @model_validator(mode="after")
    def _has_a_sane_size(self) -> "Track":
        if not self.stages:
            raise ValueError(
                "it has no stages: add one, e.g. {kind: drive, course: …, speed: 40 km/h, distance: 50 km}"
            )
        if self.seconds > LONGEST_S:
            raise ValueError(
                f"it takes {self.seconds / 3600.0:.0f} hours, at most {LONGEST_S / 3600.0:.0f} are accepted: drive less or faster"
            )
        return self

    @property
    def seconds(self) -> float:
        """How long all stages take [s]."""
        return sum(stage.seconds for stage in self.stages)

    @property
    def metres(self) -> float:
        """How far it goes [m]."""
        return sum(stage.seconds * stage.speed for stage in self.stages)

    def metres_at(self, seconds: float) -> float:
        """Return how far it has gone after a time [s] from its begin [m]."""
        gone = 0.0
        for stage in self.stages:
            gone += min(max(seconds, 0.0), stage.seconds) * stage.speed
            seconds -= stage.seconds
        return gone

    @property
    def courses(self) -> tuple[Road, ...]:
        """Every course that it drives over, each once."""
        # By what they hold: a course that is written out in two stages is one course.
        return tuple(dict.fromkeys(stage.course for stage in self.stages if stage.course is not None))

    def start(self, setup: Lowered) -> Plan:
        """Return standing: each drive begins so."""
        # Of no length: what can be asked before the hours are run is how the truck stands.
        return Plan(0.0, 0.0)

    def plan(self, setup: Lowered) -> Plan:
        """Say that hours are not run in one piece.

        Raises
        ------
        RunError
            Always.
        """
        # A run in one piece keeps its signals at every output step; hours of them would not fit in memory.
        raise RunError(
            f"This is a track of {self.seconds / 3600.0:.1f} hours, too long for one piece; run it with: jounce endure SCENARIO"
        )
