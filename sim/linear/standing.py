"""How a set-up stands: loads, rates, ratios, travel and stroke, from the same equations as every run."""

from dataclasses import dataclass
from math import cos, inf, nan, pi, sin, sqrt

import numpy as np
import numpy.typing as npt

from sim.describe.lowered import Lowered
from sim.describe.parts.dampers import ramps
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show
from sim.describe.to_measure import estimated
from sim.errors import RunError
from sim.integrate.channels import centre_heights
from sim.integrate.damper_room import room_in_droop
from sim.integrate.line_lengths import line_length, taut_m
from sim.integrate.status import Flag
from sim.kernel import layout as at
from sim.linear.clearances import Clearance, clearances
from sim.linear.damper_ends import AS_ESTIMATED, is_known, jounce_at
from sim.linear.droop import ENDS, STRAP, Droop, droop
from sim.linear.modes import DAMPER_SPEED, Mode, equivalent_damping, modes, straightened
from sim.linear.standing_flags import standing_flags
from sim.lower.lowering import lower
from sim.lower.preload import path_slopes
from sim.lower.rest import Equations, Rest, rest

Array = npt.NDArray[np.float64]
NUDGE = 1e-6
AT_STOP = "at its bump stop"
"""Where bump ends, unless a damper is solid before; and of an axle without a stop beside a dash."""


@dataclass(frozen=True)
class DamperStanding:
    """One damper set where the set-up stands."""

    name: str
    count: int
    motion_ratio: float  # shortening of the damper per jounce of the axle
    length: float  # [m]
    stroke_left_in: float  # [m] until collapsed, nan if its length is not given
    stroke_left_out: float  # [m]
    # [m] until extended where droop ends, with the wind-up that an order counts on, where the housing winds up; nan where either is
    # not known; negative: the damper ends first
    room_in_droop: float
    damping_at_wheel: float  # [N s/m] of all of the set, at the axle
    wind_up_arm: float  # [m] distance of its line from the axle's centre, as wind-up feels it
    oil_mass: float  # [kg] in one, nan without a tube
    heat_capacity: float  # [J/K] of oil and metal of one, nan without a tube


@dataclass(frozen=True)
class AxleStanding:
    """One axle where the set-up stands."""

    load: float  # [N] on the ground
    sprung_mass: float  # [kg] that it carries
    unsprung_mass: float  # [kg]
    jounce: float  # [m] from the measured ride height
    centre_height: float  # [m] above the ground
    wheel_rate: float  # [N/m] of the springs at the axle, gas included, leaf friction not
    tyre_rate: float  # [N/m]
    ride_rate: float  # [N/m] both in series
    ride_frequency: float  # [Hz] of that end alone
    damping_ratio: float  # of that end alone, at DAMPER_SPEED: valving and seals, leaf friction not
    friction_ratio: float  # of it what the friction of the dampers' seals adds
    wind_up_rate: float  # [N m/rad], nan if rigid
    travel_left_up: float  # [m] to the stop, or to where a damper is solid if that is before; nan without a stop
    bump_ends: str  # the damper that is solid before the stop is touched, in words; empty if none is
    travel_left_down: float  # [m] to the strap, nan without one
    droop: Droop  # where its droop ends, strap or not
    droop_left: float  # [m] to there, or to where a damper is fully out if that is before; nan where it is not known
    droop_ends: str  # what ends it, in words
    instant_centre_ahead: float  # [m] of the axle's centre; inf if the housing does not turn
    instant_centre_above: float  # [m] above the ground
    anti_share: float  # rear: anti-squat with rear drive; front: anti-dive with all braking in front
    dampers: tuple[DamperStanding, ...]

    @property
    def frame_up(self) -> float:
        """How far the frame stands above the measured height over this axle [m]: the axle's jounce the other way round."""
        return 0.0 - self.jounce


@dataclass(frozen=True)
class Standing:
    """A set-up at rest."""

    vehicle: Vehicle
    sprung_mass: float  # [kg]
    pitch_inertia: float  # [kg m²]
    cg_behind_front_axle: float  # [m] of the sprung mass
    cg_above_ground: float  # [m] where it stands
    nose_up: float  # [rad] from the measured stance
    axles: dict[str, AxleStanding]
    modes: tuple[Mode, ...]
    flags: tuple[Flag, ...]  # what is wrong with it before it has moved
    clearances: tuple[Clearance, ...] = ()  # as far as its outline was taped

    @property
    def whole_height(self) -> float:
        """Height of the whole truck's centre of gravity above the ground [m], its axles taken at their centres."""
        parts = [(self.sprung_mass, self.cg_above_ground)]
        parts += [(axle.unsprung_mass, axle.centre_height) for axle in self.axles.values()]
        return sum(m * z for m, z in parts) / sum(m for m, _ in parts)


