"""Mass of a damper's two halves, from its length."""

from collections.abc import Callable

from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.truck import Truck

A_METRE, OFF = 4.0, 0.35
"""Mass [kg] of a damper per metre of its extended length, and how far off it may be; common practice, no source."""

TUBE = 2.0 / 3.0
"""Share of the tube with its oil."""


def _share(share: float) -> Callable[[Truck, Where], Worth]:
    def value(truck: Truck, at: Where) -> Worth:
        mass = share * A_METRE * truck.known("length", at.axle, "dampers", at.name, "length_extended")
        return Worth(mass, OFF * mass)

    return value


RULES = (
    Rule("{axle}.dampers.{name}.tube_mass", "mass of the damper's tube", "mass", "its extended length: 4 kg/m (2.7 lb/ft), two thirds of it the tube", _share(TUBE), "twin-tubes of 50 to 60 mm (2 to 2.4 in)", "common practice, no source", "dampers.md"),
    Rule("{axle}.dampers.{name}.rod_mass", "mass of the damper's rod", "mass", "its extended length: 4 kg/m (2.7 lb/ft), a third of it the rod", _share(1.0 - TUBE), "twin-tubes of 50 to 60 mm (2 to 2.4 in)", "common practice, no source", "dampers.md"),
)  # fmt: skip
