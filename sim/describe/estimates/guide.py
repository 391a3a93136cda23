"""Where what locates an axle is held: the pivot of arms, the half of a leaf pack."""

from sim.describe.doubt import GUESS
from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.spring_rate import bends
from sim.describe.estimates.truck import Truck, half_of
from sim.describe.estimates.weights import centre_height

ARM, ARM_OFF = 0.90, 0.15
"""Length [m] of radius or trailing arms along the truck, and how far off it may be; common practice, no source."""

MOST_OF_WHEELBASE = 0.42
"""Two pairs of arms have to find room between the axles."""

PIVOT_ABOVE, PIVOT_OFF = 0.10, 0.06
"""Height [m] of an arm's pivot above the axle's centre; common practice, no source."""

HALF, HALF_OFF = 0.58, 0.12
"""Half of a leaf pack [m]: 0.525, 0.55 and 0.6 m of vehicles' springs in textbooks; 0.46 m in front and 0.533 m behind of a light military
truck, which the spread has to hold (docs/measure/arms-and-leaves.md)."""


def pivot_behind(truck: Truck, at: Where) -> Worth | None:
    """Return how far the pivot of arms is behind the front axle [m]."""
    if truck.word(at.axle, "guide", "kind") != "arm":
        return None
    reach = min(ARM, MOST_OF_WHEELBASE * truck.known("length", "wheelbase"))
    behind = truck.behind(at.axle)
    return Worth(behind + reach if at.axle == "front" else behind - reach, ARM_OFF * reach)


def pivot_above(truck: Truck, at: Where) -> Worth | None:
    """Return the height of the pivot of arms [m]."""
    if truck.word(at.axle, "guide", "kind") != "arm":
        return None
    return Worth(centre_height(truck, at.axle) + PIVOT_ABOVE, PIVOT_OFF)


def half_length(truck: Truck, at: Where) -> Worth | None:
    """Return the half of a leaf pack that leads to its fixed eye [m]."""
    if truck.word(at.axle, "guide", "kind") != "leaf":
        return None
    fixed = "behind" if truck.word(at.axle, "guide", "fixed_eye") == "behind" else "ahead"
    for name, _ in truck.named(at.axle, "springs"):
        half = truck.si("length", at.axle, "springs", name, "halves", fixed)
        if half is not None:
            return Worth(half, half_of(half) or 0.005, "the pack's own half", "arithmetic")
        whole = truck.si("length", at.axle, "springs", name, "length")
        if whole is not None:
            half = 0.5 * bends(truck, at.axle, name)
            return Worth(
                half,
                0.1 * half,
                "half of the pack's length" + (", less what the U-bolts hold" if whole > 2.0 * half else ""),
            )
    return Worth(HALF, HALF_OFF)


SOURCE = GUESS

RULES = (
    Rule(
        "{axle}.guide.pivot.behind_front_axle", "pivot of the arms, along the truck", "length",
        "arms of 0.9 m (35 in), or as long as the wheelbase lets them be", pivot_behind, "radius or trailing arms", SOURCE, "arms-and-leaves.md",
    ),
    Rule(
        "{axle}.guide.pivot.above_ground", "height of the arms' pivot", "length", "100 mm (4 in) above the axle's centre", pivot_above,
        "radius or trailing arms", SOURCE, "arms-and-leaves.md",
    ),
    Rule(
        "{axle}.guide.fixed_half_length", "half of the leaf pack", "length", "a usual half", half_length, "semi-elliptic packs of such trucks",
        "springs of vehicles in Khurmi and in Bhandari, and a light military truck's in TM 9-803", "arms-and-leaves.md",
    ),
)  # fmt: skip