def stand(vehicle: Vehicle, guessed: frozenset[str] | None = None) -> Standing:
    """Put a set-up at rest and say how it stands.

    Parameters
    ----------
    vehicle : Vehicle
    guessed : frozenset of str, optional
        Paths of the numbers that nobody gave (`to_measure.estimated`) of the set-up that this one is drawn from: a draw has a value for
        each, and its travel is counted by the same ends.

    Raises
    ------
    RunError
        If it cannot stand.
    """
    setup = lower(vehicle)
    standing = rest(setup)
    return Standing(
        vehicle, setup.body.mass, setup.body.pitch_inertia, setup.place.cg_behind_front_axle,
        float(standing.state[at.Z]), -float(standing.state[at.PITCH]),
        axles_at_rest(setup, standing, guessed), modes(setup),
        standing_flags(setup, standing), clearances(setup, standing),
    )  # fmt: skip


def axles_at_rest(setup: Lowered, standing: Rest, guessed: frozenset[str] | None = None) -> dict[str, AxleStanding]:
    """Return both axles of a set-up that is at rest; `guessed` is that of `stand`."""
    of = estimated(setup.vehicle) if guessed is None else guessed
    return {name: _axle(setup, standing, name, of) for name in ("front", "rear")}


def _axle(setup: Lowered, standing: Rest, name: str, guessed: frozenset[str]) -> AxleStanding:
    index = ("front", "rear").index(name)
    axle, path, vehicle = setup.axles[name], setup.paths[name], setup.vehicle
    part = dict(vehicle.axles)[name]
    gravity = setup.body.gravity
    jounce = float(standing.state[at.JOUNCE + 2 * index])
    load = standing.tyre_load[index]
    wheel_rate, tyre_rate = _rates(setup, standing, index)
    ride_rate = wheel_rate * tyre_rate / (wheel_rate + tyre_rate)
    sprung = load / gravity - axle.mass
    end = droop(setup, standing, name)
    bump_ends, up = _first(setup, standing, index, "collapsed", part.stop.gap, guessed) if part.stop else ("", nan)
    droop_ends, down = "", nan
    if end.place:
        strapped = end.place == STRAP
        droop_ends, down = _first(setup, standing, index, "extended", end.jounce, guessed, strapped)
    dampers = tuple(
        _damper(setup, standing, index, n, end)
        for n, line in enumerate(setup.lines)
        if line.axle == name and line.role == "damper"
    )
    damping = sum(d.damping_at_wheel for d in dampers)
    if wheel_rate <= 0.0 or sprung <= 0.0:
        raise RunError(
            f"It has no height at which it stays: the {name} springs hold {show(wheel_rate, 'stiffness')} at the axle. Look at what is written of these springs: "
            "wire, coils and leaves, or their rate."
        )
    critical = 2.0 * sqrt(wheel_rate * sprung)
    seals = sum(
        own.count * one.motion_ratio**2 * equivalent_damping(ramps.friction(own.friction), DAMPER_SPEED)
        for one in dampers
        if (own := part.dampers[one.name]).friction
    )
    place_1, turn_1 = path_slopes(path, jounce)
    place_1 -= axle.seat_above * turn_1  # of the axle's centre, below its seat
    centre_height = float(centre_heights(setup, name, standing.state[None])[0])
    taut = taut_m(setup, name)
    pitch = float(standing.state[at.PITCH])
    ahead, above = _instant_centre(place_1, turn_1, pitch)
    slope = _slope(place_1, turn_1, centre_height, pitch)
    anti = (-slope if name == "rear" else slope) / (_whole_height(setup, standing) / vehicle.wheelbase)
    return AxleStanding(
        load=load, sprung_mass=sprung, unsprung_mass=axle.mass, jounce=jounce, centre_height=centre_height,
        wheel_rate=wheel_rate, tyre_rate=tyre_rate, ride_rate=ride_rate,
        ride_frequency=sqrt(ride_rate / sprung) / 2.0 / pi, damping_ratio=damping / critical, friction_ratio=seals / critical,
        wind_up_rate=axle.wind_up_rate if axle.wind_up_free else nan,
        travel_left_up=up - jounce, bump_ends=bump_ends,
        travel_left_down=jounce - taut if taut is not None else nan, droop=end, droop_left=jounce - down,
        droop_ends=droop_ends or ENDS[end.place],
        instant_centre_ahead=ahead, instant_centre_above=centre_height + above, anti_share=anti, dampers=dampers,
    )  # fmt: skip


