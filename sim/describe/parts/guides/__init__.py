"""Guides: the list. A new guide is a file beside this one and its name here."""

from typing import Annotated

from pydantic import Field

from sim.describe.parts.guides.arm import Arm
from sim.describe.parts.guides.leaf import Leaf
from sim.describe.parts.guides.links import Links
from sim.describe.parts.guides.straight import Straight

Guide = Annotated[Arm | Leaf | Links | Straight, Field(discriminator="kind")]

GUIDES: tuple[type[Arm] | type[Leaf] | type[Links] | type[Straight], ...] = (Arm, Leaf, Links, Straight)
