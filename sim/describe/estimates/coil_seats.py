"""Seats of a coil: upright over the axle, as long as its own length at ride asks where that is known."""

from sim.describe.doubt import GUESS
from sim.describe.estimates.damper_mounts import motion_ratio
from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.truck import GRAVITY, Truck
from sim.describe.estimates.weights import centre_height, sprung_on

LOWER, LENGTH = 0.09, 0.30
"""Lower seat above the axle's centre, and length of a coil at ride height [m]; common practice, no source. How long it is decides little:
its free length follows from the height at which the truck stands."""

OF_COIL = "its length as the truck stands"
"""What an upper seat is computed from where somebody has taped that."""


def _coil(truck: Truck, at: Where) -> bool:
    return truck.word(at.axle, "springs", at.name, "kind") == "coil"


def behind(truck: Truck, at: Where) -> Worth | None:
    """Return how far the upper seat is behind the front axle [m]: over the lower one."""
    if not _coil(truck, at):
        return None
    return Worth(truck.behind(at.axle) - (truck.si("length", at.axle, "springs", at.name, "axle", "ahead") or 0.0), 0.0)


def ahead(truck: Truck, at: Where) -> Worth | None:
    """Return how far the lower seat is ahead of the axle's centre [m]."""
    return Worth(0.0, 0.0) if _coil(truck, at) else None


def lower(truck: Truck, at: Where) -> Worth | None:
    """Return how far the lower seat is above the axle's centre [m]."""
    return Worth(LOWER, 0.0) if _coil(truck, at) else None


def upper(truck: Truck, at: Where) -> Worth | None:
    """Return the height of the upper seat above the ground [m]."""
    if not _coil(truck, at):
        return None
    place = at.axle, "springs", at.name
    free, rate, taped = (
        truck.si("length", *place, "free_length"),
        truck.si("stiffness", *place, "rate"),
        truck.si("length", *place, "length_at_ride"),
    )
    length, of = LENGTH, ""
    if taped is not None:
        length, of = taped, OF_COIL
    elif free is not None and rate is not None:
        each = (sprung_on(truck, at.axle) * GRAVITY - gas(truck, at.axle)) / truck.count(*place, "count")
        length, of = max(free - each / rate, 0.1), "its free length less what it gives under its load"
    spacer = truck.si("length", *place, "spacer") or 0.0
    return Worth(
        centre_height(truck, at.axle) + truck.known("length", *place, "axle", "above") + length + spacer, 0.0, of
    )


def gas(truck: Truck, axle: str) -> float:
    """Return how much of an axle's load the gas of its dampers carries [N]."""
    return sum(
        truck.count(axle, "dampers", name, "count")
        * (truck.si("force", axle, "dampers", name, "gas_force") or 0.0)
        * motion_ratio(truck, axle, name)
        for name, _ in truck.named(axle, "dampers")
    )


SOURCE, REACH = GUESS, "coils upright over the axle"

RULES = (
    Rule("{axle}.springs.{name}.axle.ahead", "lower seat of the coil, ahead of the axle", "length", "coils over the axle", ahead, REACH, SOURCE, "spring-rate.md"),
    Rule("{axle}.springs.{name}.axle.above", "lower seat of the coil, above the axle", "length", "a usual seat", lower, REACH, SOURCE, "spring-rate.md"),
    Rule("{axle}.springs.{name}.body.behind_front_axle", "upper seat of the coil, along the truck", "length", "over the lower seat", behind, REACH, SOURCE, "spring-rate.md"),
    Rule("{axle}.springs.{name}.body.above_ground", "upper seat of the coil, above the ground", "length", "a usual length at ride, 300 mm (12 in)", upper, REACH, SOURCE, "spring-rate.md"),
)  # fmt: skip
