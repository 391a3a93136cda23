"""Rate of a spring that nobody has measured: from the frequency at which such trucks ride."""

from math import hypot, pi

from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.truck import Truck, half_of
from sim.describe.estimates.weights import sprung_on

COIL_HZ, LEAF_HZ = 1.4, {"front": 1.6, "rear": 1.8}
"""Frequency of the body on its springs [Hz]: trade 1.0 to 1.5 with coils, 1.6 to 2.3 with leaf packs and an empty bed; common practice,
no source."""

OFF = 0.4
"""As a share of the rate: 20 % of the frequency."""

WIRES = ("wire_diameter", "coil_diameter", "active_coils")
LEAVES = ("leaves", "leaf_width", "leaf_thickness", "length", "clamped")

SHEAR, YOUNG = 79.3e9, 207e9
"""Moduli of spring steel [Pa], as the parts have them."""

USUAL_LEAVES, USUAL_FULL_LENGTH = 5, 1
"""Leaves of a pack, and how many of them reach both eyes; common practice, no source."""

COIL_DIAMETER = 0.125
"""Mean diameter of a coil of which some of it is known [m]; common practice, no source."""

LEAF_WIDTH, WIDTH_OFF = 0.060, 0.016
"""Width of a pack's leaves [m]: 60 and 65 mm in textbooks, 44.5 mm (1 3/4 in) of a light military truck, which the spread has to hold
(docs/measure/spring-rate.md)."""

CLAMPED, CLAMPED_OFF = 0.10, 0.05
"""How much of a pack's length its U-bolts hold [m]: they stand some 80 to 150 mm (3 to 6 in) apart (common practice, no source), of which a
stiff plate holds all, and Khurmi takes two thirds (Machine Design, leaf springs, from memory)."""

FACTOR_OFF = 0.10
"""How far off a rate may be that is worked out of leaves, as a share: a leaf's thickness by caliper counts three times, and worn or tapered
leaves, a soft plate and rust are in no formula; common practice, no source."""

SHEAR_OFF, TURNS_OFF = 0.02, 0.25
"""Of a coil's rate by its wire, how far off may be, at a usual 95 times in 100: the shear modulus as a share (78.5 GPa hot rolled, 79.5
oil-tempered, 81.5 drawn wire: EN 13906-1, from memory), and the turns that work, in turns: nobody sees where an end turn begins to lie on
its seat or on the next turn (common practice, no source)."""

WIRE_OFF, ACROSS_OFF = 0.1e-3, 1.0e-3
"""How far off a wire's diameter is by caliper on bare metal, and the mean diameter of its turns [m]; common practice, no source."""

PACK_LENGTH, LENGTH_OFF = 1.16, 0.24
"""Length of a pack eye to eye [m]: twice what `guide` takes for its half."""


def from_ride(truck: Truck, at: Where) -> float:
    """Return the rate of one spring [N/m] by which its axle rides as usual, alone or with others of its axle."""
    kind = truck.word(at.axle, "springs", at.name, "kind")
    frequency = LEAF_HZ[at.axle] if kind == "leaf_pack" else COIL_HZ
    whole = sprung_on(truck, at.axle) * (2.0 * pi * frequency) ** 2
    known = 0.0
    unknown = 0
    for name, _ in truck.named(at.axle, "springs"):
        place = at.axle, "springs", name
        rate, count = truck.si("stiffness", *place, "rate"), truck.count(*place, "count")
        known += count * (rate or 0.0)
        unknown += 0 if rate else count
    return max(whole - known, 0.2 * whole) / max(unknown, 1)


def written_dimensions(truck: Truck, at: Where) -> bool:
    """Tell whether a spring says of what wire or leaves it is, or the whole of it."""
    keys = LEAVES if truck.word(at.axle, "springs", at.name, "kind") == "leaf_pack" else WIRES
    return any(truck.at(at.axle, "springs", at.name, key) is not None for key in keys)


