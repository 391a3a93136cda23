"""Gap, squeeze and rates of a bump stop: as the dampers' lengths and the wheel's load ask."""

from sim.describe.estimates.damper_length import ROOM
from sim.describe.estimates.damper_mounts import length_at_ride, motion_ratio
from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.shape import has_part
from sim.describe.estimates.truck import GRAVITY, Truck
from sim.describe.estimates.weights import axle_load

OF_HEIGHT, OF_HEIGHT_OFF = 0.40, 0.25
"""Squeeze of a rubber stop as a share of its free height, 30 to 50 %: travel counts until a stop is pressed to 2/3 or 1/2 of its free height (Wang,
Automobile Design, from memory), two values of one source."""

BY_HEIGHT = "40 % of its free height"
"""What the squeeze of a stop comes from whose height was measured."""

SQUEEZE, SQUEEZE_OFF = 0.04, 0.3
"""Squeeze [m] of a stop of which nothing is known; common practice, no source."""

WANG = "one source, Wang, Automobile Design, from memory; else common practice, no source"

LOADS = 2.0
"""Force of a stop fully squeezed, in standing loads of its wheel; common practice, no source."""

STIFFENS, OFF = 5.0, 0.55
"""Rate fully squeezed over that at first touch. Rubber under a force F has F = A E/3 (1/λ² - λ) at a height of λ times that without load (L. R. G. Treloar, The
Physics of Rubber Elasticity, from memory): cylinders and cones that are squeezed by 30, 40 and 50 % are 2.3 to 7.6 times as stiff then
(tests/describe/estimates/test_rubber.py). How stiff at all, `LOADS` has."""

GAP, LEAST, MOST, GAP_OFF = 0.08, 0.02, 0.30, 0.008
"""Gap [m] without dampers to judge by, least and greatest gap, and how far off one may be that the dampers' lengths ask for. With a squeeze of 40 mm
the first is within the travel of 70 to 130 mm of off-road vehicles at full load (Wang, Automobile Design, from memory), one value."""


def squeeze(truck: Truck, at: Where) -> Worth | None:
    """Return the travel from touch to solid [m]."""
    if not has_part(truck, at.axle, "stop"):
        return None
    height = truck.si("length", at.axle, "stop", "height")
    if height is not None:
        return Worth(OF_HEIGHT * height, OF_HEIGHT_OFF * OF_HEIGHT * height, BY_HEIGHT, WANG)
    return Worth(SQUEEZE, SQUEEZE_OFF * SQUEEZE)


def gap(truck: Truck, at: Where) -> Worth | None:
    """Return the travel until the axle touches [m]: solid 19 mm before the first of the dampers is."""
    if not has_part(truck, at.axle, "stop"):
        return None
    rooms = []
    for name, _ in truck.named(at.axle, "dampers"):
        short = truck.known("length", at.axle, "dampers", name, "length_collapsed")
        rooms.append((length_at_ride(truck, at.axle, name) - short - ROOM) / motion_ratio(truck, at.axle, name))
    if not rooms:
        return Worth(GAP, 0.3 * GAP, "a usual gap", WANG)
    return Worth(min(max(min(rooms) - truck.known("length", at.axle, "stop", "squeeze"), LEAST), MOST), GAP_OFF)


def rate_first(truck: Truck, at: Where) -> Worth | None:
    """Return the rate of one stop at first touch [N/m]: k p + k₃ p³ is LOADS of the wheel at full squeeze p."""
    if not has_part(truck, at.axle, "stop"):
        return None
    each = axle_load(truck, at.axle).value * GRAVITY / truck.count(at.axle, "stop", "count")
    # With the full rate STIFFENS times the first, k₃ p² is (STIFFENS - 1) k / 3.
    rate = LOADS * each / (truck.known("length", at.axle, "stop", "squeeze") * (1.0 + (STIFFENS - 1.0) / 3.0))
    full = truck.si("stiffness", at.axle, "stop", "rate_full")
    rate = rate if full is None else min(rate, full / STIFFENS)
    return Worth(rate, OFF * rate)


def rate_full(truck: Truck, at: Where) -> Worth | None:
    """Return the rate of one stop fully squeezed [N/m]."""
    if not has_part(truck, at.axle, "stop"):
        return None
    rate = STIFFENS * truck.known("stiffness", at.axle, "stop", "rate_first")
    return Worth(rate, OFF * rate)


SOURCE, PAGE = "common practice, no source", "stops-and-straps.md"
TRELOAR = "rubber blocks by Treloar, The Physics of Rubber Elasticity, from memory; how stiff at all: common practice, no source"

RULES = (
    Rule("{axle}.stop.squeeze", "squeeze of the bump stop", "length", "a usual stop", squeeze, "rubber stops; foam is squeezed by 60 to 75 % of its height", SOURCE, PAGE),
    Rule("{axle}.stop.gap", "gap of the bump stop", "length", "the dampers' lengths: squeezed solid 19 mm (3/4 in) before they are fully in", gap, "stops that were set to their dampers; old ones after a lift seldom are", SOURCE, PAGE),
    Rule("{axle}.stop.rate_first", "rate of the bump stop at first touch", "stiffness", "the wheel's load: twice of it at full squeeze", rate_first, "rubber stops", SOURCE, PAGE),
    Rule("{axle}.stop.rate_full", "rate of the bump stop fully squeezed", "stiffness", "five times that at first touch", rate_full, "rubber stops: cylinders and cones", TRELOAR, PAGE),
)  # fmt: skip
