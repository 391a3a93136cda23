"""Wheelbase of a truck on which nobody has laid a tape yet."""

from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.truck import Truck

USUAL, OFF = 2.55, 0.35
"""Of old 4x4s from the short to the long [m]; common practice, no source; published cars lie within it (docs/measure/README.md)."""


def value(truck: Truck, at: Where) -> Worth:
    """Return the wheelbase [m]."""
    return Worth(USUAL, OFF)


RULES = (
    Rule("wheelbase", "wheelbase", "length", "a usual truck, as nobody has taped it", value, "old solid-axle 4x4s", "common practice, no source", "weights.md"),
)  # fmt: skip