def rate(truck: Truck, at: Where) -> Worth | None:
    """Return the rate of one spring [N/m]; nothing for one whose wire or leaves are given."""
    if written_dimensions(truck, at) or truck.word(at.axle, "springs", at.name, "kind") not in ("coil", "leaf_pack"):
        return None
    value = from_ride(truck, at)
    return Worth(value, OFF * value)


def _by_dimensions(truck: Truck, at: Where, kind: str) -> bool:
    """Tell whether a spring is of a kind and described by its wire or its leaves, not by its rate."""
    place = at.axle, "springs", at.name
    if truck.word(*place, "kind") != kind or truck.at(*place, "rate") is not None:
        return False
    return bool(written_dimensions(truck, at))


def _of_wire(missing: str) -> "Rule":
    """Return the rule for one of a wire's dimensions by the others: k = G d⁴ / (8 D³ n)."""

    def value(truck: Truck, at: Where) -> Worth | None:
        place = at.axle, "springs", at.name
        if not _by_dimensions(truck, at, "coil"):
            return None
        rate, across = from_ride(truck, at), truck.si("length", *place, "coil_diameter")
        wire, turns = truck.si("length", *place, "wire_diameter"), truck.si("number", *place, "active_coils")
        if missing == "coil_diameter":
            found = COIL_DIAMETER if not (wire and turns) else (SHEAR * wire**4 / (8.0 * rate * turns)) ** (1.0 / 3.0)
            return Worth(found, 0.12 * found)
        if missing == "wire_diameter" and across:
            found = (8.0 * rate * across**3 * (turns or 8.0) / SHEAR) ** 0.25
            return Worth(found, 0.08 * found)
        if missing == "active_coils" and across and wire:
            found = SHEAR * wire**4 / (8.0 * across**3 * rate)
            return Worth(found, OFF * found)
        return None

    labels = {
        "coil_diameter": ("mean diameter of the coil", "length"), "wire_diameter": ("wire of the coil", "length"),
        "active_coils": ("active turns of the coil", "number"),
    }  # fmt: skip
    label, quantity = labels[missing]
    return Rule(
        "{axle}.springs.{name}." + missing, label, quantity, "its other dimensions and a usual ride", value, "coils of round wire",
        "Shigley, Mechanical Engineering Design, ch. 10, from memory; ride: common practice, no source", "spring-rate.md",
    )  # fmt: skip


def leaves(truck: Truck, at: Where) -> Worth | None:
    """Return the number of leaves of a pack of which something else is given."""
    place = at.axle, "springs", at.name
    if not _by_dimensions(truck, at, "leaf_pack"):
        return None
    return Worth(max(USUAL_LEAVES, truck.count(*place, "full_length_leaves", otherwise=USUAL_FULL_LENGTH)), 0.0)


def full_length_leaves(truck: Truck, at: Where) -> Worth | None:
    """Return how many leaves of a pack reach both eyes, where the pack is given by its leaves."""
    if not _by_dimensions(truck, at, "leaf_pack"):
        return None
    return Worth(float(USUAL_FULL_LENGTH), 0.0)


def clamped(truck: Truck, at: Where) -> Worth | None:
    """Return how much of a pack's length its U-bolts hold [m]; nothing where its length is that of its halves, which end there."""
    place = at.axle, "springs", at.name
    if not _by_dimensions(truck, at, "leaf_pack"):
        return None
    halves, whole = _halves(truck, at), truck.si("length", *place, "length")
    if halves is not None:
        if whole is None:
            return Worth(0.0, 0.0, "its two halves, which end at the U-bolts", "arithmetic")
        # Halves that fill the whole length were taped to the middle of the U-bolts: of what these hold they say nothing.
        if LEAST_CLAMPED < whole - halves < 0.5 * whole:
            return Worth(whole - halves, 0.0, "its length, less its two halves", "arithmetic")
    # Of a pack of a hand's length, which is none, its length is what is wrong.
    share = min(1.0, 0.3 * (whole or PACK_LENGTH) / CLAMPED)
    return Worth(share * CLAMPED, share * CLAMPED_OFF)


