"""What room a damper has over its axle's travel: eye to eye against its own ends, however far the housing is wound up."""

from math import degrees, inf, isnan, nan, radians

import numpy as np

from sim.describe.lowered import Lowered, NamedLine

WIND_UP = radians(5.0)
"""Wind-up each way [rad] that a damper must have room for: 5 to 10 degrees are quoted for leaf packs; common practice, no source."""

WITH_WIND_UP = f", with the housing wound up by {degrees(WIND_UP):.0f} deg"
"""Beside a room that counts on it: at rest there is more."""

LEAST_MARGIN = 0.0127
"""Room [m] that the trade leaves between stop or strap and a damper's end: 1/2 to 1 in; common practice, no source."""

PLACES, TURNS = 41, 21
"""Places of the travel, and turns of the housing at each, at which a length is looked at."""


def extremes(setup: Lowered, line: NamedLine, low: float, high: float) -> tuple[float, float]:
    """Return the least and the greatest length [m] from one jounce [m] to another: leaned far, neither need be at its ends.

    Of an axle whose housing winds up with WIND_UP each way; one that its guide holds does not wind up.
    """
    free = bool(setup.axles[line.axle].wind_up_free)
    turns = np.linspace(-WIND_UP, WIND_UP, TURNS) if free else np.zeros(1)
    path, own = setup.paths[line.axle], line.line
    # The geometry of `line_length`, on arrays: every place (a column) with every turn, 861 calls a set otherwise.
    jounce = np.linspace(low, high, PLACES)[:, None]
    t = (jounce - path.middle) * path.scale
    turn = np.polynomial.polynomial.polyval(t, path.turn) + turns
    sine, cosine = np.sin(turn), np.cos(turn)
    forward = np.polynomial.polynomial.polyval(t, path.place) + own.axle_forward * cosine + own.axle_up * sine
    up = setup.axles[line.axle].seat_up + jounce + own.axle_up * cosine - own.axle_forward * sine
    lengths = np.sqrt((forward - own.body_forward) ** 2 + (up - own.body_up) ** 2 + own.sideways**2)
    return float(lengths.min()), float(lengths.max())


def room_in_bump(setup: Lowered, line: NamedLine, ride: float) -> float:
    """Return the room [m] to a damper's collapsed end from a jounce [m] up to its axle's bump stop fully squeezed.

    Negative where the damper is solid before; inf without a stop or where its collapsed length is not given.
    """
    axle = dict(setup.kin.axles)[line.axle]
    stop, part = axle.stop, axle.dampers[line.name]
    if stop is None or part.length_collapsed is None:
        return inf
    squeezed = stop.gap + stop.squeeze
    return extremes(setup, line, min(ride, squeezed), max(ride, squeezed))[0] - part.length_collapsed


def room_in_droop(setup: Lowered, line: NamedLine, ride: float, end: float) -> float:
    """Return the room [m] to a damper's extended end over its axle's travel, down to a jounce [m] at which droop ends.

    Negative where the damper is fully out before; nan where its extended length or the end of droop is not known.
    """
    axle = dict(setup.kin.axles)[line.axle]
    stop, part = axle.stop, axle.dampers[line.name]
    if part.length_extended is None or isnan(end):
        return nan
    # The whole travel, as `jounce sheet` has it: leaned far, a damper may be longest elsewhere.
    high = max(ride, end) if stop is None else max(ride, end, stop.gap + stop.squeeze)
    return part.length_extended - extremes(setup, line, min(ride, end), high)[1]