def _first(
    setup: Lowered, standing: Rest, index: int, end: str, far: float, guessed: frozenset[str], held: bool = True
) -> tuple[str, float]:
    """Return which damper meets its end before an axle is at a jounce [m], in words, and the jounce [m] that can be reached.

    `held`: a stop or strap ends that travel. An estimated damper takes nothing from one that is there; without one it is all that there is.
    """
    axle = ("front", "rear")[index]
    ride, wind_up = (float(standing.state[place + 2 * index]) for place in (at.JOUNCE, at.WIND_UP))
    words, reached = "", far
    for line in setup.lines:
        if line.role != "damper" or line.axle != axle:
            continue
        known = is_known(guessed, axle, line.name, end)
        if known or not held:
            length = line.line.length_collapsed if end == "collapsed" else line.line.length_extended
            met = jounce_at(setup, line, length, ride, reached, wind_up)
            if met is not None:
                words = f"damper '{line.name}' is {'solid' if end == 'collapsed' else 'fully out'} first"
                words, reached = words if known else f"{words}, {AS_ESTIMATED}", met
    return words, reached


def _instant_centre(place_1: float, turn_1: float, pitch: float) -> tuple[float, float]:
    """Return where the housing turns about the body, ahead of and above the axle's centre [m]; inf, nan if it does not.

    There its velocity per jounce, (place' + z turn', 1 - x turn') in body axes, is zero; turned to level ground.
    """
    if abs(turn_1) < 1e-9:
        return inf, nan
    x, z = 1.0 / turn_1, -place_1 / turn_1
    return x * cos(pitch) + z * sin(pitch), z * cos(pitch) - x * sin(pitch)


def _slope(place_1: float, turn_1: float, radius: float, pitch: float) -> float:
    """Return how far the contact patch goes forwards as it comes up by one against the body, the wheel held to its housing.

    A forward force there holds the body up by so much of itself: place' - radius turn' in body axes, turned to level ground.
    """
    forward = place_1 - radius * cos(pitch) * turn_1
    up = 1.0 - radius * sin(pitch) * turn_1
    return (forward * cos(pitch) + up * sin(pitch)) / (up * cos(pitch) - forward * sin(pitch))


def _whole_height(setup: Lowered, standing: Rest) -> float:
    """Return the height above the ground of the whole truck's centre of gravity [m], where it stands."""
    parts = [(setup.body.mass, float(standing.state[at.Z]))]
    for name, axle in setup.axles.items():
        # What is on the axle counts from the seat, which lies above its centre.
        own = float(centre_heights(setup, name, standing.state[None])[0]) + axle.seat_above + axle.gravity_up
        parts.append((axle.mass, own))
    return sum(mass * height for mass, height in parts) / sum(mass for mass, _ in parts)


def _rates(setup: Lowered, standing: Rest, index: int) -> tuple[float, float]:
    """Return the springs' rate at the axle and the tyres' rate [N/m], by moving the axle alone."""
    equations = Equations(straightened(setup))
    forces, loads = [], []
    for sense in (1.0, -1.0):
        state = standing.state.copy()
        state[[at.FRICTION, at.FRICTION + 1]] = 0.0
        state[at.JOUNCE + 2 * index] += sense * NUDGE
        equations.derivative(state)
        forces.append(equations.jounce_force(index))
        loads.append(equations.tyre_loads()[index])
    return (forces[1] - forces[0]) / (2.0 * NUDGE), (loads[1] - loads[0]) / (2.0 * NUDGE)


def _damper(setup: Lowered, standing: Rest, index: int, number: int, end: Droop) -> DamperStanding:
    line = setup.lines[number]
    jounce = float(standing.state[at.JOUNCE + 2 * index])
    wind_up = float(standing.state[at.WIND_UP + 2 * index])
    length = line_length(setup, line, jounce, wind_up)
    by_jounce = (
        line_length(setup, line, jounce + NUDGE, wind_up) - line_length(setup, line, jounce - NUDGE, wind_up)
    ) / (2 * NUDGE)
    by_wind_up = (
        line_length(setup, line, jounce, wind_up + NUDGE) - line_length(setup, line, jounce, wind_up - NUDGE)
    ) / (2 * NUDGE)
    part = dict(setup.vehicle.axles)[line.axle].dampers[line.name]
    damping = equivalent_damping(line.knots, DAMPER_SPEED)
    return DamperStanding(
        name=line.name, count=part.count, motion_ratio=-by_jounce, length=length,
        stroke_left_in=nan if part.length_collapsed is None else length - part.length_collapsed,
        stroke_left_out=nan if part.length_extended is None else part.length_extended - length,
        room_in_droop=room_in_droop(setup, line, jounce, end.jounce),
        damping_at_wheel=part.count * damping * by_jounce**2, wind_up_arm=abs(by_wind_up),
        oil_mass=part.tube.oil_mass if part.tube else nan, heat_capacity=part.tube.heat_capacity if part.tube else nan,
    )  # fmt: skip
