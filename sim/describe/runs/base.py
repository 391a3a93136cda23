"""What every run says of itself, whatever kind it is."""

from abc import abstractmethod
from pathlib import Path

from sim.describe.description import Description
from sim.describe.lowered import Lowered
from sim.describe.roads.course import Course
from sim.describe.runs.plan import Plan


class RunDescription(Description):
    """Base of the runs."""

    @abstractmethod
    def plan(self, setup: Lowered) -> Plan:
        """Return the run in plain SI.

        Raises
        ------
        RunError
            If the run does not fit the set-up.
        """

    @property
    def courses(self) -> tuple[Course, ...]:
        """Every course that it drives over, each once."""
        course = getattr(self, "course", None)
        return () if course is None else (course,)

    @property
    def notices(self) -> tuple[str, ...]:
        """What was seen in surveyed profiles and done about it, a sentence each."""
        return tuple(dict.fromkeys(text for course in self.courses for text in course.notices))

    @property
    def survey_files(self) -> tuple[Path, ...]:
        """Files that its surveyed profiles were read from."""
        return tuple(dict.fromkeys(survey.path for course in self.courses for survey in course.surveys))
