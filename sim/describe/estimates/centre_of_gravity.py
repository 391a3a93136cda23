"""Centre of gravity of the body: along the truck from the axle loads, its height from a lifted axle or from the frame."""

from math import hypot, sqrt

from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.truck import AXLES, Truck, half_of, read_si
from sim.describe.estimates.weights import axle_load, centre_height, points

ABOVE_AXLES, ABOVE_FRAME, OFF = 0.34, 0.30, 0.10
"""Height [m] of a truck's centre of gravity above its axles' centres, and of its body's above the lower edge of the frame. Light trucks
measured by NHTSA stand at 0.66 to 0.74 m on tyres of some 0.35 m (SAE 1999-01-1336, quoted at second hand); frame: common practice,
no source."""

LIFTED_OFF = 0.05
"""How far off the height by a lifted axle may be, as a share: a few per cent (ISO 10392)."""


def body_mass(truck: Truck, at: Where) -> Worth:
    """Return the mass of the body [kg]: what was weighed, less axles, dampers and loads."""
    loads = [axle_load(truck, axle) for axle in AXLES]
    rest = sum(mass for mass, _, _ in points(truck))
    whole = sum(load.value for load in loads)
    half = hypot(*(load.half for load in loads), *_housings_off(truck))
    return Worth(max(whole - rest, 0.2 * whole), half, _weighed(truck))


def _housings_off(truck: Truck) -> list[float]:
    return [half_of(truck.known("mass", axle, "housing", "mass")) for axle in AXLES]


def _weighed(truck: Truck) -> str:
    given = [axle for axle in AXLES if truck.si("mass", "weighed", axle) is not None]
    return "" if len(given) == 2 else "axle loads that were not all weighed"


def behind(truck: Truck, at: Where) -> Worth:
    """Return how far the body's centre of gravity is behind the front axle [m], by moments about the front axle."""
    base = truck.known("length", "wheelbase")
    front, rear = (axle_load(truck, axle) for axle in AXLES)
    mass = truck.known("mass", "body", "mass")
    place = (rear.value * base - sum(m * x for m, x, _ in points(truck))) / mass
    # How each load and each axle's mass moves it, one by one, as roots of squares.
    front_off, rear_off = _housings_off(truck)
    half = hypot(front.half * place, rear.half * (base - place), front_off * place, rear_off * (base - place)) / mass
    return Worth(place, max(half, 0.005), _weighed(truck))


def lifted_height(
    wheelbase: float, lifted_by: float, whole: float, gained: float, centre_front: float, centre_rear: float
) -> float:
    """Return the height of the whole truck's centre of gravity [m] by lifting one axle.

    Parameters
    ----------
    wheelbase, lifted_by : float
        [m]
    whole, gained : float
        Weight of the truck, and what the axle on the ground gains; in one unit, whichever.
    centre_front, centre_rear : float
        Height of the axles' centres on level ground [m]; the mean counts, as each turns about its own wheels.

    Notes
    -----
    h = r + L (gained / whole) sqrt(L² - H²) / H: moments about the axle on the ground, the truck turned about it by the angle whose
    sine is H/L, as ISO 10392 has it (axle lifting).
    """
    return (
        0.5 * (centre_front + centre_rear) + wheelbase * gained / whole * sqrt(wheelbase**2 - lifted_by**2) / lifted_by
    )


def by_lifting(truck: Truck) -> float | None:
    """Return the whole truck's height by a lifted axle [m]; None if nobody lifted one, or it is not understood."""
    written = truck.at("weighed", "lifted")
    if not isinstance(written, dict) or written.get("axle") not in AXLES:
        return None
    by, other = read_si(written.get("by"), "length"), read_si(written.get("other"), "mass")
    base = truck.known("length", "wheelbase")
    if by is None or other is None or not 0.0 < by < base:
        return None
    on_ground = "rear" if written["axle"] == "front" else "front"
    whole = sum(axle_load(truck, axle).value for axle in AXLES)
    gained = other - axle_load(truck, on_ground).value
    return lifted_height(base, by, whole, gained, *(centre_height(truck, axle) for axle in AXLES))


def above(truck: Truck, at: Where) -> Worth:
    """Return the height of the body's centre of gravity [m]."""
    mass = truck.known("mass", "body", "mass")
    others = points(truck)
    whole = mass + sum(m for m, _, _ in others)
    rest = sum(m * z for m, _, z in others)
    lifted = by_lifting(truck)
    if lifted is not None:
        height = (whole * lifted - rest) / mass
        return Worth(
            height,
            LIFTED_OFF * height,
            "one axle lifted on the scale",
            "ISO 10392, axle lifting; spread: a few per cent",
        )
    frames = [truck.si("length", axle, "frame_height") for axle in AXLES]
    known = [height for height in frames if height is not None]
    if known:
        share = truck.known("length", "body", "centre_of_gravity", "behind_front_axle") / truck.known(
            "length", "wheelbase"
        )
        frame = known[0] if len(known) == 1 else (1.0 - share) * known[0] + share * known[1]
        return Worth(
            frame + ABOVE_FRAME,
            OFF,
            "the frame's height: 300 mm (12 in) above its lower edge",
            "common practice, no source",
        )
    axles = 0.5 * sum(centre_height(truck, axle) for axle in AXLES)
    return Worth((whole * (axles + ABOVE_AXLES) - rest) / mass, OFF)


RULES = (
    Rule(
        "body.mass", "mass of the body", "mass", "axle loads, less axles, dampers and loads", body_mass, "any truck that was weighed",
        "arithmetic; weighbridge 1 % and its rounding: common practice, no source", "weights.md", exact=True,
    ),
    Rule(
        "body.centre_of_gravity.behind_front_axle", "centre of gravity of the body, along the truck", "length", "moments of both axle loads",
        behind, "any truck that was weighed", "arithmetic", "weights.md", exact=True,
    ),
    Rule(
        "body.centre_of_gravity.above_ground", "height of the body's centre of gravity", "length", "the height of its axles: the truck's 340 mm (13 in) above them",
        above, "4x4s and pickups with an empty bed",
        "light trucks of NHTSA's measurements, SAE 1999-01-1336, at second hand", "centre-of-gravity.md",
    ),
)  # fmt: skip
