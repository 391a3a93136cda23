"""Damping of a tyre, as a share of what would keep its axle from swinging on it."""

from math import sqrt

from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.truck import Truck

RATIO, OFF = 0.03, 0.6
"""Damping ratio of the axle on its tyres by the tyres alone, 0.02 to 0.05, and how far off it may be as a share; from memory, no source."""


def value(truck: Truck, at: Where) -> Worth:
    """Return the damping of one tyre [N s/m]: 2 ratio sqrt(rate x its share of the axle's mass)."""
    rate = truck.known("stiffness", at.axle, "tyre", "rate")
    mass = truck.known("mass", at.axle, "housing", "mass") / truck.count(at.axle, "tyre", "count")
    damping = 2.0 * RATIO * sqrt(rate * mass)
    return Worth(damping, OFF * damping)


RULES = (
    Rule(
        "{axle}.tyre.damping", "damping of the tyre", "damping", "its rate and the axle's mass, at a damping ratio of 0.03", value,
        "a rolling tyre has less than one that stands", "0.02 to 0.05 of wheel hop, 50 to 500 N s/m: from memory, no source", "tyre.md",
    ),
)  # fmt: skip
