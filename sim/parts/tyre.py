"""The tyres of one axle."""

from typing import Annotated

from annotated_types import Ge, Gt
from pydantic import Field

from sim.description import Description
from sim.units import Damping, Length, Stiffness


class Tyre(Description):
    """One tyre, and how many of them the axle stands on."""

    count: Annotated[int, Gt(0)] = 2
    radius: Annotated[Length, Gt(0)] = Field(description="Outer radius, not loaded.")
    rate: Annotated[Stiffness, Gt(0)] = Field(description="Vertical rate of one tyre at its working pressure.")
    rate_at_twice_the_load: Annotated[Stiffness, Gt(0)] | None = Field(
        default=None,
        description="Rate of one tyre at twice its standing load, if it stiffens; the rate above is then that at standing load.",
    )
    damping: Annotated[Damping, Ge(0)] = Field(default=0.0, description="Damping of one tyre.")
    contact_length: Annotated[Length, Ge(0)] = Field(
        default=0.0, description="Length of the patch over which the tread averages the road; 0 averages nothing."
    )
