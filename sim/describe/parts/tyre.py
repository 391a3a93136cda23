"""The tyres of one axle."""

from typing import Annotated

from annotated_types import Ge, Gt, Le
from pydantic import Field, model_validator

from sim.describe.bare_numbers import Fraction
from sim.describe.description import Description
from sim.describe.parts.slip import Slip
from sim.describe.parts.tyre_pressure import contact_share, rate_share
from sim.describe.units import Damping, Length, Mass, PitchInertia, Stiffness, TyrePressure


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
    measured_at: Annotated[TyrePressure, Ge(0.3e5), Le(12e5)] | None = Field(
        default=None, description="Pressure at which rate, damping and contact_length are as given."
    )
    pressure: Annotated[TyrePressure, Ge(0.3e5), Le(12e5)] | None = Field(
        default=None,
        description="As driven, if that is another one than it was measured at: the rate of the tyre and how long it touches the ground follow it.",
    )
    heavier_by: Annotated[Mass, Ge(-100), Le(300)] = Field(
        default=0.0,
        description="Of a set-up with other wheels: how much more one wheel with its tyre weighs than those in `housing.mass`; of a truck as weighed estimated from another size.",
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

    @model_validator(mode="after")
    def _pressure_is_of_something(self) -> "Tyre":
        if self.pressure is not None and self.measured_at is None:
            raise ValueError(
                "pressure needs measured_at, the pressure at which the rate is as given, e.g. measured_at: 2.2 bar"
            )
        return self

    # Damping stays: it is the carcass that loses, and its part of the rate is the same at every pressure.
    @property
    def rate_driven(self) -> float:
        """Vertical rate of one tyre at the pressure that it is driven at [N/m]."""
        return self._rate_share * self.rate

    @property
    def rate_at_twice_driven(self) -> float | None:
        """The same of `rate_at_twice_the_load`."""
        return None if self.rate_at_twice_the_load is None else self._rate_share * self.rate_at_twice_the_load

    @property
    def contact_length_driven(self) -> float:
        """Length of the patch at the pressure that it is driven at [m]."""
        return contact_share(self._rate_share) * self.contact_length

    @property
    def _rate_share(self) -> float:
        if self.pressure is None or self.measured_at is None:
            return 1.0
        return rate_share(self.pressure, self.measured_at, self.radius)
