"""Length of a tyre's contact patch, from how far it gives under its load."""

from math import sqrt

from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.truck import GRAVITY, Truck
from sim.describe.estimates.weights import axle_load

SHARE, OFF = 1.0 / sqrt(2.0), 0.35
"""A tyre's side walls give as much as its belt, so its patch is the chord of half of the give (G. Rill, Road Vehicle Dynamics, 2011, ch. 3,
from memory): 0.71 of that of the whole. Two published forms for one and the same tyre are 21 % apart and 10 and 28 % below this, and a
truck's tyre on a bridge 30 % above it (docs/measure/tyre.md): so the spread."""


def value(truck: Truck, at: Where) -> Worth:
    """Return the length [m]: the chord 2 sqrt(2 r d - d²) of radius r at a give d, times SHARE."""
    radius = truck.known("length", at.axle, "tyre", "radius")
    each = axle_load(truck, at.axle).value * GRAVITY / truck.count(at.axle, "tyre", "count")
    give = min(each / truck.known("stiffness", at.axle, "tyre", "rate"), 0.4 * radius)
    length = SHARE * 2.0 * sqrt(give * (2.0 * radius - give))
    return Worth(length, OFF * length)


RULES = (
    Rule(
        "{axle}.tyre.contact_length", "length of the contact patch", "length", "its radius, load and rate", value,
        "tyres at their working pressure; at a pressure let down for sand it is longer", "geometry; half of the give is the belt's: G. Rill, Road Vehicle Dynamics, 2011, from memory",
        "tyre.md",
    ),
)  # fmt: skip
