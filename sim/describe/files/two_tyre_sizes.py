"""Tyres of two sizes on one truck: in four-wheel drive its axles turn at two speeds and wind the driveline up."""

from math import hypot

from sim.describe.doubt import NO_SOURCE
from sim.describe.estimates.truck import Truck
from sim.describe.files.hardly_meant import Notice, head_of
from sim.describe.files.reader import Document
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show

MOST = 0.02
"""Difference of the radii as a share that new tyres beside worn ones of one size have at most; common practice, no source."""

SLIP = 0.5
"""Difference as a share past which one of them is a slip of typing, which is spoken of at its own number."""

WINDS_UP = "possible, but in four-wheel drive it winds the driveline up"
"""What is said first of such a truck."""


def two_tyre_sizes(vehicle: Vehicle, document: Document) -> tuple[Notice, ...]:
    """Return a notice if the tyres of both axles differ by more than wear and what is known of their radius."""
    radii = {name: axle.tyre.radius for name, axle in vehicle.axles}
    doubts = {one.path: one.half for one in vehicle.estimates if one.path.endswith(".tyre.radius")}
    off = hypot(*(doubts.get(f"{name}.tyre.radius", 0.0) for name in radii))
    front, rear = radii["front"], radii["rear"]
    apart = abs(front - rear)
    if apart <= max(MOST * min(front, rear), off) or apart > SLIP * min(front, rear):
        return ()
    sizes = {name: vehicle.tyre_size(name) or f"a radius of {show(radius, 'length')}" for name, radius in radii.items()}
    # Over the same road an axle turns as many times less as its tyres are bigger: 35 in beside 31 in by 31/35.
    less = 100.0 * (1.0 - min(front, rear) / max(front, rear))
    slower = "front" if front > rear else "rear"
    lines = (
        WINDS_UP,
        f"given: {sizes['front']} in front, {sizes['rear']} behind: the {slower} axle wants to turn {less:.0f} % slower",
        f"usual: one size all round, within {100.0 * MOST:.0f} % ({NO_SOURCE})",
        "try: the same size on both axles; until then in two-wheel drive alone on ground that grips, as transfer case, shafts and tyres take what "
        "the axles do not agree on",
    )
    written = Truck(document.data)
    # At the box that somebody filled in, of the axle that has one.
    places = [(axle, "tyre", key) for axle in ("front", "rear") for key in ("size", "outside_diameter", "radius")]
    place = next(
        (one for one in places if one not in document.estimates and written.at(*one) is not None), ("front", "tyre")
    )
    return (Notice(place, head_of(document, place), lines),)
