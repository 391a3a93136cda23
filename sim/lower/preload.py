"""The springs that hold the truck where it was measured: free lengths of coils, support of leaf packs."""

from dataclasses import dataclass
from math import sqrt

from sim.describe.parts.guides.series import Path
from sim.describe.parts.springs import LineSpring, SeatSpring
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show
from sim.errors import RunError
from sim.kernel.layout import Line
from sim.lower.seat import about_seat, seat_m
from sim.lower.stance import GRAVITY, AxleStance, axle_mass, sprung_mass


@dataclass(frozen=True)
class Preload:
    """What holds one axle of the measured truck where it was measured."""

    free_length: dict[str, float]  # [m] of each coil by name
    leaf_support: dict[str, float]  # [N] of each pack, all of its count, at zero jounce
    leaf_rate: dict[str, float]  # [N/m] of each pack, all of its count
    raised: dict[str, float]  # [m] by block and shackles, of each pack by name, as measured
    seat_above: dict[str, float]  # [m] of each pack above the axle's centre, without its block, as measured
    wind_up_moment: float  # [N m] on the housing at zero wind-up
    shift_force: float  # [N] forwards on the axle at no give along the truck


def line_levers(line: Line, forward: float, up: float, path: Path) -> tuple[float, float, float, float]:
    """Return a line's length [m] and its derivatives by jounce, wind-up and give along the truck, at zero of all."""
    dx, dz = forward + line.axle_forward - line.body_forward, up + line.axle_up - line.body_up
    length = sqrt(dx * dx + dz * dz + line.sideways * line.sideways)
    place_1, turn_1 = path_slopes(path)
    # A positive turn lowers what is ahead: a point (x, z) from the centre moves by (z, -x).
    by_turn = (dx * line.axle_up - dz * line.axle_forward) / length
    return length, (dx * place_1 + dz) / length + by_turn * turn_1, by_turn, dx / length


def path_slopes(path: Path, jounce: float = 0.0) -> tuple[float, float]:
    """Return the derivatives of the centre's place [-] and of the rotation [rad/m] by jounce."""
    place_1, turn_1 = path.slopes(jounce)
    return float(place_1), float(turn_1)


@dataclass
class _Owed:
    """What the springs of an axle have still to carry, at zero of jounce and wind-up."""

    force: float  # [N] upwards, by jounce
    moment: float  # [N m] by wind-up
    along: float = 0.0  # [N] forwards, by give along the truck

    def press(self, force: float, by_jounce: float, by_turn: float, by_give: float) -> None:
        """Let a line push its ends apart with a force [N]."""
        # Its work is -force x change of length: a line that shortens with jounce (by_jounce below zero) holds the body up.
        self.force += force * by_jounce
        self.moment += force * by_turn
        self.along += force * by_give


def preload(name: str, vehicle: Vehicle, path: Path, stance: AxleStance) -> Preload:
    """Find the springs that hold one axle of the measured truck at zero jounce.

    Springs with a free length of their own carry what they carry; the others share the rest by their rates.

    Raises
    ------
    RunError
        If the springs would have to pull, or their own free lengths do not hold the truck as measured.
    """
    axle = getattr(vehicle, name)
    place = sprung_mass(vehicle).place
    forward = place.cg_behind_front_axle - vehicle.axle_behind_front_m(name)
    # Moments are about the seat, which the housing turns about.
    seat = seat_m(vehicle, name)
    up = stance.centre_height - place.cg_above_ground + seat
    owed = _weight(vehicle, name, path, stance)
    for damper in axle.dampers.values():
        line, _ = damper.lower(place, 1.0)  # only its two ends are wanted, not its length at ride
        # Gas pushes the damper apart and so carries a part of the body.
        owed.press(damper.count * damper.push[0], *line_levers(about_seat(line, seat), forward, up, path)[1:])
    lengths: dict[str, float] = {}
    supports: dict[str, float] = {}
    levers: dict[str, tuple[float, float, float, float]] = {}  # of each coil
    shares: dict[str, float] = {}  # wheel rates of the springs without a free length, which share the rest
    for key, spring in axle.springs.items():
        rate = spring.count * spring.rate_n_per_m
        if isinstance(spring, SeatSpring):
            if spring.free_camber is None:
                shares[key] = rate
            else:
                supports[key] = rate * (spring.free_camber + spring.raised_m)
                owed.force -= supports[key]
            continue
        assert isinstance(spring, LineSpring)  # there is no third way to stand
        line = about_seat(spring.lower(place, 1.0), seat)
        levers[key] = length, by_jounce, by_turn, by_give = line_levers(line, forward, up, path)
        if by_jounce > -0.05:
            raise RunError(f"{name} spring '{key}' hardly shortens as the axle rises; check its seats.")
        if spring.free_length is None:
            # Those without a free length are taken as pressed by the same travel of the axle.
            shares[key] = rate * by_jounce**2
        else:
            lengths[key] = spring.free_length
            pushed = spring.count * max(spring.rate_n_per_m * (spring.free_length - length), 0.0)
            owed.press(pushed, by_jounce, by_turn, by_give)
    for key, carried in _shared(name, owed.force, shares).items():
        spring = axle.springs[key]
        if isinstance(spring, SeatSpring):
            supports[key] = carried
            continue
        length, by_jounce, by_turn, by_give = levers[key]
        force = carried / -by_jounce
        lengths[key] = length + force / (spring.count * spring.rate_n_per_m)
        owed.moment += force * by_turn
        owed.along += force * by_give
    packs = {key: spring for key, spring in axle.springs.items() if isinstance(spring, SeatSpring)}
    rates = {key: pack.count * pack.rate_n_per_m for key, pack in packs.items()}
    raised = {key: pack.raised_m for key, pack in packs.items()}
    above = {key: pack.seat_above for key, pack in packs.items()}
    return Preload(lengths, supports, rates, raised, above, -owed.moment, -owed.along)


def _weight(vehicle: Vehicle, name: str, path: Path, stance: AxleStance) -> _Owed:
    """Return what an axle's springs carry before gas and springs are counted: its load, less the axle's own weight."""
    mass = axle_mass(getattr(vehicle, name))
    _, turn_1 = path_slopes(path)
    # Weight acts at the axle's centre of gravity: as the guide turns the housing, that rises by 1 - forward x turn'.
    return _Owed(stance.load - mass.mass * GRAVITY * (1.0 - mass.forward * turn_1), mass.mass * GRAVITY * mass.forward)


def _shared(name: str, force: float, shares: dict[str, float]) -> dict[str, float]:
    """Return a force [N] shared out among springs by their rates.

    Raises
    ------
    RunError
        If they would have to pull.
    """
    whole = sum(shares.values())
    if whole > 0.0 and force <= 0.0:
        raise RunError(
            f"The {name} springs would have to pull {show(-force, 'force')} to hold the truck as measured; check the masses, "
            "the centre of gravity and any free lengths given."
        )
    return {key: force * share / whole for key, share in shares.items()}
