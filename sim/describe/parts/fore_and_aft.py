"""Give of an axle along the truck: eyes, shackles and bushes."""

from typing import Annotated

from annotated_types import Ge, Gt
from pydantic import Field

from sim.describe.description import Description
from sim.describe.units import Damping, Stiffness


class ForeAndAft(Description):
    """Rate of the whole axle along the truck, both sides; zero is where the truck was measured.

    R. S. Sharp, Proc. IMechE Auto. Div. 184 (1969-70), found it critical for tramp.
    """

    rate: Annotated[Stiffness, Gt(0)]
    damping: Annotated[Damping, Ge(0)] = Field(default=0.0, validate_default=False)
