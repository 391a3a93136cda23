"""What moves with an axle, from its load and the size of its wheels."""

from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.truck import Truck, half_of
from sim.describe.estimates.tyres import tyre
from sim.describe.estimates.weights import axle_load, dampers_on_axle

AT_A_TONNE, POWER = 215.0, 0.75
"""Mass [kg] of a driven live axle with wheels of 31 kg under a load of one tonne, and how it grows with the load: a light truck's of 205 kg
at 0.95 t up to a heavy truck's drive axle of 1040 kg at 7.7 t (from memory; common practice, no source)."""

OFF = 0.25

WHEEL, WHEEL_BY_SIZE = 15.0, 110.0
"""Mass [kg] of a steel wheel with tyre: the first, and the second times diameter² x width [m³]; catalogue masses, from memory."""

REFERENCE_WHEEL = 31.0

LEFT_AT_LEAST = 0.1
"""Share of an axle as weighed that is left without the ends of its dampers, however many somebody typed; ours, no source."""


def wheel_mass(truck: Truck, axle: str) -> float:
    """Return the mass of one wheel with its tyre [kg]."""
    size = tyre(truck, axle).size
    return WHEEL + WHEEL_BY_SIZE * size.diameter**2 * size.width


def value(truck: Truck, at: Where) -> Worth:
    """Return the mass of housing, wheels, brakes and the halves of springs and arms [kg], without dampers."""
    weighed = truck.si("mass", "weighed", f"{at.axle}_unsprung")
    if weighed is not None:
        # A number that cannot be meant is refused where it stands; until then all that follows from it must stay a number.
        mass = max(weighed - dampers_on_axle(truck, at.axle), LEFT_AT_LEAST * weighed)
        return Worth(
            mass, half_of(weighed) or 0.03 * weighed, "the axle as weighed, less its dampers' ends", "arithmetic"
        )
    load = axle_load(truck, at.axle).value
    mass = AT_A_TONNE * (load / 1e3) ** POWER + truck.count(at.axle, "tyre", "count") * (
        wheel_mass(truck, at.axle) - REFERENCE_WHEEL
    )
    mass = min(max(mass, 0.1 * load), 0.5 * load)
    return Worth(mass, OFF * mass)


RULES = (
    Rule(
        "{axle}.housing.mass", "mass that moves with the axle", "mass", "the axle's load and the size of its wheels", value,
        "driven live axles under 0.5 to 3 t; one that is not driven has some 30 % less",
        "common practice, no source; it passes through published axles (docs/measure/unsprung-mass.md)", "unsprung-mass.md",
    ),
)  # fmt: skip
