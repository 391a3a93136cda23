"""What shops get wrong when they convert: one damper to two, tube up or down, lean through the travel, the push of gas."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import nan

import numpy as np
import numpy.typing as npt

from sim.describe.lowered import Lowered
from sim.describe.parts.dampers.testing import TEST_SPEEDS
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show
from sim.errors import InputError
from sim.integrate.cures import MORE_GAS
from sim.integrate.status import Flag
from sim.kernel import layout as at
from sim.linear.modes import modes
from sim.linear.standing_flags import standing_flags
from sim.lower.lowering import lower
from sim.lower.rest import rest
from sim.study.damper_travel import Placed, placed
from sim.study.fit import fits

Array = npt.NDArray[np.float64]

STEPS = 61
"""Places of the travel, evenly spaced, at which lean and ratio are given, beside where the set-up stands."""

FASTEST = 3.0
"""Speed [m/s] up to which converted forces are written."""


@dataclass(frozen=True)
class Member:
    """A damper set as the wheel feels it: how many, and its motion ratio at ride."""

    axle: str
    name: str
    count: int
    ratio: float


@dataclass(frozen=True)
class Converted:
    """What each damper of a set must give so that the wheel feels no difference.

    Attributes
    ----------
    member : Member
        The set in its new place.
    speed : (n,) array
        Speeds of the damper itself [m/s].
    compression, rebound : (n,) array
        Force of one [N], positive.
    """

    member: Member
    speed: Array
    compression: Array
    rebound: Array

    def force(self, way: str, speed: float) -> float:
        """Return the force of one [N] at a speed of its own [m/s]."""
        return float(np.interp(speed, self.speed, self.compression if way == "compression" else self.rebound))


@dataclass(frozen=True)
class EndUp:
    """A set with its tube at one end.

    Attributes
    ----------
    tube_end : "down" or "up"
    unsprung : float
        Mass of the axle [kg].
    hop_hz, hop_damping : float
        Its hop; nan if the set may not stand so.
    refused : str
        Why it may not.
    """

    axle: str
    name: str
    tube_end: str
    fitted: bool
    unsprung: float
    hop_hz: float
    hop_damping: float
    refused: str = ""


@dataclass(frozen=True)
class Through:
    """A set through its axle's travel, at rest's wind-up, and what that travel does to the axle.

    Attributes
    ----------
    axle, name : str
    ride : float
        Where the set-up stands [m].
    places : tuple of Placed
    castor : tuple of float
        By how much guide, bushes and the body's pitch as the set-up stands turn the housing backwards at the top, from where the truck was
        measured [rad]: castor gained by a steered axle, against the ground.
    steer : tuple of float or None
        By how much the travel turns its steering arm from where the set-up stands [rad], if it has a drag link (`DragLink.steers`).
    """

    axle: str
    name: str
    ride: float
    places: tuple[Placed, ...]
    castor: tuple[float, ...] = ()
    steer: tuple[float, ...] | None = None


@dataclass(frozen=True)
class GasLift:
    """What the gas of a set does to the height of the body.

    Attributes
    ----------
    push, rate : float
        Of one damper [N], [N/m].
    rise : dict of str to float
        By how much the body stands higher above each axle with the gas than without [m].
    """

    axle: str
    name: str
    count: int
    push: float
    rate: float
    rise: dict[str, float]


def faults_at_rest(vehicle: Vehicle) -> tuple[Flag, ...]:
    """Return what is wrong with a set-up as it stands, and with its dampers over the axles' travel.

    A damper that does not fit between squeezed stop and taut strap is reported as one that meets its end.
    """
    setup = lower(vehicle)
    unfit = [
        Flag("damper_end", None, f"{fit.axle} damper '{fit.name}'", text)
        for fit in fits(vehicle)
        for text in fit.problems
    ]
    # That a damper is solid before its stop is among what does not fit.
    standing = [flag for flag in standing_flags(setup, rest(setup)) if flag.kind != "solid_first"]
    return (*standing, *unfit)


def starved(vehicle: Vehicle, speeds: Array) -> tuple[Flag, ...]:
    """Return a flag for every damper set whose gas does not carry its curve up to speeds of its own [m/s]."""
    flags = []
    for axle, of in vehicle.axles:
        for name, part in of.dampers.items():
            both = np.concatenate([speeds, -speeds])
            past = np.abs(both[part.valving.starved(both)])
            if past.size:
                who = f"{axle} damper '{name}'"
                flags.append(
                    Flag(
                        "cavitation", None, who,
                        f"{who} draws gas bubbles into its oil from {show(float(past.min()), 'speed')} on: beyond that the curve that is "
                        f"converted is not what it gives. {MORE_GAS}",
                    )
                )  # fmt: skip
    return tuple(flags)


def members(vehicle: Vehicle) -> dict[str, list[Member]]:
    """Return the damper sets of each axle with their ratios where the set-up stands."""
    sets: dict[str, list[Member]] = {"front": [], "rear": []}
    for fit in fits(vehicle):
        sets[fit.axle].append(Member(fit.axle, fit.name, fit.count, fit.places["ride"].motion_ratio))
    return sets


def converted(given: Vehicle, wanted: Vehicle) -> tuple[Converted, ...]:
    """Return what each damper of another set-up must give so that each wheel has the curve of the given one.

    Notes
    -----
    The wheel curve is W(u) = sum of n R F(R u) over the given sets; each of the M dampers wanted on that axle takes an equal part
    of it: F_j(s) = W(s / R_j) / (M R_j), every ratio where its set-up stands. Gas and seals are apart from it. An axle for which
    no damper is wanted has nothing to convert and is left out.

    Raises
    ------
    InputError
        If an axle is to have dampers where the given set-up has none, or a damper hardly moves with its wheel.
    """
    before, after = members(given), members(wanted)
    conversions = []
    for axle in ("front", "rear"):
        if not after[axle]:
            continue
        if not before[axle]:
            raise InputError(f"the {axle} axle has no dampers to convert from: choose another set-up with --from")
        for member in (*before[axle], *after[axle]):
            # A rate at the wheel goes with R²: at a twentieth a damper must be 400 times as hard as one at the wheel.
            if member.ratio < 0.05:
                raise InputError(
                    f"{axle} damper '{member.name}' hardly moves with its wheel (motion ratio {member.ratio:.2f}): no valving makes up for that"
                )
        sets = [(member, dict(given.axles)[axle].dampers[member.name].valving) for member in before[axle]]
        # All sets of the axle share the wheel's force evenly, each damper the same part.
        together = sum(member.count for member in after[axle])
        for member in after[axle]:
            # Forces bend at the knees of the given laws, which the new ratio moves to other damper speeds.
            speed = _speeds([(m.ratio, [k.start for k in law.lower()]) for m, law in sets], member.ratio)
            wheel = speed / member.ratio
            # abs: a law's rebound is negative, and an order sheet has both ways positive.
            ways = [
                sum(abs(m.count * m.ratio * np.asarray(law.force(sense * m.ratio * wheel))) for m, law in sets)
                / (together * member.ratio)
                for sense in (1.0, -1.0)
            ]
            conversions.append(Converted(member, speed, np.asarray(ways[0]), np.asarray(ways[1])))
    return tuple(conversions)


def _speeds(sources: Sequence[tuple[float, Sequence[float]]], ratio: float) -> Array:
    """Return damper speeds [m/s] close enough that a curve drawn through them keeps the knees of its sources."""
    knees = [start * ratio / own for own, starts in sources for start in starts]
    # A point close by on either side of each knee, or the line between two speeds would cut its corner.
    near = [knee * (1.0 + part) for knee in knees for part in (-0.02, 0.0, 0.02)]
    # Rounded before `unique`, which would keep speeds that differ in their last bit alone.
    speeds = np.unique(np.round([*TEST_SPEEDS, *np.geomspace(0.01, FASTEST, 50), *near], 4))
    inside: Array = speeds[(speeds > 0.0) & (speeds <= FASTEST)]
    return inside


def doubled(vehicle: Vehicle) -> Vehicle:
    """Return the set-up with twice as many dampers in every set, on the mounts that they have."""
    changes = {
        f"{axle}.dampers.{name}.count": 2 * part.count
        for axle, of in vehicle.axles
        for name, part in of.dampers.items()
    }
    return vehicle.changed(changes)


def ends_up(vehicle: Vehicle) -> tuple[EndUp, ...]:
    """Return every set with its tube down and up: what the axle weighs, and how it hops."""
    ends = []
    for axle, of in vehicle.axles:
        for name, part in of.dampers.items():
            for end in ("down", "up"):
                fitted = end == part.tube_end
                # A twin-tube with a free oil surface may not stand tube up: that is a row of the answer, not its end.
                try:
                    turned = vehicle if fitted else vehicle.changed({f"{axle}.dampers.{name}.tube_end": end})
                    setup = lower(turned)
                except InputError as error:
                    reason = error.problems[0].message
                    ends.append(EndUp(axle, name, end, fitted, nan, nan, nan, reason))
                    continue
                # A motion is named after what moves most in it, so none need be called the hop of this axle.
                hop = next((mode for mode in modes(setup) if mode.name == f"{axle} hop"), None)
                hertz, damping = (nan, nan) if hop is None else (hop.frequency_hz, hop.damping_ratio)
                ends.append(EndUp(axle, name, end, fitted, setup.axles[axle].mass, hertz, damping))
    return tuple(ends)


def through_travel(vehicle: Vehicle) -> tuple[Through, ...]:
    """Return lean and motion ratio of every set, castor and bump steer of its axle, from taut strap to squeezed stop, from the geometry that runs use."""
    setup = lower(vehicle)
    standing = rest(setup)
    sets = []
    for fit in fits(vehicle):
        line = next(n for n in setup.lines if (n.axle, n.role, n.name) == (fit.axle, "damper", fit.name))
        jounces = [place.jounce for place in fit.places.values()]
        low, high = min(jounces), max(jounces)
        if high - low < 1e-3:  # neither stop nor strap
            low, high = low - 0.1, high + 0.1
        # At the wind-up in which the set-up stands: 0.0 below asks for that alone, not for the extremes over a range.
        wind_up = float(standing.state[at.WIND_UP + 2 * ("front", "rear").index(fit.axle)])
        ride = fit.places["ride"].jounce
        travel = np.union1d(np.linspace(low, high, STEPS), [ride])
        places = tuple(placed(setup, line, float(j), 0.0, wind_up) for j in travel)
        # With the bushes as they give where it stands, and against the ground: at ride the number of `lift` and of the page after fitting.
        given = wind_up + float(standing.state[at.PITCH])
        castor = tuple(-float(turn) - given for turn in setup.paths[fit.axle].at(travel)[1])
        sets.append(Through(fit.axle, fit.name, ride, places, castor, _steered(setup, fit.axle, travel, ride)))
    return tuple(sets)


def _steered(setup: Lowered, name: str, travel: Array, ride: float) -> tuple[float, ...] | None:
    """Return by how much an axle's travel turns its steering arm [rad] at each jounce; None without a drag link."""
    link = dict(setup.vehicle.axles)[name].drag_link
    if link is None:
        return None
    jounce = np.append(travel, ride)
    centre, turn = setup.paths[name].at(jounce)
    above = link.axle.above - setup.axles[name].seat_above
    x = centre + link.axle.ahead * np.cos(turn) + above * np.sin(turn)
    z = setup.axles[name].seat_up + jounce + above * np.cos(turn) - link.axle.ahead * np.sin(turn)
    along, drop = x - setup.place.forward(link.box), setup.place.up(link.box) - z
    return tuple(float(turned) for turned in link.steers(along, drop, -1)[:-1])


