"""Friction of a damper's seal."""

from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.truck import Truck

FRICTION, OFF = 30.0, 0.85
"""Of one, either way [N], and how far off it may be as a share: a national standard of components lets pass up to 55 N (one value, a limit,
by a public summary of it); the rest common practice, no source."""


def value(truck: Truck, at: Where) -> Worth | None:
    """Return the friction of one seal [N]; nothing where a test or valves bring their own."""
    if truck.word(at.axle, "dampers", at.name, "valving", "kind") in ("valves", "measured"):
        return None
    return Worth(FRICTION, OFF * FRICTION)


RULES = (
    Rule(
        "{axle}.dampers.{name}.seal_friction", "friction of the damper's seal", "force", "a usual friction", value, "dampers that are worked in",
        "one value, 55 N, the limit of a national standard; else common practice, no source", "dampers.md",
    ),
)  # fmt: skip
