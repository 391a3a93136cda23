"""Brakes of one axle, reacted by its housing."""

from math import sqrt
from typing import Annotated

from annotated_types import Gt, Le
from pydantic import Field

from sim.describe.description import Description
from sim.describe.units import Angle, AngularDamping, Torque

USUAL_DAMPING = 0.2
"""Damping of wheels that swing on their brakes' give, as a share of critical: steel, linings and bushes (estimate)."""


class Brakes(Description):
    """Both brakes of an axle; the split front to rear is the two axles' torques.

    A brake is a spring and a dashpot behind a friction face (equations.md, Driving): it gives, and slips at the pedal's torque.
    """

    torque: Annotated[Torque, Gt(0)] = Field(description="Of both wheels with the pedal fully down.")
    give: Annotated[Angle, Gt(0.0005), Le(0.2)] = Field(
        default=0.01,
        description="Turn of a wheel that its brake holds under that torque: pads, shoes, carriers, slack of pins (estimate).",
        validate_default=False,
    )
    damping: Annotated[AngularDamping, Gt(0)] | None = Field(
        default=None,
        description="Of that give, both brakes. Left out: a fifth of critical for the wheels that swing on it (estimate).",
    )

    @property
    def rate(self) -> float:
        """Rate of the give [N m/rad], both brakes."""
        return self.torque / self.give

    def damping_of(self, spin_inertia: float) -> float:
        """Return the damping of the give [N m s/rad], both brakes, of wheels with a spin inertia [kg m²]."""
        return self.damping or USUAL_DAMPING * 2.0 * sqrt(self.rate * spin_inertia)
