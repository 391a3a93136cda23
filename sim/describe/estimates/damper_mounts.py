"""Mounts of a damper, where they follow from its lengths: half of its stroke left each way at ride, leaned as usual."""

from math import sqrt

from sim.describe.doubt import GUESS
from sim.describe.estimates.damper_length import ROOM
from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.truck import Truck, half_of
from sim.describe.estimates.weights import centre_height

LEAN, LEAN_OFF = 0.17, 0.08
"""Lean each way, in side view and from behind, as a share of the damper's length (10 deg); common practice, no source."""

STROKE_IN = 0.5
"""Share of the stroke that is left inwards at ride; common practice, no source."""

LOWER, LOWER_OFF = 0.05, 0.05
"""Lower mount to the truck's middle from the axle's centre [m], and how far off that may be; common practice, no source."""

OF_TAPED = "its length eye to eye at ride"
"""What an upper mount is computed from where somebody has taped that."""

OFF_STROKE, OFF_TAPED = 0.10, 0.005
"""How far off the upper mount's height may be: as a share of the stroke, and [m] where the damper was taped as it stands, which a tape does to
2 mm and both sides of a truck differ by; common practice, no source. In draws it is the length that is off so far, wherever guessed mounts are
(`sim.study.doubt.taped`)."""


def length_at_ride(truck: Truck, axle: str, name: str) -> float:
    """Return a damper's length eye to eye where the truck stands [m]: as taped, by its mounts, or within its stroke."""
    place = axle, "dampers", name
    taped = truck.si("length", *place, "length_at_ride")
    if taped is not None:
        return taped
    both = [truck.si("length", *place, "body", key) for key in ("behind_front_axle", "above_ground")]
    own = [truck.si("length", *place, "axle", key) for key in ("ahead", "above")]
    if None not in both and None not in own:
        across = truck.si("length", *place, "lean_inward") or 0.0
        along = both[0] - truck.behind(axle) + own[0]  # type: ignore[operator]
        return sqrt(along**2 + (both[1] - centre_height(truck, axle) - own[1]) ** 2 + across**2)  # type: ignore[operator]
    short, long = (truck.known("length", *place, key) for key in ("length_collapsed", "length_extended"))
    gap = truck.si("length", axle, "stop", "gap")
    if gap is not None:  # a taped gap says how far in it goes
        squeeze = truck.si("length", axle, "stop", "squeeze") or 0.04
        return min(short + ROOM + gap + squeeze, short + 0.8 * (long - short))
    return short + STROKE_IN * (long - short)


def motion_ratio(truck: Truck, axle: str, name: str) -> float:
    """Return how far a damper shortens as its axle rises, per length, at ride, at least 0.2."""
    place = axle, "dampers", name
    along = truck.known("length", *place, "body", "behind_front_axle") - truck.behind(axle)
    ahead, above = (truck.known("length", *place, "axle", key) for key in ("ahead", "above"))
    dx = -along - ahead  # from the lower to the upper mount, forwards
    dz = truck.known("length", *place, "body", "above_ground") - centre_height(truck, axle) - above
    length = sqrt(dx**2 + dz**2 + (truck.si("length", *place, "lean_inward") or 0.0) ** 2)
    forward, up = 0.0, 1.0  # how the lower mount moves as its axle rises
    if truck.word(axle, "guide", "kind") == "arm":
        # Axle and arm are one: a mount on the far side of the axle from the pivot moves more than the wheel.
        pivot = truck.known("length", axle, "guide", "pivot", "behind_front_axle") - truck.behind(axle)
        rise = truck.known("length", axle, "guide", "pivot", "above_ground") - centre_height(truck, axle)
        if abs(pivot) > 0.1:
            forward, up = (rise - above) / pivot, (ahead + pivot) / pivot
    return max((dx * forward + dz * up) / length, 0.2) if length > 0.0 else 1.0


def ahead(truck: Truck, at: Where) -> Worth:
    """Return how far the lower mount is ahead of the axle's centre [m]."""
    return Worth(-LOWER if at.axle == "front" else LOWER, LOWER_OFF)