def gas_lifts(vehicle: Vehicle) -> tuple[GasLift, ...]:
    """Return what the gas of every set adds to the height of the body, by putting the set-up at rest with and without."""
    # Rest with all gas is the same for every set, so it is worked out once.
    with_gas = _jounces(vehicle)
    lifts = []
    for axle, of in vehicle.axles:
        for name, part in of.dampers.items():
            push, rate = part.push
            if push == 0.0:
                continue
            path = f"{axle}.dampers.{name}"
            # A law of valve parts holds its gas in itself; any other has it as a force of the set.
            let_out = {f"{path}.valving.{place}": written for place, written in part.valving.without_gas.items()}
            without = _jounces(vehicle.changed(let_out or {f"{path}.gas_force": "0 N"}))
            # Gas lifts the body, and jounce is the axle's rise towards it: with gas there is less.
            rise = {end: without[end] - with_gas[end] for end in ("front", "rear")}
            lifts.append(GasLift(axle, name, part.count, push, rate, rise))
    return tuple(lifts)


def _jounces(vehicle: Vehicle) -> dict[str, float]:
    state = rest(lower(vehicle)).state
    # Jounce and wind-up stand axle by axle in a state, so the axles' rows are two apart.
    return {name: float(state[at.JOUNCE + 2 * index]) for index, name in enumerate(("front", "rear"))}
