"""Rows of the parts list: what is ordered, castor and pinion, and what stays."""

from collections.abc import Sequence

from sim.describe.parts.vehicle import Vehicle
from sim.show.report.naming import listed
from sim.show.report.sheet_rows import Row, Rows
from sim.show.report.spring_sheet import loads_words
from sim.study.parts import Part, PartsList

CAUTIONS = (
    "A compressed coil holds enough to kill: use a rated spring compressor and a chain or cage, and stand aside. Leaf packs open when the centre "
    "bolt or U-bolts come off: hold the pack in clamps.",
    "Support the axle before a damper, a strap or a spring comes out; truck on stands under its frame, wheels chocked, nobody under it.",
    "Stops and straps must act before a damper's own ends. Before ordering cycle the axle with springs out, both wheels and crossed, at steering "
    "lock; check hoses, shafts, steering. Local rules and licensed practice come first.",
    "Computed for comparison of set-ups by a half-car (no roll, no steering); it approves nothing.",
)

NOTHING = "Nothing changes against the truck as measured; what is only renewed is ordered by its own sheet"


def name_of(part: Part) -> str:
    """Return what a part is, with its axle and how many."""
    count = f"{part.count} " if part.count else ""
    return f"{part.axle}: {count}{part.what}".strip(": ")


def title(parts: PartsList) -> str:
    """Return what the page is called: nobody takes a draft for an order."""
    if not parts.order:
        return "Parts list: nothing changes"
    return (
        "Parts list, draft: measure first"
        if any(part.first for part in parts.order)
        else "Parts list: what this set-up changes"
    )


def rows(setup: str, vehicle: Vehicle, parts: PartsList, turns: Sequence[str]) -> list[Row]:
    """Return the lines of the page."""
    made = Rows()
    order, stays = "1 To order", "2 Castor and pinion, and what stays"
    made.add(order, "truck, set-up", f"{vehicle.name}, {setup}")
    made.add(order, "loads aboard", loads_words(vehicle))
    for part in parts.order:
        made.add(order, name_of(part), part.words + (f". First: {part.first}" if part.first else ""))
    if not parts.order:
        made.add(order, "parts", NOTHING)
    for text in parts.off:
        made.add(order, "comes off", text)
    for text in parts.offers:
        made.add(order, "not ordered", text)
    made.add(stays, "castor, pinion", "; ".join(turns) or "within half a degree of the measured ones")
    made.add(stays, "stays as it is", stayed(parts))
    return made.made


def stayed(parts: PartsList) -> str:
    """Return in one line what stays."""
    return listed(list(parts.stays)) if parts.stays else "nothing of springs, dampers, stops and straps"


def in_a_line(parts: PartsList) -> str:
    """Return the list for the screen."""
    if not parts.order:
        return NOTHING[:1].lower() + NOTHING[1:]
    return "; ".join(f"{name_of(part)}, {part.words}" for part in parts.order)
