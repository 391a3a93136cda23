"""The tyre that is meant where a rule asks for its size and pressure: as its wall says, as a tape says, or as usual."""

from typing import NamedTuple

from sim.describe.estimates.truck import Truck, half_of
from sim.describe.estimates.tyre_size import TyreSize, of_diameter, tyre_size

USUAL_DIAMETER = 0.76
"""Outside diameter [m] (30 in) where nothing is known of a tyre; common practice, no source."""

USUAL_PRESSURE, PRESSURE_OFF = 2.2e5, 0.15
"""Pressure [Pa] (32 psi) of which nobody speaks, and how far off it may be as a share; common practice, no source."""


class Tyre(NamedTuple):
    """A tyre as far as it is known."""

    size: TyreSize
    pressure: float  # [Pa]
    of: str  # what its size was taken from
    on_wall: bool
    pressure_given: bool  # for this very tyre
    pressure_of: str  # what its pressure was taken from
    size_known: bool  # of this tyre or of the other axle's; else it is a usual size, or as the axle stands


def tyre(truck: Truck, axle: str) -> Tyre:
    """Return the tyre of an axle; where nothing is known of it that of the other axle, as trucks carry one size all round (common practice, no source)."""
    other = "rear" if axle == "front" else "front"
    pressure = truck.si("pressure", axle, "tyre", "pressure")
    beside = truck.si("pressure", other, "tyre", "pressure")
    bar = next((one for one in (pressure, beside) if one is not None), USUAL_PRESSURE)
    said = "pressure" if pressure is not None else "a usual pressure of 2.2 bar (32 psi)"
    if pressure is None and beside is not None:
        said = f"the {other} tyres' pressure"

    def taken(size: TyreSize, of: str, on_wall: bool, size_known: bool) -> Tyre:
        return Tyre(size, bar, of, on_wall, pressure is not None, said, size_known)

    height = truck.si("length", axle, "axle_height")
    own = _own_size(truck, axle)
    radius = truck.si("length", axle, "tyre", "radius")
    if own is None and radius is not None:
        own = of_diameter(2.0 * radius), "its radius", False
    if own is None and height is not None:  # an inch of give under its load
        return taken(of_diameter(2.0 * (height + 0.025)), "the height of the axle", False, False)
    if own is None:
        theirs = _own_size(truck, other)
        own = theirs and (theirs[0], theirs[1].replace("its", f"the {other} tyre's", 1), theirs[2])
    if own is None:
        return taken(of_diameter(USUAL_DIAMETER), "a usual size, as nothing is known of it", False, False)
    size, of, on_wall = own
    return taken(size, of, on_wall, True)


def _own_size(truck: Truck, axle: str) -> tuple[TyreSize, str, bool] | None:
    """Return the size of an axle's tyre by wall or tape, from what it is, and whether it stands on the wall; None if neither says it."""
    read = tyre_size(truck.word(axle, "tyre", "size"))
    if read is not None:
        return read, "its size", True
    diameter = truck.si("length", axle, "tyre", "outside_diameter")
    return None if diameter is None else (of_diameter(diameter), "its outside diameter", False)


def measured_half(truck: Truck, axle: str, key: str, least: float) -> float:
    """Return how far off a taped length of a tyre may be [m]."""
    value = truck.si("length", axle, "tyre", key)
    return (half_of(value) if value is not None else 0.0) or least
