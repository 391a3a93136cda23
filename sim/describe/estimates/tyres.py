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
    pressure_given: bool


def tyre(truck: Truck, axle: str) -> Tyre:
    """Return the tyre of an axle."""
    pressure = truck.si("pressure", axle, "tyre", "pressure")
    bar = USUAL_PRESSURE if pressure is None else float(pressure)
    known = pressure is not None
    read = tyre_size(truck.word(axle, "tyre", "size"))
    if read is not None:
        return Tyre(read, bar, "its size", True, known)
    diameter = truck.si("length", axle, "tyre", "outside_diameter")
    if diameter is not None:
        return Tyre(of_diameter(diameter), bar, "its outside diameter", False, known)
    radius = truck.si("length", axle, "tyre", "radius")
    if radius is not None:
        return Tyre(of_diameter(2.0 * radius), bar, "its radius", False, known)
    height = truck.si("length", axle, "axle_height")
    if height is not None:  # an inch of give under its load
        return Tyre(of_diameter(2.0 * (height + 0.025)), bar, "the height of the axle", False, known)
    return Tyre(of_diameter(USUAL_DIAMETER), bar, "a usual size, as nothing is known of it", False, known)


def measured_half(truck: Truck, axle: str, key: str, least: float) -> float:
    """Return how far off a taped length of a tyre may be [m]."""
    value = truck.si("length", axle, "tyre", key)
    return (half_of(value) if value is not None else 0.0) or least