LEAST_CLAMPED = 0.02
"""What is left of a pack's length beside its halves [m] where these were taped to the U-bolts, and not to the middle; ours."""


def _halves(truck: Truck, at: Where) -> float | None:
    """Return the sum of a pack's halves [m]; None unless both are given."""
    both = [truck.si("length", at.axle, "springs", at.name, "halves", end) for end in ("ahead", "behind")]
    return None if None in both else sum(half for half in both if half)


def _other_half(missing: str, given: str) -> "Rule":
    """Return the rule for one half of a pack by the other one and its length."""

    def value(truck: Truck, at: Where) -> Worth | None:
        place = at.axle, "springs", at.name
        known = truck.si("length", *place, "halves", given)
        if truck.word(*place, "kind") != "leaf_pack" or known is None:
            return None
        whole, held = truck.si("length", *place, "length"), truck.si("length", *place, "clamped")
        if whole is None:
            return Worth(known, HALVES_DIFFER)
        off = half_of(held) if held is not None else CLAMPED_OFF
        return Worth(
            whole - (CLAMPED if held is None else held) - known,
            max(off, 0.005),
            "its length, less what the U-bolts hold, less the other half",
            "arithmetic",
        )

    return Rule(
        "{axle}.springs.{name}.halves." + missing, f"half of the pack {missing} of the U-bolts", "length", "the other half, as of an even pack",
        value, "packs of which one half was taped", "common practice, no source", "arms-and-leaves.md",
    )  # fmt: skip


HALVES_DIFFER = 0.12
"""How far a half may differ from the other one [m], where the whole length is not known; common practice, no source."""


def bends(truck: Truck, axle: str, name: str) -> float:
    """Return how much of a pack's length bends [m], once both numbers are filled in."""
    place = axle, "springs", name
    whole = truck.known("length", *place, "length")
    return max(whole - (truck.si("length", *place, "clamped") or 0.0), 0.5 * whole)


def rate_factor(truck: Truck, at: Where) -> Worth | None:
    """Return by what the rate of a pack's leaves is to be multiplied: 1, known no better than leaves tell a rate."""
    if not _by_dimensions(truck, at, "leaf_pack"):
        return None
    place = at.axle, "springs", at.name
    if truck.at(*place, "full_length_leaves") is not None:
        return Worth(1.0, FACTOR_OFF)
    # Nobody has counted those that reach both eyes: a second one adds one to 2 n_G + 3 n_F.
    one_more = 1.0 / (2.0 * truck.count(*place, "leaves", otherwise=USUAL_LEAVES) + 1.0)
    return Worth(
        1.0, hypot(FACTOR_OFF, one_more), "the formula for leaves, and one of full length that nobody has counted"
    )


def coil_rate_factor(truck: Truck, at: Where) -> Worth | None:
    """Return by what the rate of a coil's wire is to be multiplied: 1, known no better than k = G d⁴ / (8 D³ n) tells a rate.

    A dimension that says itself how far off it may be, or that is estimated, has its own doubt and none here.
    """
    place = at.axle, "springs", at.name
    if not _by_dimensions(truck, at, "coil"):
        return None
    shares = [0.0 if truck.at(*place, "shear_modulus") is not None else SHEAR_OFF]
    # The wire counts four times, the coil's diameter three times, its turns once.
    for key, quantity, off, times in (
        ("wire_diameter", "length", WIRE_OFF, 4.0), ("coil_diameter", "length", ACROSS_OFF, 3.0), ("active_coils", "number", TURNS_OFF, 1.0),
    ):  # fmt: skip
        value = truck.si(quantity, *place, key)
        shares.append(times * off / value if value is not None and not half_of(value) else 0.0)
    return Worth(1.0, hypot(*shares))


