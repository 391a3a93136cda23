"""Coils whose lengths and rate do not carry what the scale says: one of the numbers is wrong, and the truck would stand elsewhere."""

from math import hypot
from typing import Any

from sim.describe.estimates.coil_seats import gas
from sim.describe.estimates.truck import GRAVITY, Truck
from sim.describe.estimates.weights import centre_height, sprung_on
from sim.describe.files.hardly_meant import Notice, head_of, written_at
from sim.describe.files.reader import Document, Place
from sim.describe.parts.springs import LineSpring
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show

FAR = 0.020
"""How far a truck may stand from where it was measured before its numbers are asked about [m]: an estimated axle's mass explains a half of it."""


def off_their_springs(vehicle: Vehicle, document: Document) -> tuple[Notice, ...]:
    """Return a notice for every coil whose taped lengths and rate push otherwise than its share of the weighed axle.

    Only of a truck on the scale, and of an axle that stands on coils of one kind: what several kinds share, no scale says.
    """
    truck, notices = Truck(document.data), []
    for axle, part in vehicle.axles:
        coils = [(name, spring) for name, spring in part.springs.items() if isinstance(spring, LineSpring)]
        if len(part.springs) != 1 or len(coils) != 1 or written_at(document, ("weighed", axle)) is None:
            continue
        ((name, coil),) = coils
        # A set-up may bring another coil, which is meant to hold the truck elsewhere.
        if dict(vehicle.reference.axles)[axle].springs.get(name) != coil:
            continue
        place: Place = (axle, "springs", name)
        stands = _length_at_ride(truck, document, place, coil)
        if stands is None or coil.free_length is None or written_at(document, (*place, "free_length")) is None:
            continue
        pushes = coil.rate_n_per_m * (coil.free_length - stands)
        carries = (sprung_on(truck, axle) * GRAVITY - gas(truck, axle)) / coil.count
        off = (pushes - carries) / coil.rate_n_per_m
        if abs(off) <= FAR:
            continue
        lines = (
            "possible, but hardly meant: its lengths and its rate do not carry what the scale says",
            f"given: {show(coil.free_length, 'length')} without load, {show(stands, 'length')} as the truck stands, {show(coil.rate_n_per_m, 'stiffness')}: "
            f"each pushes {show(pushes, 'force')}",
            f"usual: {show(carries, 'force')} each, what the scale says less what moves with the axle; so the truck would stand "
            f"{show(abs(off), 'length')} {'higher' if off > 0.0 else 'lower'} than it was measured",
            "try: tape both lengths again, without a spacer; see whether the rate is of one coil, and whether it was weighed as it stood",
        )
        notices.append(Notice((*place, "free_length"), head_of(document, (*place, "free_length")), lines))
    return tuple(notices)


def _length_at_ride(truck: Truck, document: Document, place: Place, coil: Any) -> float | None:
    """Return how long a coil is where the truck stands [m]: as taped, or between seats that were; None if nobody knows."""
    taped = truck.si("length", *map(str, place), "length_at_ride")
    if taped is not None:
        return taped
    heights = (*place, "body", "above_ground"), (*place, "axle", "above")
    if any(written_at(document, one) is None or one in document.estimates for one in heights):
        return None
    axle = str(place[0])
    up = coil.body.above_ground - coil.spacer - centre_height(truck, axle) - coil.axle.above
    return hypot(up, coil.body.behind_front_axle - truck.behind(axle) + coil.axle.ahead)
