"""Lengths of a damper, collapsed and extended, one from the other or from how it is fitted."""

from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.truck import Truck

DEAD = 0.127
"""Length [m] (5 in) that eyes, guide and piston take besides the stroke twice. By the series of sizes of QC/T 491 (from memory) 110 or 120 mm at
a bore of 30 mm and 140 or 150 mm at 40 mm, with an eye at each end; 170 or 180 mm at 50 mm, a heavy truck's, of which only the length
fully in is known so well."""

STROKE, STROKE_OFF = 0.22, 0.06
"""Stroke [m] of a damper of which nothing is known: the middle of 160 to 280 mm; QC/T 491 has 230 to 280 mm at a bore of 30 mm and 120 to 280 mm at
40 mm (from memory), of which the shortest are cars'."""

ROOM = 0.019
"""Room [m] (3/4 in) that stop and strap leave at each end: 1/2 to 1 in; common practice, no source."""


def collapsed(truck: Truck, at: Where) -> Worth:
    """Return the length fully in [m]."""
    place = at.axle, "dampers", at.name
    extended = truck.si("length", *place, "length_extended")
    if extended is not None:
        return Worth(0.5 * (extended + DEAD), 0.03)
    ride = truck.si("length", *place, "length_at_ride")
    if ride is not None:
        return Worth(max(ride - 0.5 * STROKE, 0.5 * ride), 0.5 * STROKE_OFF, "its length at ride and a usual stroke")
    return Worth(STROKE + DEAD, STROKE_OFF, "a usual stroke")


def extended(truck: Truck, at: Where) -> Worth:
    """Return the length fully out [m]."""
    place = at.axle, "dampers", at.name
    short = truck.known("length", *place, "length_collapsed")
    stroke = short - DEAD if short > DEAD + 0.08 else 0.08
    return Worth(short + stroke, 0.03)


SOURCE, REACH = (
    "QC/T 491, series of sizes, from memory",
    "dampers with an eye at each end and a bore of 30 to 40 mm; a stud takes more",
)

RULES = (
    Rule("{axle}.dampers.{name}.length_collapsed", "damper fully in", "length", "its length fully out, less a stroke that leaves 127 mm (5 in) for its ends", collapsed, REACH, SOURCE, "dampers.md"),
    Rule("{axle}.dampers.{name}.length_extended", "damper fully out", "length", "its length fully in, with a stroke that leaves 127 mm (5 in) for its ends", extended, REACH, SOURCE, "dampers.md"),
)  # fmt: skip
