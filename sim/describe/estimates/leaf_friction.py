"""Friction between the leaves of a pack, as a share of what it carries."""

from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.truck import GRAVITY, Truck
from sim.describe.estimates.weights import sprung_on

MANY, FEW = 0.08, 0.04
"""Half of the loop's height as a share of the load, of packs of many leaves and of three or fewer.

A graduated pack of n leaves bends evenly, the tip of each leaf presses with what the eye carries and slips on the next leaf by its thickness t
times the turn there; by the work of all tips, friction is µ t (n - 1) / l of the load, l half of what bends. With µ 0.42 of hard steel on
hard steel, dry (Marks' Standard Handbook for Mechanical Engineers, from memory) packs of textbooks and of a light military truck have 4 to 10 %
(docs/measure/leaf-friction.md). Of few leaves common practice, no source."""

FEW_LEAVES = 3
OFF = 0.6

TRAVEL, TRAVEL_OFF = 0.003, 0.5
"""Travel [m] in which friction turns round: 1 to 5 mm, from memory, no source."""


def friction(truck: Truck, at: Where) -> Worth | None:
    """Return the friction of one pack [N]."""
    place = at.axle, "springs", at.name
    if truck.word(*place, "kind") != "leaf_pack":
        return None
    packs = sum(
        truck.count(at.axle, "springs", name, "count")
        for name, one in truck.named(at.axle, "springs")
        if one.get("kind") == "leaf_pack"
    )
    carried = sprung_on(truck, at.axle) * GRAVITY / max(packs, 1)
    share = FEW if truck.count(*place, "leaves", otherwise=FEW_LEAVES + 1) <= FEW_LEAVES else MANY
    return Worth(share * carried, OFF * share * carried)


def travel(truck: Truck, at: Where) -> Worth | None:
    """Return the travel in which friction turns round [m]."""
    if truck.word(at.axle, "springs", at.name, "kind") != "leaf_pack":
        return None
    return Worth(TRAVEL, TRAVEL_OFF * TRAVEL)


RULES = (
    Rule(
        "{axle}.springs.{name}.friction", "friction of the leaf pack", "force", "what it carries: 8 % of it, 4 % with three leaves or fewer",
        friction, "steel leaves that are dry: not rusted solid, greased or fitted with liners",
        "hard steel on hard steel, dry: Marks' Standard Handbook for Mechanical Engineers, from memory; of three leaves or fewer common practice, no source",
        "leaf-friction.md",
    ),
    Rule(
        "{axle}.springs.{name}.friction_travel", "travel in which friction turns round", "length", "a usual travel", travel, "leaf packs",
        "1 to 5 mm: from memory, no source", "leaf-friction.md",
    ),
)  # fmt: skip