def _of_leaves(missing: str) -> "Rule":
    """Return the rule for one of a pack's dimensions by the others."""

    def value(truck: Truck, at: Where) -> Worth | None:
        place = at.axle, "springs", at.name
        if not _by_dimensions(truck, at, "leaf_pack"):
            return None
        if missing == "length":
            both = _halves(truck, at)
            if both is None:
                return Worth(PACK_LENGTH, LENGTH_OFF)
            # Nothing where both were taped; where one is estimated, what is held of it is off the rate as of any length.
            return Worth(both + (truck.si("length", *place, "clamped") or 0.0), 0.005, "its two halves", "arithmetic")
        if missing == "leaf_width":
            return Worth(LEAF_WIDTH, WIDTH_OFF)
        half, width = 0.5 * bends(truck, at.axle, at.name), truck.known("length", *place, "leaf_width")
        leaves, full = (
            truck.count(*place, "leaves", otherwise=5),
            truck.count(*place, "full_length_leaves", otherwise=1),
        )
        worth = 2.0 * max(leaves - full, 0) + 3.0 * full
        found = (6.0 * half**3 * from_ride(truck, at) / (YOUNG * width * worth)) ** (1.0 / 3.0)
        return Worth(found, 0.14 * found)

    labels = {
        "length": "length of the pack",
        "leaf_width": "width of its leaves",
        "leaf_thickness": "thickness of its leaves",
    }
    return Rule(
        "{axle}.springs.{name}." + missing, labels[missing], "length", "its other dimensions and a usual ride", value,
        "packs of leaves of one thickness",
        "Khurmi, Machine Design, leaf springs, from memory; ride: common practice, no source", "spring-rate.md",
    )  # fmt: skip


RULES = (
    Rule(
        "{axle}.springs.{name}.rate", "rate of the spring", "stiffness", "what it carries, at a usual ride frequency", rate,
        "trucks that ride as most do; a lifted or a loaded one may be far off", "common practice, no source", "spring-rate.md",
    ),
    *(_of_wire(key) for key in ("coil_diameter", "wire_diameter", "active_coils")),
    # After the dimensions: those that are estimated have their own doubt by now.
    Rule(
        "{axle}.springs.{name}.rate_factor", "rate of the coil over that of its wire", "number",
        "the formula for round wire: its steel, turns and diameters by caliper", coil_rate_factor, "coils of round wire of one thickness",
        "moduli: EN 13906-1, from memory; caliper and turns: common practice, no source", "spring-rate.md",
    ),
    Rule(
        "{axle}.springs.{name}.leaves", "number of leaves", "count", "a usual pack of five", leaves, "packs of leaves of one thickness",
        "common practice, no source", "spring-rate.md",
    ),
    # Before the count of full-length leaves is filled in: it asks whether anybody has counted them.
    Rule(
        "{axle}.springs.{name}.rate_factor", "rate of the pack over that of its leaves", "number", "the formula for leaves", rate_factor,
        "packs of leaves of one thickness, none broken", "common practice, no source", "spring-rate.md",
    ),
    Rule(
        "{axle}.springs.{name}.full_length_leaves", "number of leaves of full length", "count", "the main leaf alone; each more makes it stiffer",
        full_length_leaves, "packs of which nobody has counted the leaves that reach both eyes", "common practice, no source", "spring-rate.md",
    ),
    # Before a length that is the sum of the halves: beside that nothing is held.
    Rule(
        "{axle}.springs.{name}.clamped", "what the U-bolts hold of the pack's length", "length", "U-bolts 100 mm (4 in) apart", clamped,
        "packs under a plate and U-bolts", "common practice, no source", "spring-rate.md",
    ),
    _other_half("ahead", "behind"),
    _other_half("behind", "ahead"),
    *(_of_leaves(key) for key in ("length", "leaf_width", "leaf_thickness")),
)  # fmt: skip
