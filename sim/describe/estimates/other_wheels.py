"""How much heavier the wheels of another tyre size are than those on which a truck was weighed, and how much harder to spin up."""

from collections.abc import Mapping
from math import hypot
from typing import Any

from sim.describe.estimates.estimate import Estimate
from sim.describe.estimates.housing_mass import wheel_mass
from sim.describe.estimates.truck import AXLES, Truck, half_of
from sim.describe.estimates.tyres import tyre

KEY, SPIN = "heavier_by", "spin_inertia"

OFF = 0.5
"""How far off it may be, as a share: tyres of one size differ by as much from maker to maker, and rims of steel and alloy do too (common
practice, no source)."""

BY_MAKER = 0.05
"""How far off another wheel is at least, as a share of it: where sizes differ by little, makers differ by more (common practice, no source)."""

LEAST = 0.5
"""Difference [kg] below which nothing is written: the rule for a wheel's mass knows no less."""


def another_size(before: Mapping[str, Any], after: Mapping[str, Any], axle: str) -> bool:
    """Tell whether an axle has tyres of another size after a set-up's changes than before; both as in `heavier_wheels`."""
    was, now = (tyre(Truck(one), axle).size for one in (before, after))
    return was != now


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
    mass = wheel_mass(now, axle)
    more = mass - wheel_mass(was, axle) + (was.si("mass", axle, "tyre", KEY) or 0.0)
    if abs(more) < LEAST:
        return None
    half = max(OFF * abs(more), BY_MAKER * mass)
    return Estimate(
        f"{axle}.tyre.{KEY}", f"{axle} how much heavier each wheel is", "mass", more, half, now.written(more, half, "mass", False),
        "its size and that of the tyres on which the truck was weighed, on a like rim",
        "steel wheels with tyres of usual build", "common practice, no source; catalogue masses, from memory", "unsprung-mass.md",
    )  # fmt: skip


def wheels_against_spin(
    before: Mapping[str, Any], after: Mapping[str, Any], axle: str, weighed: bool
) -> Estimate | None:
    """Return the spin inertia of each wheel of an axle with another tyre size; None if the size is the same, or the truck has none to begin with.

    A wheel's is its mass times the square of three quarters of its radius (docs/launches-and-stops.md), so that what the file gives
    grows as mass times radius squared does, whatever share of the radius is the right one for these wheels.

    Parameters
    ----------
    before, after : mapping
        As in `heavier_wheels`.
    axle : str
        "front" or "rear".
    weighed : bool
        Whether the set-up itself says how much heavier its wheels are.

    Returns
    -------
    Estimate or None
        Of `{axle}.tyre.spin_inertia`.
    """
    was, now = Truck(before), Truck(after)
    given = was.si("inertia", axle, "tyre", SPIN)
    sizes = [tyre(one, axle).size for one in (was, now)]
    mass = wheel_mass(was, axle)
    heavier = wheel_mass(now, axle)
    if weighed:
        heavier = mass + (now.si("mass", axle, "tyre", KEY) or 0.0) - (was.si("mass", axle, "tyre", KEY) or 0.0)
    if given is None or sizes[0] == sizes[1] or heavier <= 0.0:
        return None
    ratio = heavier / mass * (sizes[1].diameter / sizes[0].diameter) ** 2
    value = ratio * given
    half = hypot(max(OFF * abs(value - given), BY_MAKER * value), ratio * half_of(given))
    return Estimate(
        f"{axle}.tyre.{SPIN}", f"{axle} spin inertia of each wheel", "inertia", value, half, now.written(value, half, "inertia", False),
        "that of the wheels before, by mass times radius squared of both sizes",
        "wheels of usual build on a like rim", "mass and radius by any textbook of mechanics; masses: common practice, no source", "unsprung-mass.md",
    )  # fmt: skip


def may_follow(path: tuple[str | int, ...]) -> bool:
    """Tell whether a change at a path brings another size of tyre."""
    if path[:1] not in [(axle,) for axle in AXLES] or path[1:2] != ("tyre",):
        return False
    return len(path) == 2 or (len(path) == 3 and path[2] in ("size", "outside_diameter"))
