"""Springs: the list. A new spring is a file beside this one and its name here."""

from typing import TYPE_CHECKING, Annotated, TypeAlias, Union

from pydantic import Field

from sim.describe.parts.springs.base import LineSpring, SeatSpring, SpringDescription
from sim.describe.parts.springs.coil import Coil
from sim.describe.parts.springs.leaf_pack import LeafPack

SPRINGS: tuple[type[SpringDescription], ...] = (
    Coil,
    LeafPack,
)

if TYPE_CHECKING:  # whoever has a spring may ask what every spring answers, and no more
    Spring: TypeAlias = SpringDescription
else:
    Spring = Annotated[Union[SPRINGS], Field(discriminator="kind")]  # noqa: UP007 - the members are those of the list

__all__ = ["SPRINGS", "Coil", "LeafPack", "LineSpring", "SeatSpring", "Spring", "SpringDescription"]