def above(truck: Truck, at: Where) -> Worth:
    """Return how far the lower mount is above the axle's centre [m]."""
    return Worth(0.0, 0.0)


def across(truck: Truck, at: Where) -> Worth:
    """Return the distance across between the mounts [m]."""
    length = length_at_ride(truck, at.axle, at.name)
    level = _level(truck, at)
    # Of a damper whose length and mounts' height were taped no more than its level part can lean, across and along alike.
    lean = LEAN * length if level is None else min(LEAN * length, level / sqrt(2.0))
    return Worth(lean, LEAN_OFF * length)


def behind(truck: Truck, at: Where) -> Worth:
    """Return how far the upper mount is behind the front axle [m]: its top leans to the middle of the truck."""
    place = at.axle, "dampers", at.name
    length = length_at_ride(truck, at.axle, at.name)
    lower = truck.behind(at.axle) - truck.known("length", *place, "axle", "ahead")
    level = _level(truck, at)
    if level is not None:
        along = sqrt(max(level**2 - (truck.si("length", *place, "lean_inward") or 0.0) ** 2, 0.0))
        return Worth(lower + (along if at.axle == "front" else -along), LEAN_OFF * length, OF_TAPED)
    return Worth(lower + (LEAN if at.axle == "front" else -LEAN) * length, LEAN_OFF * length)


def _level(truck: Truck, at: Where) -> float | None:
    """Return the level distance between both mounts [m] of a damper whose length and upper mount's height were taped; else None."""
    place = at.axle, "dampers", at.name
    taped, height = truck.si("length", *place, "length_at_ride"), truck.si("length", *place, "body", "above_ground")
    if taped is None or height is None:
        return None
    rise = height - centre_height(truck, at.axle) - truck.known("length", *place, "axle", "above")
    return sqrt(max(taped**2 - rise**2, 0.0))


def up(truck: Truck, at: Where) -> Worth:
    """Return the height of the upper mount [m], so that the damper has its length at ride."""
    place = at.axle, "dampers", at.name
    length = length_at_ride(truck, at.axle, at.name)
    side = truck.si("length", *place, "lean_inward") or 0.0
    along = (
        truck.known("length", *place, "body", "behind_front_axle")
        - truck.behind(at.axle)
        + truck.known("length", *place, "axle", "ahead")
    )
    rise = sqrt(max(length**2 - side**2 - along**2, (0.5 * length) ** 2))
    value = centre_height(truck, at.axle) + truck.known("length", *place, "axle", "above") + rise
    taped = truck.si("length", *place, "length_at_ride")
    if taped is not None:
        return Worth(value, half_of(taped) or OFF_TAPED, OF_TAPED)
    stroke = truck.known("length", *place, "length_extended") - truck.known("length", *place, "length_collapsed")
    return Worth(value, OFF_STROKE * max(stroke, 0.05))


SOURCE, REACH = GUESS, "dampers between frame and axle"

RULES = (
    Rule("{axle}.dampers.{name}.axle.ahead", "lower mount, ahead of the axle's centre", "length", "50 mm (2 in) to the truck's middle", ahead, REACH, SOURCE, "dampers.md"),
    Rule("{axle}.dampers.{name}.axle.above", "lower mount, above the axle's centre", "length", "level with the axle", above, REACH, SOURCE, "dampers.md"),
    Rule("{axle}.dampers.{name}.lean_inward", "distance across between the mounts", "length", "a lean of 10 deg seen from behind", across, REACH, SOURCE, "dampers.md"),
    Rule("{axle}.dampers.{name}.body.behind_front_axle", "upper mount, along the truck", "length", "a lean of 10 deg to the truck's middle", behind, REACH, SOURCE, "dampers.md"),
    Rule("{axle}.dampers.{name}.body.above_ground", "upper mount, above the ground", "length", "half of the stroke left each way at ride", up, REACH, SOURCE, "dampers.md"),
)  # fmt: skip
