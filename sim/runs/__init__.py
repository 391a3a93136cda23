"""Runs: the list. A new one is a file beside these and its name here."""

from typing import Annotated

from pydantic import Field

from sim.runs.brake import Brake
from sim.runs.course import Course
from sim.runs.drop import Drop
from sim.runs.launch import Launch
from sim.runs.push import Push
from sim.runs.release import Release
from sim.runs.track import Track

AnyRun = Annotated[Course | Push | Drop | Release | Launch | Brake | Track, Field(discriminator="kind")]

__all__ = ["AnyRun", "Brake", "Course", "Drop", "Launch", "Push", "Release", "Track"]
