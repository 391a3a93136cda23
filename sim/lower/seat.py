"""Where leaf packs hold an axle: the place about which its housing winds up, above or below its centre."""

from sim.describe.parts.springs import SeatSpring
from sim.describe.parts.vehicle import Vehicle
from sim.kernel.layout import Line


def seat_m(vehicle: Vehicle, name: str) -> float:
    """Return how far above an axle's centre its guide holds it [m]: the seat of its leaf packs on their block; 0 at the centre.

    Packs that only carry, beside arms or links, do not hold it. Two packs of an axle are taken to lie alike: the first one counts.
    """
    axle = getattr(vehicle, name)
    if not axle.guide.is_leaves:
        return 0.0
    return next((spring.seat_m for spring in axle.springs.values() if isinstance(spring, SeatSpring)), 0.0)


def raised_m(vehicle: Vehicle, axle: str, name: str) -> float:
    """Return how far block, longer shackles and a seat put elsewhere hold the frame above where a pack's leaves alone would [m]; 0 of a coil."""
    pack, measured = (dict(one.axles)[axle].springs.get(name) for one in (vehicle, vehicle.reference))
    if not isinstance(pack, SeatSpring):
        return 0.0
    return pack.raised_m + (pack.seat_above - measured.seat_above if isinstance(measured, SeatSpring) else 0.0)


def block_m(vehicle: Vehicle, name: str) -> float:
    """Return the thickness of an axle's lift block [m]."""
    springs = getattr(vehicle, name).springs.values()
    return next((spring.block for spring in springs if isinstance(spring, SeatSpring)), 0.0)


def about_seat(line: Line, seat_above: float) -> Line:
    """Return a line whose axle end, given from the axle's centre, counts from a seat so far above it [m]."""
    return line._replace(axle_up=line.axle_up - seat_above) if seat_above else line
