"""What every run says of itself, whatever kind it is."""

from abc import abstractmethod
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, Literal, NamedTuple

from sim.describe.description import Description
from sim.describe.lowered import Lowered
from sim.describe.parts.slip import Surface
from sim.describe.parts.vehicle import Vehicle
from sim.describe.roads.course import Course
from sim.describe.runs.plan import Plan

Way = Literal["held", "driven", "hours"]

COMMANDS: dict[Way, str] = {"held": "compare", "driven": "compare", "hours": "endure"}
"""The command that shows what came of a run, by how it is run."""


class Crossing(NamedTuple):
    """A course that is driven over at one speed, from level ground."""

    course: Course
    lead_m: float  # from where the front wheels begin to where it begins
    speed: float  # [m/s]


class RunDescription(Description):
    """Base of the runs. Its subclass says `kind`, `way` and `plan`; the rest has answers for a run on the spot."""

    if TYPE_CHECKING:
        kind: str  # each has a word of its own

    way: ClassVar[Way]
    """How it is run: held at a speed or standing, many set-ups side by side; driven by its own wheels, one by one; or for
    hours, in pieces, while dampers warm."""

    caution: ClassVar[str] = ""
    """What to mind who does the same on the truck, in one line; empty: it is not done there as a test."""

    @abstractmethod
    def plan(self, setup: Lowered) -> Plan:
        """Return the run in plain SI.

        Raises
        ------
        RunError
            If the run does not fit the set-up.
        """

    def start(self, setup: Lowered) -> Plan:
        """Return the plan that it begins by: what can be asked without running it.

        Raises
        ------
        RunError
            If the run does not fit the set-up.
        """
        return self.plan(setup)

    @property
    def command(self) -> str:
        """The command that shows what came of it."""
        return COMMANDS[self.way]

    @property
    def words(self) -> str:
        """What it is in few words, for a page that is written for it; empty: its scenario's name says it."""
        return ""

    @property
    def held_speed(self) -> float | None:
        """Speed [m/s] that is held all the way; None if there is no such speed."""
        return None

    def crossing(self, vehicle: Vehicle) -> Crossing | None:
        """Return the course that a vehicle is driven over at a held speed; None if it is not."""
        return None

    @property
    def pulls_away_on(self) -> Surface | None:
        """Ground on which it pulls away by its own wheels; None if it does not."""
        return None

    @property
    def axle_asked(self) -> str:
        """The axle that the run disturbs by itself: "front" or "rear"; empty if it is no one axle."""
        return ""

    @property
    def courses(self) -> tuple[Course, ...]:
        """Every course that it drives over, each once."""
        # A run with one course has it in a field of this name; a track has several and answers for itself.
        course = getattr(self, "course", None)
        return () if course is None else (course,)

    @property
    def notices(self) -> tuple[str, ...]:
        """What was seen in surveyed profiles and done about it, a sentence each."""
        # A profile may be laid more than once in a course; its notice is wanted once, in order.
        return tuple(dict.fromkeys(text for course in self.courses for text in course.notices))

    @property
    def survey_files(self) -> tuple[Path, ...]:
        """Files that its surveyed profiles were read from."""
        return tuple(dict.fromkeys(survey.path for course in self.courses for survey in course.surveys))
