"""Whether a damper is as long as its place asks: eye to eye over the axle's whole travel, against its own ends."""

from dataclasses import dataclass
from math import acos, asin, atan2, cos, degrees, inf, nan, radians

import numpy as np

from sim.describe.lowered import Lowered, NamedLine
from sim.describe.parts.dampers.damper_set import FREE_OIL_LEAN, DamperSet
from sim.describe.parts.vehicle import Vehicle
from sim.integrate.channels import line_length, taut_m
from sim.kernel import layout as at
from sim.lower.lowering import lower
from sim.lower.rest import rest

WIND_UP = radians(5.0)
"""Wind-up each way [rad] that a damper must have room for: 5 to 10 degrees are quoted for leaf packs; common practice, no source."""

LEAST_MARGIN = 0.0127
"""Room [m] that the trade leaves between stop or strap and a damper's end: 1/2 to 1 in; common practice, no source."""

NUDGE = 1e-5  # [m], half the span of the central difference that gives the motion ratio

PLACES, TURNS = 41, 21
"""Places of the travel, and turns of the housing at each, at which a length is looked at."""


@dataclass(frozen=True)
class Placed:
    """A damper at one place of its axle's travel."""

    jounce: float  # [m] from the measured ride height, up positive
    length: float  # [m] eye to eye, the least (in bump) or greatest (in droop) over the wind-up range
    motion_ratio: float  # shortening per jounce
    lean_side: float  # [rad] from upright, in side view, positive with its top ahead
    lean_behind: float  # [rad] from upright, seen from behind

    @property
    def lean(self) -> float:
        """Whole lean from upright [rad]."""
        # In the side view the damper shows cos(lean_behind) of its length, and cos(lean_side) of that stands upright.
        return acos(cos(self.lean_side) * cos(self.lean_behind))


@dataclass(frozen=True)
class Fit:
    """One damper set of one set-up.

    Attributes
    ----------
    axle, name : str
    count : int
    places : dict of str to Placed
        By place: "strap taut", "ride", "stop touched", "stop squeezed"; only those the axle has.
    margin_in, margin_out : float
        Room [m] that is left to collapsed and to extended, wherever between squeezed stop and taut strap and however far the
        housing is wound up it is least; inf if not known.
    collapsed, extended : float
        Its own ends [m]; nan if not given.
    problems, notes : tuple of str
        What will break, with the cure; what is less than the trade leaves, or what limits travel instead.
    """

    axle: str
    name: str
    count: int
    places: dict[str, Placed]
    margin_in: float
    margin_out: float
    collapsed: float
    extended: float
    problems: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def left_in(self) -> float:
        """Stroke left inwards at ride [m]."""
        return self.places["ride"].length - self.collapsed

    @property
    def left_out(self) -> float:
        """Stroke left outwards at ride [m]."""
        return self.extended - self.places["ride"].length


def fits(vehicle: Vehicle) -> tuple[Fit, ...]:
    """Return the fit of every damper set of a set-up.

    Raises
    ------
    RunError
        If it cannot stand.
    """
    setup = lower(vehicle)
    standing = rest(setup)
    sets = []
    for line in setup.lines:
        if line.role == "damper":
            index = ("front", "rear").index(line.axle)
            ride = float(standing.state[at.JOUNCE + 2 * index])
            sets.append(_fit(setup, line, ride, float(standing.state[at.WIND_UP + 2 * index])))
    return tuple(sets)


def _fit(setup: Lowered, line: NamedLine, ride: float, wind_up: float) -> Fit:
    part = dict(setup.vehicle.axles)[line.axle].dampers[line.name]
    free = bool(setup.axles[line.axle].wind_up_free)
    # A housing that its guide holds does not wind up, so there is one length and no range of them.
    places = {
        name: placed(setup, line, jounce, sense if free else 0.0, wind_up)
        for name, (jounce, sense) in _looked_at(setup, line.axle, ride).items()
    }
    who = f"{line.axle} damper '{line.name}'"
    least, most = _extremes(setup, line, [place.jounce for place in places.values()], free)
    inside, outside = inf, inf
    problems: list[str] = []
    notes: list[str] = []
    # Without a stop nothing says how far the axle comes up: room inwards is unknown (inf), not none.
    if part.length_collapsed is not None and "stop squeezed" in places:
        inside = least - part.length_collapsed
        _judge_room(inside, _BUMP, who, problems, notes)
    if part.length_extended is not None and "strap taut" in places:
        outside = part.length_extended - most
        _judge_room(outside, _DROOP, who, problems, notes)
    if "strap taut" not in places:
        notes.append(
            f"{who}: no strap limits droop, so the damper may have to; measure its length with the axle hanging"
        )
    if "stop squeezed" not in places:
        notes.append(f"{who}: no stop limits bump, so the damper may have to")
    if part.length_collapsed is None or part.length_extended is None:
        notes.append(f"{who}: its own length, collapsed or extended, is not given, so what is left there is not known")
    _judge_lean(part, max(place.lean for place in places.values()), who, problems, notes)
    return Fit(
        line.axle, line.name, part.count, places, inside, outside, part.length_collapsed or nan, part.length_extended or nan,
        tuple(problems), tuple(notes),
    )  # fmt: skip


