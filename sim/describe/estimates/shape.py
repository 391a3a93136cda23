"""The parts that a truck as measured must have before their numbers are estimated: which springs, what holds each axle, which dampers."""

from typing import Any

from sim.describe.estimates.as_measured import LOADS_OF_PEOPLE, person_of
from sim.describe.estimates.truck import AXLES, Truck
from sim.describe.estimates.valving import RATIOS, SIDES

COIL_KEYS = frozenset({"wire_diameter", "coil_diameter", "active_coils", "free_length", "solid_length", "spacer"})
LEAF_KEYS = frozenset(
    {
        "leaves",
        "full_length_leaves",
        "leaf_width",
        "leaf_thickness",
        "halves",
        "length",
        "clamped",
        "friction",
        "free_camber",
        "block",
        "shackle_lift",
    }
)

USUAL = {"front": ("coil", "coil"), "rear": ("pack", "leaf_pack")}
"""Name and kind of an axle's springs where nobody has said what they are: coils on arms in front, leaf packs behind."""

NONE = "none"
"""Word for a part that the truck has not; it stands where the part would, or at the number by which a shop is asked for the part."""

ASKED_BY = {"stop": "gap", "strap": "length"}
"""Parts of an axle that it may be without, and the number by which a shop is asked for each."""


def shaped(truck: Truck) -> None:
    """Give a truck the parts whose numbers are filled in next."""
    truck.data.setdefault("kind", "vehicle")
    truck.data.setdefault("name", "Truck as measured")
    for axle in AXLES:
        _axle(truck, axle)
    _people(truck)


def _axle(truck: Truck, axle: str) -> None:
    part = truck.part(axle)
    truck.part(axle, "tyre")
    springs = truck.part(axle, "springs") if part.get("springs") is None else part["springs"]
    if isinstance(springs, dict) and not springs:
        name, kind = USUAL[axle]
        springs[name] = {"kind": kind}
    for name, spring in truck.named(axle, "springs"):
        spring.setdefault("kind", _spring_kind(name, spring))
    guide = truck.part(axle, "guide")
    # A lone coil cannot hold an axle, a leaf pack does.
    leaves = any(spring.get("kind") == "leaf_pack" for _, spring in truck.named(axle, "springs"))
    guide.setdefault("kind", "leaf" if leaves else "arm")
    dampers = truck.part(axle, "dampers") if part.get("dampers") is None else part["dampers"]
    if isinstance(dampers, dict) and not dampers:
        dampers["main"] = {}
    for name, damper in truck.named(axle, "dampers"):
        _valving(truck, axle, name, damper)
    for key in ("stop", "strap"):
        if part.get(key) is None:
            part[key] = {}


def _spring_kind(name: str, spring: dict[str, Any]) -> str:
    if spring.keys() & LEAF_KEYS and not spring.keys() & COIL_KEYS:
        return "leaf_pack"
    if spring.keys() & COIL_KEYS or "coil" in name.lower():
        return "coil"
    return "leaf_pack" if any(word in name.lower() for word in ("leaf", "pack", "leaves")) else "coil"


def is_none(value: object) -> bool:
    """Tell whether a value says that the truck has no such part."""
    return isinstance(value, str) and value.strip().lower() == NONE


def says_none(part: object, key: str) -> bool:
    """Tell whether what stands at a stop or strap says that the axle has none: the word itself, or the word at its number."""
    return is_none(part) or (isinstance(part, dict) and key in ASKED_BY and is_none(part.get(ASKED_BY[key])))


def has_part(truck: Truck, axle: str, key: str) -> bool:
    """Tell whether an axle has a stop or a strap of which numbers may be estimated."""
    part = truck.at(axle, key)
    return isinstance(part, dict) and not says_none(part, key)


def _valving(truck: Truck, axle: str, name: str, damper: dict[str, Any]) -> None:
    """Make room for the curve of a damper whose valving is a plain word, or that nobody knows."""
    word = damper.get("valving", "stock")
    if isinstance(word, str) and word.strip().lower() in RATIOS:
        truck.words[axle, name] = word.strip().lower()
        damper["valving"] = {"kind": "knee", **{side: {} for side in SIDES}}


def _people(truck: Truck) -> None:
    aboard = truck.at("weighed", "aboard")
    for word in aboard if isinstance(aboard, list | tuple) else ():
        if (person := person_of(word)) is not None:
            name, mass = person
            load = truck.part("loads", name)
            # What stands under loads is more than a word.
            if mass:
                load.setdefault("mass", mass)
    loads = truck.at("loads")
    for name, load in loads.items() if isinstance(loads, dict) else ():
        if isinstance(load, dict) and name in LOADS_OF_PEOPLE:
            load.setdefault("place", {})
    if truck.at("points") is None:
        truck.data["points"] = {"driver": {}, "bed": {}}
