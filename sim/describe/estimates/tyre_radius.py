"""Outer radius of a tyre: half of what is taped or stands on its wall."""

from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.truck import GRAVITY, Truck
from sim.describe.estimates.tyre_rate import rate_of
from sim.describe.estimates.tyres import measured_half, tyre
from sim.describe.estimates.weights import axle_load

OFF_WALL, OFF_USUAL = 0.02, 0.08
"""How far off a radius may be as a share: by size, as makes differ and tread wears; and by a usual size."""


def value(truck: Truck, at: Where) -> Worth:
    """Return the radius [m]."""
    one = tyre(truck, at.axle)
    diameter = truck.si("length", at.axle, "tyre", "outside_diameter")
    if diameter is not None:
        return Worth(
            0.5 * diameter,
            0.5 * measured_half(truck, at.axle, "outside_diameter", 0.006),
            "half of its outside diameter",
        )
    height = truck.si("length", at.axle, "axle_height")
    if height is not None:
        each = axle_load(truck, at.axle).value * GRAVITY / truck.count(at.axle, "tyre", "count")
        rate = truck.si("stiffness", at.axle, "tyre", "rate") or rate_of(one.size, one.pressure)
        return Worth(height + each / rate, 0.01, "height of the axle's centre and what the tyre gives under its load")
    return Worth(0.5 * one.size.diameter, (OFF_WALL if one.size_known else OFF_USUAL) * 0.5 * one.size.diameter, one.of)


RULES = (
    Rule(
        "{axle}.tyre.radius", "radius of the tyre", "length", "half of its diameter", value,
        "any tyre; a wall's size is off by up to 2 % between makes and by wear",
        "by size as ISO 4000-1 has it; spread: common practice, no source", "tyre.md",
    ),
)  # fmt: skip
