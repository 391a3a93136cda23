"""How the measured truck stands: masses, axle loads, and the springs that hold it where it was measured."""

from dataclasses import dataclass
from math import sqrt

from sim.describe.parts.axle import Axle
from sim.describe.parts.guides.series import Path
from sim.describe.parts.places import SprungPlace
from sim.describe.parts.springs import LineSpring, SeatSpring
from sim.describe.parts.tyre import Tyre
from sim.describe.parts.vehicle import Vehicle
from sim.errors import RunError
from sim.kernel.layout import Line

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
    housing = axle.housing
    parts = [(housing.mass, housing.centre_of_gravity.ahead, housing.centre_of_gravity.above)]
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
            f"The {name} axle would carry {load:.0f} N: the centre of gravity lies outside the wheelbase. "
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
    if tyre.rate_at_twice_the_load is None:
        return tyre.rate, 0.0
    # (dN/dd)² = k² + 4 k' N on N = k d + k' d²; two rates give k and k'.
    square = 2.0 * tyre.rate**2 - tyre.rate_at_twice_the_load**2
    if square <= 0.0:
        raise RunError(f"{name} tyre: rate_at_twice_the_load must stay below 1.41 x rate.")
    return sqrt(square), (tyre.rate_at_twice_the_load**2 - tyre.rate**2) / (4.0 * load / tyre.count)


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
            f"The {name} tyres would give {given * 1e3:.0f} mm under {load:.0f} N, more than half of their radius of "
            f"{tyre.radius * 1e3:.0f} mm; check rate, count and the masses."
        )
    return given


@dataclass(frozen=True)
class Preload:
    """What holds one axle of the measured truck where it was measured."""

    free_length: dict[str, float]  # [m] of each coil by name
    leaf_support: dict[str, float]  # [N] of each pack, all of its count, at zero jounce
    wind_up_moment: float  # [N m] on the housing at zero wind-up
    shift_force: float  # [N] forwards on the axle at no give along the truck


def line_levers(line: Line, forward: float, up: float, path: Path) -> tuple[float, float, float]:
    """Return a line's length [m] and its derivatives by jounce and wind-up, at zero of both."""
    dx, dz = forward + line.axle_forward - line.body_forward, up + line.axle_up - line.body_up
    length = sqrt(dx * dx + dz * dz + line.sideways * line.sideways)
    place_1, turn_1 = path_slopes(path)
    # A positive turn lowers what is ahead: a point (x, z) from the centre moves by (z, -x).
    by_turn = (dx * line.axle_up - dz * line.axle_forward) / length
    return length, (dx * place_1 + dz) / length + by_turn * turn_1, by_turn


def line_ahead(line: Line, forward: float, up: float) -> float:
    """Return by how much a line lengthens as the axle moves forward, with no turn of its housing."""
    dx, dz = forward + line.axle_forward - line.body_forward, up + line.axle_up - line.body_up
    return dx / sqrt(dx * dx + dz * dz + line.sideways * line.sideways)


def path_slopes(path: Path, jounce: float = 0.0) -> tuple[float, float]:
    """Return the derivatives of the centre's place [-] and of the rotation [rad/m] by jounce."""
    place_1, turn_1 = path.slopes(jounce)
    return float(place_1), float(turn_1)


def preload(name: str, vehicle: Vehicle, path: Path, stance: AxleStance) -> Preload:
    """Find the springs that hold one axle of the measured truck at zero jounce.

    Springs with a free length of their own carry what they carry; the others share the rest by their rates.

    Raises
    ------
    RunError
        If the springs would have to pull, or their own free lengths do not hold the truck as measured.
    """
    axle = getattr(vehicle, name)
    sprung = sprung_mass(vehicle)
    mass = axle_mass(axle)
    forward = sprung.place.cg_behind_front_axle - vehicle.axle_behind_front_m(name)
    up = stance.centre_height - sprung.place.cg_above_ground
    _, turn_1 = path_slopes(path)
    # Weight acts at the axle's centre of gravity: as the guide turns the housing, that rises by 1 - forward x turn'.
    wanted = stance.load - mass.mass * GRAVITY * (1.0 - mass.forward * turn_1)
    moment = mass.mass * GRAVITY * mass.forward
    pushed = 0.0  # forwards, by all that stands between body and axle
    for damper in axle.dampers.values():
        line, _ = damper.lower(sprung.place, 1.0)  # only its two ends are wanted, not its length at ride
        _, by_jounce, by_turn = line_levers(line, forward, up, path)
        # Gas pushes the damper apart and so carries a part of the body (by_jounce is below zero).
        wanted += damper.count * damper.push[0] * by_jounce
        moment += damper.count * damper.push[0] * by_turn
        pushed += damper.count * damper.push[0] * line_ahead(line, forward, up)
    lengths: dict[str, float] = {}
    supports: dict[str, float] = {}
    open_coils: dict[str, tuple[LineSpring, float, float, float, float]] = {}
    open_packs: dict[str, SeatSpring] = {}
    shares: dict[str, float] = {}
    for key, spring in axle.springs.items():
        if isinstance(spring, SeatSpring):
            if spring.free_camber is None:
                open_packs[key] = spring
                shares[key] = spring.count * spring.rate_n_per_m
            else:
                supports[key] = spring.count * spring.rate_n_per_m * spring.free_camber
                wanted -= supports[key]
            continue
        assert isinstance(spring, LineSpring)  # there is no third way to stand
        line = spring.lower(sprung.place, 1.0)
        length, by_jounce, by_turn = line_levers(line, forward, up, path)
        if by_jounce > -0.05:
            raise RunError(f"{name} spring '{key}' hardly shortens as the axle rises; check its seats.")
        if spring.free_length is None:
            open_coils[key] = (spring, length, by_jounce, by_turn, 0.0)
            # Wheel rate: those without a free length are taken as pressed by the same travel of the axle.
            shares[key] = spring.count * spring.rate_n_per_m * by_jounce**2
        else:
            lengths[key] = spring.free_length
            force = spring.count * max(spring.rate_n_per_m * (spring.free_length - length), 0.0)
            wanted += force * by_jounce
            moment += force * by_turn
            pushed += force * line_ahead(line, forward, up)
    whole = sum(shares.values())
    if whole > 0.0 and wanted <= 0.0:
        raise RunError(
            f"The {name} springs would have to pull {-wanted:.0f} N to hold the truck as measured; check the masses, "
            "the centre of gravity and any free lengths given."
        )
    for key, (spring, length, by_jounce, by_turn, _) in open_coils.items():
        force = wanted * shares[key] / whole / -by_jounce
        lengths[key] = length + force / (spring.count * spring.rate_n_per_m)
        moment += force * by_turn
        pushed += force * line_ahead(spring.lower(sprung.place, 1.0), forward, up)
    for key in open_packs:
        supports[key] = wanted * shares[key] / whole
    return Preload(lengths, supports, -moment, -pushed)
