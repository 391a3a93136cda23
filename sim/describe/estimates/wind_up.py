"""How an axle is held against turning: by its leaf packs, or by the bushes of its arms."""

from math import hypot, sqrt

from sim.describe.estimates.bushes import BUSHES, OF_ARM, SHEAR, USUAL_HARDNESS, radial_rate
from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.spring_rate import bends
from sim.describe.estimates.truck import Truck, half_of
from sim.describe.parts.springs.leaves import turned

APART = 0.175
"""How far apart along the truck the two bushes of an arm are on the axle [m], 150 to 200 mm; common practice, no source."""

ARMS, ARMS_OFF = radial_rate(OF_ARM, SHEAR[USUAL_HARDNESS]) * APART**2, 0.75
"""Rate [N m/rad] of two arms with two bushes each on the axle: four bushes, each half of APART from the middle. How far off it may be follows from
other sizes, 50 to 60 IRHD, and what the arms themselves give (tests/describe/estimates/test_rubber.py)."""

LEAVES_OFF = 0.3
"""How far off the rate of packs may be as a share, of a known rate and half: clamps, eyes and shackles give too; common practice, no source."""

RATIO, RATIO_OFF = 0.05, 0.6
"""Damping ratio of wind-up by bushes or leaves themselves: that of rubber (`fore_and_aft.RATIO`), two values; of leaves common practice, no source."""


def rate(truck: Truck, at: Where) -> Worth | None:
    """Return the rate against wind-up of both sides [N m/rad]: of packs as 'from_leaves' has it; one without halves is taken as even."""
    kind = truck.word(at.axle, "guide", "kind")
    if kind == "leaf":
        value = doubt = of_halves = 0.0
        both = True
        for name, spring in truck.named(at.axle, "springs"):
            if spring.get("kind") == "leaf_pack":
                place = at.axle, "springs", name
                own = truck.si("stiffness", *place, "rate") or leaf_rate(truck, at.axle, name)
                ahead, behind, known = _halves(truck, at.axle, name)
                each = truck.count(*place, "count") * turned(own, ahead, behind)[0]
                value += each
                doubt += each * (half_of(own) / own or _off_by_leaves(truck, *place))
                of_halves += each * _off_by_halves(ahead, behind, known)
                both = both and known
        if value > 0.0:
            # What it is computed from may be an estimate itself.
            off = hypot(LEAVES_OFF, doubt / value, of_halves / value)
            return Worth(value, value * off, OF_HALVES if both else "")
    if kind == "straight":
        return None
    return Worth(ARMS, ARMS_OFF * ARMS, OF_ARMS if kind == "arm" else f"as on {OF_ARMS}", BUSHES)


OF_ARMS = "two arms, each with two bushes of usual sizes on the axle, 175 mm (7 in) apart"
OF_HALVES = "the packs' rate and both their halves, both sides"


def _halves(truck: Truck, axle: str, name: str) -> tuple[float, float, bool]:
    """Return the halves of a pack ahead and behind [m], and whether both are known; else both are the one that guides the axle."""
    ahead, behind = (truck.si("length", axle, "springs", name, "halves", end) for end in ("ahead", "behind"))
    if ahead and behind:
        return ahead, behind, True
    half = truck.known("length", axle, "guide", "fixed_half_length")
    return half, half, False


def _off_by_halves(ahead: float, behind: float, both: bool) -> float:
    """Return how far off the rate may be as a share by what is not known of a pack's halves: one that stands for both counts twice."""
    if not both:
        return 2.0 * half_of(ahead) / ahead
    # Powers with which each half goes into a² b² (a + b) / (a³ + b³): one each in an even pack.
    cubes = ahead**3 + behind**3
    powers = (2.0 + half / (ahead + behind) - 3.0 * half**3 / cubes for half in (ahead, behind))
    return hypot(*(power * half_of(half) / half for power, half in zip(powers, (ahead, behind), strict=True)))


def leaf_rate(truck: Truck, axle: str, name: str) -> float:
    """Return the rate of a pack from its leaves [N/m]: E b t³ (2 n_G + 3 n_F) / (6 l³), l half of what bends of its length."""
    place = axle, "springs", name
    half = 0.5 * bends(truck, axle, name)
    section = 207e9 * truck.known("length", *place, "leaf_width") * truck.known("length", *place, "leaf_thickness") ** 3
    leaves, full = truck.count(*place, "leaves"), truck.count(*place, "full_length_leaves", otherwise=1)
    factor = truck.si("number", *place, "rate_factor") or 1.0
    return factor * 2.0 * section * (2.0 * max(leaves - full, 0) + 3.0 * full) / (12.0 * half**3)


def _off_by_leaves(truck: Truck, *place: str) -> float:
    """Return how far off a pack's rate may be as a share, where it is worked out of its leaves: by the formula, and by what is held."""
    factor, held = truck.si("number", *place, "rate_factor") or 1.0, truck.si("length", *place, "clamped") or 0.0
    return hypot(half_of(factor) / factor, 3.0 * half_of(held) / bends(truck, place[0], place[2]))


def damping(truck: Truck, at: Where) -> Worth | None:
    """Return the damping of bushes or leaves against wind-up [N m s/rad], at a damping ratio of RATIO."""
    if truck.at(at.axle, "guide", "wind_up", "rate") == "from_leaves":
        of_leaves = rate(truck, at)
        stiff = of_leaves.value if of_leaves is not None else None
    else:
        stiff = truck.si("angular_stiffness", at.axle, "guide", "wind_up", "rate")
    if stiff is None:
        return None
    inertia = truck.known("inertia", at.axle, "housing", "pitch_inertia")
    value = 2.0 * RATIO * sqrt(stiff * inertia)
    return Worth(value, RATIO_OFF * value)


RULES = (
    Rule(
        "{axle}.guide.wind_up.rate", "rate against wind-up", "angular_stiffness", "the packs' rate times half-length squared, both sides", rate,
        "leaf packs held by their U-bolts alone; arms on rubber bushes",
        "cantilever halves of a pack, as the SAE leaf spring manual has them, from memory", "wind-up.md",
    ),
    Rule(
        "{axle}.guide.wind_up.damping", "damping against wind-up", "angular_damping", "its rate and the axle's pitch inertia, at a damping ratio of 0.05",
        damping, "rubber bushes, leaf packs", "two values of rubber, Naeim and Kelly, and EN 15129, from memory; of leaves common practice, no source", "wind-up.md",
    ),
)  # fmt: skip
