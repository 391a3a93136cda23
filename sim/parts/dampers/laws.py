"""Damper laws: the list. A new law is a file beside this one and its name here."""

from typing import Annotated

from pydantic import Field

from sim.parts.dampers.knee import Knee
from sim.parts.dampers.straight import Straight
from sim.parts.dampers.table import Table

Law = Annotated[Straight | Knee | Table, Field(discriminator="kind")]

LAWS: tuple[type[Straight] | type[Knee] | type[Table], ...] = (Straight, Knee, Table)
