"""Guides: the list. A new guide is a file beside this one and its name here."""

from typing import TYPE_CHECKING, Annotated, TypeAlias, Union

from pydantic import Field

from sim.describe.parts.guides.arm import Arm
from sim.describe.parts.guides.base import GuideDescription
from sim.describe.parts.guides.leaf import Leaf
from sim.describe.parts.guides.links import Links
from sim.describe.parts.guides.straight import Straight

GUIDES: tuple[type[GuideDescription], ...] = (
    Arm,
    Leaf,
    Links,
    Straight,
)

if TYPE_CHECKING:  # whoever has a guide may ask what every guide answers, and no more
    Guide: TypeAlias = GuideDescription
else:
    Guide = Annotated[Union[GUIDES], Field(discriminator="kind")]  # noqa: UP007 - the members are those of the list

__all__ = ["GUIDES", "Arm", "Guide", "Leaf", "Links", "Straight"]
