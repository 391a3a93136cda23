"""Runs: the list. A new one is a file beside these and its name here."""

from typing import Annotated

from pydantic import Field

from sim.describe.runs.brake import Brake
from sim.describe.runs.course import Course
from sim.describe.runs.drop import Drop
from sim.describe.runs.launch import Launch
from sim.describe.runs.push import Push
from sim.describe.runs.release import Release
from sim.describe.runs.track import Track

AnyRun = Annotated[Course | Push | Drop | Release | Launch | Brake | Track, Field(discriminator="kind")]

__all__ = ["AnyRun", "Brake", "Course", "Drop", "Launch", "Push", "Release", "Track"]
