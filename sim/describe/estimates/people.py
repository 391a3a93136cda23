"""Where people sit, and what they weigh."""

from sim.describe.doubt import GUESS
from sim.describe.estimates.as_measured import LOADS_OF_PEOPLE
from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.truck import Truck
from sim.describe.estimates.weights import centre_height

MASS, MASS_OFF = 75.0, 20.0
"""Mass of a person [kg] (Regulation (EU) 1230/2012 counts 75 kg for a driver, from memory), and how far off it may be."""

ALONG, ALONG_OFF = 0.5, 0.15
"""Front seats behind the front axle as a share of the wheelbase, and how far off that may be [m]; common practice, no source."""

ABOVE, ABOVE_OFF = 0.70, 0.10
"""Their height above the front axle's centre [m]; common practice, no source."""

BED = 0.60
"""Height of a bed or a rear seat above the rear axle's centre [m]; common practice, no source."""


def _seated(at: Where) -> bool:
    return at.name in LOADS_OF_PEOPLE


def mass(truck: Truck, at: Where) -> Worth | None:
    """Return the mass of a person [kg]."""
    return Worth(MASS, MASS_OFF) if _seated(at) else None


def along(truck: Truck, at: Where) -> Worth | None:
    """Return how far a front seat is behind the front axle [m]."""
    return Worth(ALONG * truck.known("length", "wheelbase"), ALONG_OFF) if _seated(at) else None


def up(truck: Truck, at: Where) -> Worth | None:
    """Return the height of a person's centre of gravity [m]."""
    return Worth(centre_height(truck, "front") + ABOVE, ABOVE_OFF) if _seated(at) else None


def point_along(truck: Truck, at: Where) -> Worth | None:
    """Return how far a place where the ride is judged is behind the front axle [m]."""
    share = {"driver": ALONG, "bed": 1.0}.get(at.name)
    return None if share is None else Worth(share * truck.known("length", "wheelbase"), 0.0)


def point_up(truck: Truck, at: Where) -> Worth | None:
    """Return the height of a place where the ride is judged [m]."""
    if at.name == "driver":
        return Worth(centre_height(truck, "front") + ABOVE, 0.0)
    return Worth(centre_height(truck, "rear") + BED, 0.0) if at.name == "bed" else None


SOURCE, REACH, PAGE = GUESS, "bonneted trucks with two front seats", "weights.md"

RULES = (
    Rule("loads.{name}.mass", "mass of a person", "mass", "a usual person", mass, "one person", "Regulation (EU) 1230/2012 counts 75 kg, from memory", PAGE),
    Rule("loads.{name}.place.behind_front_axle", "front seat, along the truck", "length", "half of the wheelbase", along, REACH, SOURCE, PAGE),
    Rule("loads.{name}.place.above_ground", "front seat, above the ground", "length", "700 mm (28 in) above the axle's centre", up, REACH, SOURCE, PAGE),
    Rule("points.{name}.behind_front_axle", "where the ride is judged, along the truck", "length", "seat and bed of a usual truck", point_along, REACH, SOURCE, PAGE),
    Rule("points.{name}.above_ground", "where the ride is judged, above the ground", "length", "seat and bed of a usual truck", point_up, REACH, SOURCE, PAGE),
)  # fmt: skip
