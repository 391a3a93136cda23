"""The tyres of one axle."""

from typing import Annotated

from annotated_types import Ge, Gt, Le
from pydantic import Field

from sim.describe.description import Description
from sim.describe.parts.slip import Slip
from sim.describe.units import Damping, Fraction, Length, PitchInertia, Stiffness


class Tyre(Description):
    """One tyre, and how many of them the axle stands on."""

    count: Annotated[int, Gt(0), Le(8)] = 2
    radius: Annotated[Length, Gt(0), Le(2)] = Field(description="Outer radius, not loaded.")
    rate: Annotated[Stiffness, Gt(0)] = Field(description="Vertical rate of one tyre at its working pressure.")
    # With N = k d + k' d², rates at two known loads give k and k' (sim/lower/stance.py).
    rate_at_twice_the_load: Annotated[Stiffness, Gt(0)] | None = Field(
        default=None,
        description="Rate of one tyre at twice its standing load, if it stiffens; the rate above is then that at standing load.",
    )
    damping: Annotated[Damping, Ge(0)] = Field(default=0.0, description="Damping of one tyre.")
    contact_length: Annotated[Length, Ge(0), Le(1)] = Field(
        default=0.0, description="Length of the patch over which the tread averages the road; 0 averages nothing."
    )
    # At a held speed the wheels need no torque to spin up, so only runs that change speed ask for it.
    spin_inertia: Annotated[PitchInertia, Gt(0)] | None = Field(
        default=None,
        description="Of one wheel with tyre, hub and drum or disc about its axis, for runs that drive or brake.",
    )
    slip: Slip | None = Field(default=None, description="Along the road, for runs that drive or brake.")
    rolling_share: Annotated[Fraction, Ge(0), Le(1)] = Field(
        default=1 / 3,
        description="Rolling radius is the radius less this share of the tyre's give (a third, from memory, no source).",
        validate_default=False,
    )
