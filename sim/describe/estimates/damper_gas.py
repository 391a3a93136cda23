"""Push of a damper's gas: its pressure on the area of its rod."""

from math import pi

from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.truck import Truck

ROD = {"monotube": 0.016, "reservoir": 0.016}
"""Diameter of a rod [m] where it is not given; twin-tubes 13 mm; common practice, no source."""

TWIN_ROD = 0.013

PRESSURE = {"monotube": 14e5, "reservoir": 14e5, "gas_cell": 1e5, "twin_tube": 5e5}
"""Pressure of the gas [Pa] by construction: monotubes 10 to 25 bar (150 to 350 psi; common practice, no source), low-pressure twin-tubes
2.5 to 8 bar (Dixon, The Shock Absorber Handbook, from memory), gas cells some 1 bar (common practice, no source)."""

OFF, TWIN_OFF = 0.5, 0.65
"""How far off a push may be as a share; of low-pressure twin-tubes as pressures from 2.5 to 8 bar on rods of 11 to 12.5 mm ask for."""

UNKNOWN, UNKNOWN_OFF = 90.0, 90.0
"""Push [N] of a damper of which nobody says how it is built: from none up to that of a soft monotube; one of high pressure pushes more."""


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
    return Worth(push, (TWIN_OFF if built == "twin_tube" else OFF) * push, "a usual pressure on the area of its rod")


RULES = (
    Rule(
        "{axle}.dampers.{name}.gas_force", "push of the gas", "force", "a usual push, as nobody says how it is built", value,
        "dampers with gas; one without has none: write 0 N; a monotube of high pressure pushes by up to 270 N: say how it is built",
        "pressure times area of the rod; pressures: Dixon, The Shock Absorber Handbook, from memory, and common practice, no source", "dampers.md",
    ),
)  # fmt: skip
