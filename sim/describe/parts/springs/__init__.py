"""Springs: the list."""

from typing import Annotated

from pydantic import Field

from sim.describe.parts.springs.coil import Coil
from sim.describe.parts.springs.leaf_pack import LeafPack

Spring = Annotated[Coil | LeafPack, Field(discriminator="kind")]

__all__ = ["Coil", "LeafPack", "Spring"]
