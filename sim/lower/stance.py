"""How the measured truck stands: its masses, the loads of its axles, how far its tyres give."""

from dataclasses import dataclass
from math import sqrt

from sim.describe.parts.axle import Axle
from sim.describe.parts.places import SprungPlace
from sim.describe.parts.tyre import Tyre
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show
from sim.errors import RunError

GRAVITY = 9.80665
"""Standard gravity [m/s²]: ISO 80000-3."""


@dataclass(frozen=True)
class SprungMass:
    """The sprung body with its loads and the dampers' upper ends, as one rigid body."""

    mass: float
    pitch_inertia: float
    place: SprungPlace


@dataclass(frozen=True)
class AxleMass:
    """The axle with the dampers' lower ends; its centre of gravity is given from the axle's centre [m]."""

    mass: float
    pitch_inertia: float
    forward: float
    up: float


@dataclass(frozen=True)
class AxleStance:
    """One axle of the measured truck."""

    load: float  # [N] on the ground
    centre_height: float  # [m] of the axle's centre above the ground


def sprung_mass(vehicle: Vehicle) -> SprungMass:
    """Gather everything that the springs carry."""
    body = vehicle.body
    parts = [(body.mass, body.centre_of_gravity, body.pitch_inertia)]
    parts += [(load.mass, load.place, load.pitch_inertia) for load in vehicle.loads.values()]
    for _, axle in vehicle.axles:
        # A damper's end moves with its mount: its mass counts there, as a point.
        parts += [(d.count * d.mass_on_body, d.body, 0.0) for d in axle.dampers.values()]
    mass = sum(m for m, _, _ in parts)
    if mass <= 0.0:
        raise RunError("The loads take away more mass than the body has; check their signs.")
    behind = sum(m * p.behind_front_axle for m, p, _ in parts) / mass
    above = sum(m * p.above_ground for m, p, _ in parts) / mass
    inertia = sum(i + m * ((p.behind_front_axle - behind) ** 2 + (p.above_ground - above) ** 2) for m, p, i in parts)
    if inertia <= 0.0:
        raise RunError("The loads take away more pitch inertia than the body has; check their signs and places.")
    return SprungMass(mass, inertia, SprungPlace(behind, above))


def axle_mass(axle: Axle) -> AxleMass:
    """Gather housing, wheels and the dampers' lower ends."""
    housing, tyre = axle.housing, axle.tyre
    parts = [(housing.mass, housing.centre_of_gravity.ahead, housing.centre_of_gravity.above)]
    # At the axle's centre, about which wheels turn by themselves: they add nothing to what pitches with the housing.
    parts += [(tyre.count * tyre.heavier_by, 0.0, 0.0)]
    parts += [(d.count * d.mass_on_axle, d.axle.ahead, d.axle.above) for d in axle.dampers.values()]
    mass = sum(m for m, _, _ in parts)
    forward = sum(m * x for m, x, _ in parts) / mass
    up = sum(m * z for m, _, z in parts) / mass
    inertia = housing.pitch_inertia + sum(m * ((x - forward) ** 2 + (z - up) ** 2) for m, x, z in parts)
    return AxleMass(mass, inertia, forward, up)


def axle_stances(vehicle: Vehicle) -> dict[str, AxleStance]:
    """Weigh the truck as it stands measured, and find how far its tyres give.

    Raises
    ------
    RunError
        If an axle would carry nothing, or a tyre gives more than its radius.
    """
    sprung = sprung_mass(vehicle)
    masses = {name: axle_mass(axle) for name, axle in vehicle.axles}
    centre = sprung.place.cg_behind_front_axle
    # Moments about the front axle's contact; an axle's own centre of gravity may stand ahead of its wheels.
    total = sprung.mass + sum(m.mass for m in masses.values())
    moment = sprung.mass * centre + sum(
        m.mass * (vehicle.axle_behind_front_m(name) - m.forward) for name, m in masses.items()
    )
    rear = GRAVITY * moment / vehicle.wheelbase
    loads = {"front": GRAVITY * total - rear, "rear": rear}
    return {name: _axle_stance(name, axle, loads[name]) for name, axle in vehicle.axles}


def _axle_stance(name: str, axle: Axle, load: float) -> AxleStance:
    if load <= 0.0:
        raise RunError(
            f"The {name} axle would carry {show(load, 'load')}: the centre of gravity lies outside the wheelbase. "
            "Check centre_of_gravity, wheelbase and the loads' places."
        )
    tyre = axle.tyre
    rate, rise = tyre_curve(name, tyre, load)
    return AxleStance(load, tyre.radius - tyre_give(name, tyre, load, rate, rise))


def tyre_curve(name: str, tyre: Tyre, load: float) -> tuple[float, float]:
    """Return the rate [N/m] of one tyre at no deflection and its rise [N/m²], with an axle's standing load [N].

    Raises
    ------
    RunError
        If its two rates make no curve that begins at no load.
    """
    rate, twice = tyre.rate_driven, tyre.rate_at_twice_driven
    if twice is None:
        return rate, 0.0
    # (dN/dd)² = k² + 4 k' N on N = k d + k' d²; two rates give k and k'.
    square = 2.0 * rate**2 - twice**2
    if square <= 0.0:
        raise RunError(f"{name} tyre: rate_at_twice_the_load must stay below 1.41 x rate.")
    return sqrt(square), (twice**2 - rate**2) / (4.0 * load / tyre.count)


def tyre_give(name: str, tyre: Tyre, load: float, rate: float, rise: float) -> float:
    """Return how far the tyres of an axle give [m] under its load [N]; rate [N/m] and rise [N/m²] are of one tyre.

    Raises
    ------
    RunError
        If that is more than half of their radius: no tyre stands so, and its axle would soon be below the ground.
    """
    each = load / tyre.count
    # The rising root of N = k d + k' d²; without a rise the formula would divide by zero.
    given = each / rate if rise == 0.0 else (sqrt(rate * rate + 4.0 * rise * each) - rate) / (2.0 * rise)
    if not given <= 0.5 * tyre.radius:
        raise RunError(
            f"The {name} tyres would give {show(given, 'length')} under {show(load, 'load')}, more than half of their radius of "
            f"{show(tyre.radius, 'length')}; check rate, count and the masses."
        )
    return given
