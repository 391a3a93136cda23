"""How an axle gives along the truck, on eyes and bushes."""

from math import sqrt

from sim.describe.estimates.bushes import BUSHES, OF_ARM, OF_EYE, SHEAR, USUAL_HARDNESS, radial_rate
from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.guide import HALF
from sim.describe.estimates.spring_rate import USUAL_LEAVES
from sim.describe.estimates.truck import Truck

HALF_A_LEAF = 0.0035
"""From the outside of an eye's bush to the middle of its leaf [m]; common practice, no source."""

PACK_RATE = 40e3
"""Rate of a pack whose leaves hold the eye [N/m]; common practice, no source. It stays a usual one whatever packs a set-up has: half of what is
worked out with it is the bush, and the spread holds for packs of 20 to 50 N/mm."""


def eye_rate(rate: float, half: float, leaves: int) -> float:
    """Return how stiffly a pack's leaves hold its fixed eye along the truck [N/m], while the axle keeps its height.

    The eye is rolled up over the main leaf, so that a push at its middle bends the leaves. Half of a pack is a cantilever, with
    1, 2 ... n leaves in steps from the eye on; at s from the eye a push F bends it by F r - V s. The frame keeps the eye at its height with a push V,
    which makes the work of bending least.

    Parameters
    ----------
    rate : float
        Of the whole pack, upright [N/m].
    half : float
        From the eye to the U-bolts [m].
    leaves : int
        How many it has.
    """
    steps = range(1, leaves + 1)
    # Integrals of 1, s and s² over the bending stiffness, in those of one leaf and of the half.
    none, first, second = (
        sum((step**power - (step - 1) ** power) / step for step in steps) / (power * leaves**power)
        for power in (1, 2, 3)
    )
    offset = OF_EYE.outer + HALF_A_LEAF
    # The last integral is what the half gives upright, and so says how stiff one leaf is.
    return 0.5 * rate * second * half**2 / (offset**2 * (none - first**2 / second))


def in_series(*rates: float) -> float:
    """Return the rate of parts one behind the other [N/m]."""
    return 1.0 / sum(1.0 / rate for rate in rates)


_OF_ARM, _OF_EYE = (radial_rate(bush, SHEAR[USUAL_HARDNESS]) for bush in (OF_ARM, OF_EYE))

ARMS = 2.0 * in_series(2.0 * _OF_ARM, _OF_ARM)
"""Rate [N/m] of a whole axle on two arms, each with two bushes on the axle and one at the frame."""

LEAVES = 2.0 * in_series(_OF_EYE, eye_rate(PACK_RATE, HALF, USUAL_LEAVES))
"""The same on two leaf packs: the bushes of their fixed eyes, and how the leaves hold these."""

OFF = 0.65
"""How far off a rate may be as a share: bushes of other sizes and from 50 to 60 IRHD, other packs, arms that end in a pin between rubber rings
(tests/describe/estimates/test_rubber.py), and brackets that give too (common practice, no source)."""

RATIO, RATIO_OFF = 0.05, 0.6
"""Damping ratio of the axle along the truck by its bushes. Two values of rubber, both from memory: 0.02 to 0.03 of plain natural rubber (Naeim and
Kelly, Design of Seismic Isolated Structures), 0.06 at most of rubber that counts as lowly damped (EN 15129)."""

AS_ARMS = "as on two usual arms: six bushes of 55 IRHD"
OF_PACKS = "the bushes of the fixed eyes of two usual packs, and how the leaves hold these"


def rate(truck: Truck, at: Where) -> Worth:
    """Return the rate along the truck [N/m]."""
    if truck.word(at.axle, "guide", "kind") == "leaf":
        return Worth(LEAVES, OFF * LEAVES, OF_PACKS)
    return Worth(ARMS, OFF * ARMS, "" if truck.word(at.axle, "guide", "kind") == "arm" else AS_ARMS)


def damping(truck: Truck, at: Where) -> Worth:
    """Return the damping along the truck [N s/m]."""
    stiff = truck.known("stiffness", at.axle, "fore_and_aft", "rate")
    value = 2.0 * RATIO * sqrt(stiff * truck.known("mass", at.axle, "housing", "mass"))
    return Worth(value, RATIO_OFF * value)


RULES = (
    Rule(
        "{axle}.fore_and_aft.rate", "rate along the truck", "stiffness", "six bushes of two usual arms, of 55 IRHD", rate, "rubber bushes",
        BUSHES, "arms-and-leaves.md",
    ),
    Rule(
        "{axle}.fore_and_aft.damping", "damping along the truck", "damping", "its rate and the axle's mass, at a damping ratio of 0.05", damping,
        "rubber bushes", "two values of rubber, Naeim and Kelly, and EN 15129, from memory; else common practice, no source", "arms-and-leaves.md",
    ),
)  # fmt: skip
