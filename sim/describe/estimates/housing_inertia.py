"""Pitch inertia of a housing without its wheels."""

from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.housing_mass import wheel_mass
from sim.describe.estimates.truck import Truck

WITH_ARMS, WITH_ARMS_OFF = 0.23, 0.4
"""Radius of gyration [m] about the axle's line of tube, casing, brakes, pinion and the arms that are bolted to it, and how far off the inertia
may be: ours, by such parts put together of three axles, 195 to 254 mm (tests/describe/estimates/test_housing_inertia.py); their sizes: common practice, no source."""

ON_LEAVES, ON_LEAVES_OFF = 0.15, 0.6
"""The same of a housing that nothing but its leaf packs holds, which bend as it turns: 100 to 149 mm by the parts of the same three, which leave out U-bolts and plates."""


def value(truck: Truck, at: Where) -> Worth:
    """Return the inertia [kg m²]."""
    mass = truck.known("mass", at.axle, "housing", "mass")
    bare = max(mass - truck.count(at.axle, "tyre", "count") * wheel_mass(truck, at.axle), 0.4 * mass)
    on_leaves = truck.word(at.axle, "guide", "kind") == "leaf"
    radius, off = (ON_LEAVES, ON_LEAVES_OFF) if on_leaves else (WITH_ARMS, WITH_ARMS_OFF)
    inertia = bare * radius**2
    held = "on leaf packs" if on_leaves else "with its arms"
    return Worth(
        inertia,
        off * inertia,
        f"its mass without wheels and a radius of gyration, {held}, of {1e3 * radius:.0f} mm ({radius / 0.0254:.0f} in)",
    )


RULES = (
    Rule(
        "{axle}.housing.pitch_inertia", "pitch inertia of the axle", "inertia",
        "its mass without wheels and a radius of gyration of 230 mm (9 in) with arms, 150 mm (6 in) on leaf packs", value,
        "live axles with the drive's casing in the middle", "its parts put together by any textbook of mechanics; their sizes: common practice, no source", "unsprung-mass.md",
    ),
)  # fmt: skip
