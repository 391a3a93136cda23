"""Damper laws: the list. A new law is a file beside this one and its name here."""

from typing import TYPE_CHECKING, Annotated, TypeAlias, Union

from pydantic import Field

from sim.describe.parts.dampers.knee import Knee
from sim.describe.parts.dampers.law import DamperLaw
from sim.describe.parts.dampers.measured import Measured
from sim.describe.parts.dampers.straight import Straight
from sim.describe.parts.dampers.table import Table
from sim.describe.parts.dampers.valves import Valves

LAWS: tuple[type[DamperLaw], ...] = (
    Straight,
    Knee,
    Table,
    Valves,
    Measured,
)

if TYPE_CHECKING:  # whoever has a law may ask what every law answers, and no more
    Law: TypeAlias = DamperLaw
else:
    Law = Annotated[Union[LAWS], Field(discriminator="kind")]  # noqa: UP007 - the members are those of the list

__all__ = ["LAWS", "DamperLaw", "Law"]
