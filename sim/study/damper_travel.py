"""Where a damper is over its axle's whole travel: lengths eye to eye, motion ratio, lean, and the room to its own ends."""

from dataclasses import dataclass
from math import acos, asin, atan2, cos, inf

import numpy as np

from sim.describe.lowered import Lowered, NamedLine
from sim.describe.parts.vehicle import Vehicle
from sim.integrate.damper_room import TURNS, WIND_UP, extremes, lengths
from sim.integrate.line_lengths import line_length
from sim.kernel import layout as at
from sim.linear.droop import Droop, droop
from sim.lower.lowering import lower
from sim.lower.rest import Rest, rest

NUDGE = 1e-5  # [m], half the span of the central difference that gives the motion ratio
SQUEEZED = "bump stop squeezed"


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
class Travel:
    """A damper set over the whole travel of its axle.

    Attributes
    ----------
    line : NamedLine
        The set.
    places : dict of str to Placed
        By place: where droop ends (`Droop`), "ride", "bump stop touched", SQUEEZED; only those the axle has.
    droop : Droop
        Where droop ends.
    least, most : float
        Least and greatest length [m] between squeezed stop and the end of droop, however far the housing is wound up.
    inside, outside : float
        Room [m] that is left to collapsed and to extended of these two; inf if not known.
    """

    line: NamedLine
    places: dict[str, Placed]
    droop: Droop
    least: float
    most: float
    inside: float
    outside: float


def travels(vehicle: Vehicle) -> tuple[Travel, ...]:
    """Return the travel of every damper set of a set-up.

    Raises
    ------
    RunError
        If it cannot stand.
    """
    setup = lower(vehicle)
    return travels_of(setup, rest(setup))


def travels_of(setup: Lowered, standing: Rest) -> tuple[Travel, ...]:
    """Return the travel of every damper set of a set-up that stands."""
    ends = {
        axle: droop(setup, standing, axle) for axle in dict.fromkeys(n.axle for n in setup.lines if n.role == "damper")
    }
    return tuple(_travel(setup, standing, line, ends[line.axle]) for line in setup.lines if line.role == "damper")


def _travel(setup: Lowered, standing: Rest, line: NamedLine, end: Droop) -> Travel:
    index = ("front", "rear").index(line.axle)
    ride, wind_up = (float(standing.state[of + 2 * index]) for of in (at.JOUNCE, at.WIND_UP))
    part = dict(setup.vehicle.axles)[line.axle].dampers[line.name]
    # A housing that its guide holds does not wind up, so there is one length and no range of them.
    free = bool(setup.axles[line.axle].wind_up_free)
    places = {
        name: placed(setup, line, jounce, sense if free else 0.0, wind_up)
        for name, (jounce, sense) in _looked_at(setup, line.axle, ride, end).items()
    }
    jounces = [place.jounce for place in places.values()]
    least, most = extremes(setup, line, min(jounces), max(jounces))
    inside, outside = inf, inf
    # Without a stop nothing says how far the axle comes up: room inwards is unknown (inf), not none.
    if part.length_collapsed is not None and SQUEEZED in places:
        inside = least - part.length_collapsed
    if part.length_extended is not None and end.place:
        outside = part.length_extended - most
    return Travel(line, places, end, least, most, inside, outside)


def _looked_at(setup: Lowered, axle: str, ride: float, end: Droop) -> dict[str, tuple[float, float]]:
    """Return the places of an axle's travel by name: jounce [m], and which way wind-up counts there (see `placed`)."""
    places: dict[str, tuple[float, float]] = {}
    if end.place:
        places[end.place] = end.jounce, 1.0
    places["ride"] = ride, 0.0
    stop = dict(setup.vehicle.axles)[axle].stop
    if stop is not None:
        places["bump stop touched"] = stop.gap, -1.0
        places[SQUEEZED] = stop.gap + stop.squeeze, -1.0
    return places


def placed(setup: Lowered, line: NamedLine, jounce: float, sense: float, wind_up: float) -> Placed:
    """Return a damper at one jounce [m] of its axle.

    Parameters
    ----------
    sense : float
        0 at the wind-up [rad] given; else over the whole of WIND_UP: positive the greatest length, negative the least.
    """
    turns = np.array([wind_up]) if sense == 0.0 else np.linspace(-WIND_UP, WIND_UP, TURNS)
    each = lengths(setup, line, np.array([[jounce]]), turns)
    length = float(each.max() if sense > 0.0 else each.min())
    # Ratio and lean at the wind-up given, not at the extreme: they are of the axle as it stands.
    ahead, behind = (line_length(setup, line, jounce + step, wind_up) for step in (NUDGE, -NUDGE))
    path, axle, own = setup.paths[line.axle], setup.axles[line.axle], line.line
    centre, turn = map(float, path.at(jounce))
    turn += wind_up
    x = centre + own.axle_forward * np.cos(turn) + own.axle_up * np.sin(turn)
    z = axle.seat_up + jounce + own.axle_up * np.cos(turn) - own.axle_forward * np.sin(turn)
    side = atan2(own.body_forward - x, own.body_up - z)
    return Placed(
        jounce, length, (behind - ahead) / (2 * NUDGE), side, asin(own.sideways / line_length(setup, line, jounce, wind_up))
    )  # fmt: skip
