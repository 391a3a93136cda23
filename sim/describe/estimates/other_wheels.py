"""How much heavier the wheels of another tyre size are than those on which a truck was weighed."""

from collections.abc import Mapping
from typing import Any

from sim.describe.estimates.estimate import Estimate
from sim.describe.estimates.housing_mass import wheel_mass
from sim.describe.estimates.truck import AXLES, Truck

KEY = "heavier_by"

OFF = 0.5
"""How far off it may be, as a share: tyres of one size differ by as much from maker to maker, and rims of steel and alloy do too (common
practice, no source)."""

LEAST = 0.5
"""Difference [kg] below which nothing is written: the rule for a wheel's mass knows no less."""


def heavier_wheels(before: Mapping[str, Any], after: Mapping[str, Any], axle: str) -> Estimate | None:
    """Return what another tyre size adds to each wheel of an axle; None if the size is the same, or next to nothing comes of it.

    Parameters
    ----------
    before, after : mapping
        A truck as measured, its gaps filled, and the same with a set-up's changes in it.
    axle : str
        "front" or "rear".

    Returns
    -------
    Estimate or None
        Of `{axle}.tyre.heavier_by`: against the wheels with which the truck was weighed, so with what `before` has of it already.
    """
    was, now = Truck(before), Truck(after)
    # What was weighed with the truck is in its axle's mass; a set-up that comes from another has that one's wheels to begin with.
    more = wheel_mass(now, axle) - wheel_mass(was, axle) + (was.si("mass", axle, "tyre", KEY) or 0.0)
    if abs(more) < LEAST:
        return None
    half = OFF * abs(more)
    return Estimate(
        f"{axle}.tyre.{KEY}", f"{axle} how much heavier each wheel is", "mass", more, half, now.written(more, half, "mass", False),
        "its size and that of the tyres on which the truck was weighed, on a like rim",
        "steel wheels with tyres of usual build", "common practice, no source; catalogue masses, from memory", "unsprung-mass.md",
    )  # fmt: skip


def may_follow(path: tuple[str | int, ...]) -> bool:
    """Tell whether a change at a path brings another size of tyre."""
    return len(path) == 3 and path[0] in AXLES and path[1] == "tyre" and path[2] in ("size", "outside_diameter")
