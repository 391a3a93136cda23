"""Damper laws: the list. A new law is a file beside this one and its name here."""

from typing import Annotated

from pydantic import Field

from sim.describe.parts.dampers.knee import Knee
from sim.describe.parts.dampers.measured import Measured
from sim.describe.parts.dampers.straight import Straight
from sim.describe.parts.dampers.table import Table
from sim.describe.parts.dampers.valves import Valves

Law = Annotated[Straight | Knee | Table | Valves | Measured, Field(discriminator="kind")]

LAWS: tuple[type[Straight] | type[Knee] | type[Table] | type[Valves] | type[Measured], ...] = (
    Straight,
    Knee,
    Table,
    Valves,
    Measured,
)
