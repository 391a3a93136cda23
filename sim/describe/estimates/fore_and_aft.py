"""How an axle gives along the truck, on eyes, shackles and bushes."""

from math import sqrt

from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.truck import Truck

ARMS, LEAVES, OFF = 3.0e6, 2.4e6, 0.5
"""Rate [N/m] of a whole axle on arms and on leaf packs; common practice, no source."""

RATIO, RATIO_OFF = 0.05, 0.6
"""Damping ratio of the axle along the truck by its bushes. Two values of rubber, both from memory: 0.02 to 0.03 of plain natural rubber (Naeim and
Kelly, Design of Seismic Isolated Structures), 0.06 at most of rubber that counts as lowly damped (EN 15129)."""


def rate(truck: Truck, at: Where) -> Worth:
    """Return the rate along the truck [N/m]."""
    value = LEAVES if truck.word(at.axle, "guide", "kind") == "leaf" else ARMS
    return Worth(value, OFF * value)


def damping(truck: Truck, at: Where) -> Worth:
    """Return the damping along the truck [N s/m]."""
    stiff = truck.known("stiffness", at.axle, "fore_and_aft", "rate")
    value = 2.0 * RATIO * sqrt(stiff * truck.known("mass", at.axle, "housing", "mass"))
    return Worth(value, RATIO_OFF * value)


RULES = (
    Rule(
        "{axle}.fore_and_aft.rate", "rate along the truck", "stiffness", "a usual rate of its guide", rate, "rubber bushes",
        "common practice, no source", "arms-and-leaves.md",
    ),
    Rule(
        "{axle}.fore_and_aft.damping", "damping along the truck", "damping", "its rate and the axle's mass, at a damping ratio of 0.05", damping,
        "rubber bushes", "two values of rubber, Naeim and Kelly, and EN 15129, from memory; else common practice, no source", "arms-and-leaves.md",
    ),
)  # fmt: skip
