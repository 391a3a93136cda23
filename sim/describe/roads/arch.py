"""Arch: what bumps have in common that rise from the road and come back to it over a length."""

from typing import Annotated

from annotated_types import Gt, Le
from pydantic import Field

from sim.describe.roads.laid import LONGEST_M, TALLEST_M, Laid
from sim.describe.units import Length


class Arch(Laid):
    """Base of the bumps that a height and a length describe; no kind by itself."""

    height: Annotated[Length, Gt(0.0), Le(TALLEST_M)] = Field(description="at the top")
    length: Annotated[Length, Gt(0.0), Le(LONGEST_M)] = Field(description="along the road")

    @property
    def length_m(self) -> float:
        """Length along the road [m]."""
        return self.length
