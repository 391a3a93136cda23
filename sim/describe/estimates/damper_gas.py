"""Push of a damper's gas: its pressure on the area of its rod."""

from math import pi

from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.truck import Truck

ROD = {"monotube": 0.016, "reservoir": 0.016}
"""Diameter of a rod [m] where it is not given; twin-tubes 13 mm; common practice, no source."""

TWIN_ROD = 0.013

PRESSURE = {"monotube": 14e5, "reservoir": 14e5, "gas_cell": 1e5, "twin_tube": 4e5}
"""Pressure of the gas [Pa] by construction: monotubes 10 to 25 bar (150 to 350 psi), low-pressure twin-tubes some 3 to 6 bar; common
practice, no source."""

OFF = 0.5

UNKNOWN, UNKNOWN_OFF = 90.0, 70.0
"""Push [N] of a damper of which nobody says how it is built; common practice, no source."""


def value(truck: Truck, at: Where) -> Worth | None:
    """Return the push of one at ride [N]; nothing for valves that know their own gas."""
    place = at.axle, "dampers", at.name
    if truck.word(*place, "valving", "kind") == "valves":
        return None
    built = truck.word(*place, "construction")
    if built not in PRESSURE:
        return Worth(UNKNOWN, UNKNOWN_OFF)
    rod = truck.si("length", *place, "tube", "rod") or ROD.get(built, TWIN_ROD)
    push = PRESSURE[built] * pi / 4.0 * rod**2
    return Worth(push, OFF * push, "a usual pressure on the area of its rod")


RULES = (
    Rule(
        "{axle}.dampers.{name}.gas_force", "push of the gas", "force", "a usual push, as nobody says how it is built", value,
        "dampers with gas; one without has none: write 0 N", "common practice, no source", "dampers.md",
    ),
)  # fmt: skip
