"""Pitch inertia of a housing without its wheels."""

from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.housing_mass import wheel_mass
from sim.describe.estimates.truck import Truck

RADIUS, OFF = 0.23, 0.4
"""Radius of gyration [m] of tube, casing, brakes and pinion about the axle's line, and how far off the inertia may be; common practice,
no source."""


def value(truck: Truck, at: Where) -> Worth:
    """Return the inertia [kg m²]."""
    mass = truck.known("mass", at.axle, "housing", "mass")
    bare = max(mass - truck.count(at.axle, "tyre", "count") * wheel_mass(truck, at.axle), 0.4 * mass)
    inertia = bare * RADIUS**2
    return Worth(inertia, OFF * inertia)


RULES = (
    Rule(
        "{axle}.housing.pitch_inertia", "pitch inertia of the axle", "inertia",
        "its mass without wheels and a radius of gyration of 230 mm (9 in)", value, "live axles with the drive's casing in the middle",
        "common practice, no source", "unsprung-mass.md",
    ),
)  # fmt: skip
