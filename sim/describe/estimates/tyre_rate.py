"""Vertical rate of a tyre, from its size and pressure, or from two loads on jack and scale."""

from math import hypot

from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.truck import GRAVITY, Truck, read_si
from sim.describe.estimates.tyre_size import TyreSize
from sim.describe.estimates.tyres import PRESSURE_OFF, tyre
from sim.describe.parts.tyre_pressure import radial_rate

OFF, OFF_DIAMETER, OFF_JACKED = 0.20, 0.27, 0.10
"""How far off it may be as a share: by size, by a diameter alone, by two loads on jack and scale; common practice, no source."""


def rate_of(size: TyreSize, pressure: float) -> float:
    """Return the vertical rate [N/m] of a belted radial of a size at a pressure [Pa] (`sim.describe.parts.tyre_pressure`)."""
    return radial_rate(pressure, size.width, size.aspect, size.rim)


def jacked_rate(loads: tuple[float, float], heights: tuple[float, float]) -> float:
    """Return the rate [N/m] by two loads of one wheel [N], or [N/m] over gravity by two masses, and the height of its axle under each [m]."""
    return (loads[1] - loads[0]) / (heights[0] - heights[1])


def jacked(truck: Truck, axle: str) -> float | None:
    """Return the rate by two loads [N/m]; None if nobody took them, or they are not understood."""
    written = truck.at(axle, "tyre", "jacked")
    if not isinstance(written, dict):
        return None
    both, heights = written.get("load"), written.get("height")
    if (
        not isinstance(both, list | tuple)
        or not isinstance(heights, list | tuple)
        or len(both) != 2
        or len(heights) != 2
    ):
        return None
    loads = [read_si(one, "mass") for one in both]
    ups = [read_si(one, "length") for one in heights]
    if None in loads or None in ups or ups[0] == ups[1]:
        return None
    rate = GRAVITY * jacked_rate((loads[0], loads[1]), (ups[0], ups[1]))  # type: ignore[arg-type]
    return rate if rate > 0.0 else None


def value(truck: Truck, at: Where) -> Worth:
    """Return the rate of one tyre [N/m]."""
    tested = jacked(truck, at.axle)
    if tested is not None:
        return Worth(
            tested, OFF_JACKED * tested, "two loads on jack and scale", "arithmetic; spread: common practice, no source"
        )
    one = tyre(truck, at.axle)
    rate = rate_of(one.size, one.pressure)
    off = OFF if one.on_wall else OFF_DIAMETER
    # The rate goes nearly in proportion to pressure.
    off = off if one.pressure_given else hypot(off, PRESSURE_OFF)
    return Worth(rate, off * rate, f"{one.of} and {one.pressure_of}")


RULES = (
    Rule(
        "{axle}.tyre.rate", "rate of the tyre", "stiffness", "its size and pressure", value,
        "belted radials of cars and light trucks at 1.5 to 4.5 bar (22 to 65 psi); a crossply is stiffer",
        "T. B. Rhyne, Tire Science and Technology 33 (3), 2005, from memory", "tyre.md",
    ),
)  # fmt: skip
