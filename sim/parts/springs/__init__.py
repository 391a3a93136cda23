"""Springs: the list."""

from typing import Annotated

from pydantic import Field

from sim.parts.springs.coil import Coil
from sim.parts.springs.leaf_pack import LeafPack

Spring = Annotated[Coil | LeafPack, Field(discriminator="kind")]

__all__ = ["Coil", "LeafPack", "Spring"]