def _looked_at(setup: Lowered, axle: str, ride: float) -> dict[str, tuple[float, float]]:
    """Return the places of an axle's travel by name: jounce [m], and which way wind-up counts there (see `placed`)."""
    places: dict[str, tuple[float, float]] = {}
    taut = taut_m(setup, axle)
    if taut is not None:
        places["strap taut"] = taut, 1.0
    places["ride"] = ride, 0.0
    stop = dict(setup.vehicle.axles)[axle].stop
    if stop is not None:
        places["stop touched"] = stop.gap, -1.0
        places["stop squeezed"] = stop.gap + stop.squeeze, -1.0
    return places


# In words for an end of a damper: what it is too soon, before what, what it then becomes, the cure, and the room between.
_BUMP = (
    "solid",
    "its stop is fully squeezed",
    "stop",
    "shorter collapsed, or a taller stop",
    "squeezed stop to collapsed",
)
_DROOP = "fully out", "its strap is taut", "strap", "longer extended, or a shorter strap", "taut strap to extended"


def _judge_room(
    room: float, words: tuple[str, str, str, str, str], who: str, problems: list[str], notes: list[str]
) -> None:
    """Add what the room [m] to one end of a damper calls for, if anything."""
    ended, before, becomes, cure, between = words
    if room < 0.0:
        problems.append(
            f"{who} is {ended} {-room * 1e3:.0f} mm before {before}: it becomes the {becomes} and tears its "
            f"mount. Fit one at least {(LEAST_MARGIN - room) * 1e3:.0f} mm {cure}."
        )
    elif room < LEAST_MARGIN:
        notes.append(f"{who}: {room * 1e3:.0f} mm from the {between}; 13 to 25 mm are usual")


def _judge_lean(part: DamperSet, lean: float, who: str, problems: list[str], notes: list[str]) -> None:
    """Add what a lean from upright [rad] does to a damper of its construction, if anything."""
    if part.built == "twin_tube" and lean > FREE_OIL_LEAN:
        problems.append(
            f"{who} leans up to {degrees(lean):.0f} deg over its travel: a twin-tube with a free oil surface takes in its gas "
            f"past {degrees(FREE_OIL_LEAN):.0f} deg. Stand it up, or fit one with a gas cell or a monotube."
        )
    if part.built is None and (part.tube_end == "up" or lean > FREE_OIL_LEAN):
        notes.append(
            f"{who}: how it is built is not given, and a twin-tube with a free oil surface could not stand so; say its construction"
        )


def _extremes(setup: Lowered, line: NamedLine, jounces: list[float], free: bool) -> tuple[float, float]:
    """Return the least and the greatest length [m] over the whole travel and wind-up: leaned far, neither need be at its ends."""
    turns = np.linspace(-WIND_UP, WIND_UP, TURNS) if free else np.zeros(1)
    path, own = setup.paths[line.axle], line.line
    # The geometry of `line_length`, on arrays: every place (a column) with every turn, 861 calls a set otherwise.
    jounce = np.linspace(min(jounces), max(jounces), PLACES)[:, None]
    t = (jounce - path.middle) * path.scale
    turn = np.polynomial.polynomial.polyval(t, path.turn) + turns
    sine, cosine = np.sin(turn), np.cos(turn)
    forward = np.polynomial.polynomial.polyval(t, path.place) + own.axle_forward * cosine + own.axle_up * sine
    up = setup.axles[line.axle].centre_up + jounce + own.axle_up * cosine - own.axle_forward * sine
    lengths = np.sqrt((forward - own.body_forward) ** 2 + (up - own.body_up) ** 2 + own.sideways**2)
    return float(lengths.min()), float(lengths.max())


def placed(setup: Lowered, line: NamedLine, jounce: float, sense: float, wind_up: float) -> Placed:
    """Return a damper at one jounce [m] of its axle.

    Parameters
    ----------
    sense : float
        0 at the wind-up [rad] given; else over the whole of WIND_UP: positive the greatest length, negative the least.
    """
    turns = (wind_up,) if sense == 0.0 else tuple(np.linspace(-WIND_UP, WIND_UP, TURNS))
    lengths = [line_length(setup, line, jounce, float(turn)) for turn in turns]
    length = max(lengths) if sense > 0.0 else min(lengths)
    # Ratio and lean at the wind-up given, not at the extreme: they are of the axle as it stands.
    ahead, behind = (line_length(setup, line, jounce + step, wind_up) for step in (NUDGE, -NUDGE))
    path, axle, own = setup.paths[line.axle], setup.axles[line.axle], line.line
    centre, turn = map(float, path.at(jounce))
    turn += wind_up
    x = centre + own.axle_forward * np.cos(turn) + own.axle_up * np.sin(turn)
    z = axle.centre_up + jounce + own.axle_up * np.cos(turn) - own.axle_forward * np.sin(turn)
    side = atan2(own.body_forward - x, own.body_up - z)
    return Placed(
        jounce, length, (behind - ahead) / (2 * NUDGE), side, asin(own.sideways / line_length(setup, line, jounce, wind_up))
    )  # fmt: skip


def lean_words(angle: float) -> str:
    """Return a side-view lean in words: which way its top goes."""
    size = abs(degrees(angle))
    return "upright" if size < 0.05 else f"{size:.1f} deg, top {'forward' if angle > 0 else 'back'}"
