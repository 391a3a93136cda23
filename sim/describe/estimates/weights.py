"""Loads of the axles as the scale had them, and what of them the springs carry; no number of the file by themselves."""

from math import hypot

from sim.describe.estimates.estimate import Worth
from sim.describe.estimates.truck import AXLES, GRAVITY, Truck, half_of

SCALE = 0.01
"""How far off a weighbridge may be, as a share; common practice, no source. It rounds to 10 kg (20 lb) beside."""

ROUNDING = 5.0
"""Half of what a weighbridge rounds to [kg]."""

FRONT_SHARE, SHARE_OFF = 0.55, 0.35
"""Share of an empty truck's weight on its front axle, and how far off an axle load that follows from it may be: published cars have 0.53
to 0.62 of it there (docs/measure/weights.md); of trucks common practice, no source."""

WHOLE, WHOLE_OFF = 1900.0, 0.30
"""Weight of such a truck [kg] of which nothing was weighed, and how far off it may be as a share: common practice, no source; a pickup, a
sport-utility and a compact measured by NHTSA lie within it."""


def axle_load(truck: Truck, axle: str) -> Worth:
    """Return the load of an axle [kg]."""
    given = {name: truck.si("mass", "weighed", name) for name in AXLES}
    own = given[axle]
    if own is not None:
        return Worth(float(own), half_of(own) or hypot(SCALE * own, ROUNDING), "axle loads of the scale")
    shares = {"front": FRONT_SHARE, "rear": 1.0 - FRONT_SHARE}
    other = given["rear" if axle == "front" else "front"]
    if other is not None:
        value = other * shares[axle] / (1.0 - shares[axle])
        return Worth(value, SHARE_OFF * value, "the other axle's load, as this one was not weighed")
    value = WHOLE * shares[axle]
    return Worth(value, WHOLE_OFF * value, "a usual weight, as nothing was weighed")


def dampers_on_axle(truck: Truck, axle: str) -> float:
    """Return the mass of the dampers' ends that move with an axle [kg]."""
    return sum(_ends(truck, axle, name)[0] for name, _ in truck.named(axle, "dampers"))


def _ends(truck: Truck, axle: str, name: str) -> tuple[float, float]:
    """Return the mass of a set's ends on the axle and on the body [kg]."""
    place = axle, "dampers", name
    count = truck.count(*place, "count")
    tube, rod = (count * (truck.si("mass", *place, key) or 0.0) for key in ("tube_mass", "rod_mass"))
    return (rod, tube) if truck.word(*place, "tube_end") == "up" else (tube, rod)


def sprung_on(truck: Truck, axle: str) -> float:
    """Return what an axle's springs carry [kg], at least a tenth of its load."""
    load = axle_load(truck, axle).value
    return max(load - truck.known("mass", axle, "housing", "mass") - dampers_on_axle(truck, axle), 0.1 * load)


def centre_height(truck: Truck, axle: str) -> float:
    """Return how high an axle's centre stands [m]: the tyre's radius less what it gives under its load."""
    radius = truck.known("length", axle, "tyre", "radius")
    give = axle_load(truck, axle).value * GRAVITY / truck.count(axle, "tyre", "count")
    return radius - min(give / truck.known("stiffness", axle, "tyre", "rate"), 0.4 * radius)


def points(truck: Truck) -> list[tuple[float, float, float]]:
    """Return mass [kg], place behind the front axle and height [m] of all that is no body: axles, dampers' ends, loads."""
    found = []
    for axle in AXLES:
        behind, up = truck.behind(axle), centre_height(truck, axle)
        place = axle, "housing", "centre_of_gravity"
        ahead, above = (truck.si("length", *place, key) or 0.0 for key in ("ahead", "above"))
        found.append((truck.known("mass", axle, "housing", "mass"), behind - ahead, up + above))
        for name, _ in truck.named(axle, "dampers"):
            own = axle, "dampers", name
            on_axle, on_body = _ends(truck, axle, name)
            ahead, above = (truck.si("length", *own, "axle", key) or 0.0 for key in ("ahead", "above"))
            found.append((on_axle, behind - ahead, up + above))
            found.append((on_body, *_at(truck, *own, "body")))
    for name in truck.part("loads"):
        load = "loads", str(name)
        found.append((truck.known("mass", *load, "mass"), *_at(truck, *load, "place")))
    return found


def _at(truck: Truck, *place: str) -> tuple[float, float]:
    """Return where a point of the body is, behind the front axle and above the ground [m]."""
    return truck.known("length", *place, "behind_front_axle"), truck.known("length", *place, "above_ground")
