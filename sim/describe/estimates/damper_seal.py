"""Friction of a damper's seal."""

from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.truck import Truck

FRICTION, OFF = 30.0, 0.6
"""Of one, either way [N], and how far off it may be as a share: test sheets let pass up to 55 N (trade figure); common practice, no source."""


def value(truck: Truck, at: Where) -> Worth | None:
    """Return the friction of one seal [N]; nothing where a test or valves bring their own."""
    if truck.word(at.axle, "dampers", at.name, "valving", "kind") in ("valves", "measured"):
        return None
    return Worth(FRICTION, OFF * FRICTION)


RULES = (
    Rule(
        "{axle}.dampers.{name}.seal_friction", "friction of the damper's seal", "force", "a usual friction", value, "dampers that are worked in",
        "common practice, no source", "dampers.md",
    ),
)  # fmt: skip
