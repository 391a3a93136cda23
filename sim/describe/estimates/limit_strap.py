"""Limit straps of an axle whose springs would let it hang on its dampers: taut before these are fully out."""

from collections.abc import Iterator

from sim.describe.doubt import GUESS
from sim.describe.estimates.damper_length import ROOM
from sim.describe.estimates.damper_mounts import length_at_ride, motion_ratio
from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.shape import has_part
from sim.describe.estimates.truck import GRAVITY, Truck
from sim.describe.estimates.valving import wheel_rate
from sim.describe.estimates.weights import axle_load, centre_height

SPAN, LOWER = 0.33, 0.02
"""Length of a strap's way at ride and its lower end above the axle's centre [m]: where it hangs decides little."""

A_FOOT = 1.0 / 12.0
"""Stretch of a strap under its wheel's standing load as a share of its length: an inch a foot, 8 %; common practice, no source. Slings of
woven nylon are said to stretch by 8 to 10 % at a fifth of what breaks them (from memory, no source at hand). Webbing of seat belts may stretch by
20, 30 and 40 % at most under 2500 lbf and has to bear 6000, 5000 and 4000 lbf (49 CFR 571.209, from memory): straight down to a fifth of that
10, 12 and 13 % at most: limits, within which this has to stay. Lashings of polyester stretch by 7 % at most at all that they are rated for
(EN 12195-2, from memory), and so by less under a wheel."""

OFF, LENGTH_OFF, DROOP = 0.5, 0.008, 0.10


def _fitted(truck: Truck, at: Where) -> bool:
    """Tell whether the axle has straps: somebody says so, or its springs would let it hang past its dampers."""
    if not has_part(truck, at.axle, "strap"):
        return False
    if truck.at(at.axle, "strap") or not any(
        spring.get("kind") == "leaf_pack" for _, spring in truck.named(at.axle, "springs")
    ):
        return True
    hangs = axle_load(truck, at.axle).value * GRAVITY / wheel_rate(truck, at.axle)
    return hangs > min((whole for whole, _ in _of_dampers(truck, at)), default=DROOP)


def _room(truck: Truck, at: Where) -> float:
    """Return the droop until the straps are taut that dampers allow [m]; DROOP without dampers.

    Stretched by an inch a foot the straps must still stop the axle before the first damper is fully out, and they are taut at least ROOM
    before: of the dampers' own droop d, s = d - max(ROOM, (SPAN + s) / 12).
    """
    drops = [
        min(whole - ROOM / ratio, (whole - A_FOOT * SPAN) / (1.0 + A_FOOT)) for whole, ratio in _of_dampers(truck, at)
    ]
    return max(min(drops, default=DROOP), 0.02)


def _of_dampers(truck: Truck, at: Where) -> Iterator[tuple[float, float]]:
    """Yield of each damper set how far the axle drops until it is fully out [m], and its motion ratio."""
    for name, _ in truck.named(at.axle, "dampers"):
        long = truck.known("length", at.axle, "dampers", name, "length_extended")
        ratio = motion_ratio(truck, at.axle, name)
        yield (long - length_at_ride(truck, at.axle, name)) / ratio, ratio


def length(truck: Truck, at: Where) -> Worth | None:
    """Return the length just taut [m]: by its own stretch before the first of the dampers is fully out."""
    if not _fitted(truck, at):
        return None
    return Worth(SPAN + _room(truck, at), LENGTH_OFF)


def rate(truck: Truck, at: Where) -> Worth | None:
    """Return the rate of one strap [N/m]."""
    if not _fitted(truck, at):
        return None
    each = axle_load(truck, at.axle).value * GRAVITY / truck.count(at.axle, "strap", "count")
    value = each / (A_FOOT * truck.known("length", at.axle, "strap", "length"))
    return Worth(value, OFF * value)


def behind(truck: Truck, at: Where) -> Worth | None:
    """Return how far the upper end is behind the front axle [m]."""
    return Worth(truck.behind(at.axle), 0.0) if _fitted(truck, at) else None


def up(truck: Truck, at: Where) -> Worth | None:
    """Return the height of the upper end [m]."""
    return Worth(centre_height(truck, at.axle) + LOWER + SPAN, 0.0) if _fitted(truck, at) else None


def ahead(truck: Truck, at: Where) -> Worth | None:
    """Return how far the lower end is ahead of the axle's centre [m]."""
    return Worth(0.0, 0.0) if _fitted(truck, at) else None


def lower(truck: Truck, at: Where) -> Worth | None:
    """Return how far the lower end is above the axle's centre [m]."""
    return Worth(LOWER, 0.0) if _fitted(truck, at) else None


SOURCE, PAGE = GUESS, "stops-and-straps.md"
REACH = "trucks that have straps; without them write strap: none, and the dampers hold the hanging axle"

RULES = (
    Rule("{axle}.strap.axle.ahead", "lower end of the strap, ahead of the axle", "length", "over the axle", ahead, REACH, SOURCE, PAGE),
    Rule("{axle}.strap.axle.above", "lower end of the strap, above the axle", "length", "on the axle's tube", lower, REACH, SOURCE, PAGE),
    Rule("{axle}.strap.body.behind_front_axle", "upper end of the strap, along the truck", "length", "over the axle", behind, REACH, SOURCE, PAGE),
    Rule("{axle}.strap.body.above_ground", "upper end of the strap, above the ground", "length", "330 mm (13 in) over the lower end", up, REACH, SOURCE, PAGE),
    Rule("{axle}.strap.length", "length of the limit strap", "length", "the dampers' lengths: stretched by an inch a foot it still stops the axle before they are fully out, taut 19 mm (3/4 in) before that at least", length, REACH, SOURCE, PAGE),
    Rule("{axle}.strap.rate", "rate of the limit strap", "stiffness", "its length and the wheel's load: an inch of stretch a foot", rate, "straps of woven nylon; polyester stretches less", SOURCE, PAGE),
)  # fmt: skip
