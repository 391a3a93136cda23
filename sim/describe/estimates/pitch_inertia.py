"""Pitch inertia of the body, from its mass and where its axles are, or from its length."""

from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.truck import Truck

INDEX, INDEX_OFF = 1.0, 0.25
"""Dynamic index k²/(a b), k the radius of gyration and a, b the distances of the centre of gravity from both axles: 1.06 and 1.09 of two
classes of cars as measured by NHTSA (SAE 1999-01-1336, quoted at second hand); 0.8 to 1.1 of cars, 0.9 to 1.3 of long or laden trucks
(Gillespie, Wong, from memory)."""

OF_LENGTH, LENGTH_OFF = 0.255, 0.22
"""Radius of gyration as a share of the length over all: 0.252, 0.270 and 0.232 of three vehicles as measured by NHTSA (as above)."""


def value(truck: Truck, at: Where) -> Worth:
    """Return the inertia about the body's own centre of gravity [kg m²]."""
    mass, base = truck.known("mass", "body", "mass"), truck.known("length", "wheelbase")
    behind = truck.known("length", "body", "centre_of_gravity", "behind_front_axle")
    length = truck.si("length", "overall_length")
    if length is not None:
        inertia = mass * (OF_LENGTH * length) ** 2
        return Worth(inertia, LENGTH_OFF * inertia, "its mass and the truck's length over all: k = 0.255 of it")
    apart = max(behind * (base - behind), 0.1 * base**2)
    inertia = INDEX * mass * apart
    return Worth(inertia, INDEX_OFF * inertia)


RULES = (
    Rule(
        "body.pitch_inertia", "pitch inertia of the body", "inertia", "its mass and its distances from both axles: as if all of it sat over the two axles", value,
        "trucks with usual overhangs; one with a long nose, a winch or a full bed has more",
        "class means of NHTSA's measurements, SAE 1999-01-1336, at second hand", "pitch-inertia.md",
    ),
)  # fmt: skip
