"""Runs: the list. A new one is a file beside these and its name here."""

from typing import TYPE_CHECKING, Annotated, TypeAlias, Union

from pydantic import Field

from sim.describe.runs.base import RunDescription
from sim.describe.runs.brake import Brake
from sim.describe.runs.course import Course
from sim.describe.runs.drop import Drop
from sim.describe.runs.launch import Launch
from sim.describe.runs.push import Push
from sim.describe.runs.release import Release
from sim.describe.runs.track import Track

RUNS: tuple[type[RunDescription], ...] = (
    Course,
    Push,
    Drop,
    Release,
    Launch,
    Brake,
    Track,
)

if TYPE_CHECKING:  # whoever has a run may ask what every run answers, and no more
    AnyRun: TypeAlias = RunDescription
else:
    AnyRun = Annotated[Union[RUNS], Field(discriminator="kind")]  # noqa: UP007 - the members are those of the list

__all__ = ["RUNS", "AnyRun", "Brake", "Course", "Drop", "Launch", "Push", "Release", "Track"]
