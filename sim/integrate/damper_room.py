"""What room a damper has over its axle's travel: eye to eye against its own ends, however far the housing is wound up."""

from collections.abc import Sequence
from math import degrees, inf, isnan, nan, radians

import numpy as np

from sim.describe.lowered import Lowered, NamedLine
from sim.integrate.traces import Array

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
    # Of one place there is nothing between.
    jounces = np.linspace(low, high, PLACES) if low != high else np.array([low])
    every = lengths(setup, line, jounces[:, None], turns)
    return float(every.min()), float(every.max())


def lengths(setup: Lowered, line: NamedLine, jounce: Array, turns: Array) -> Array:
    """Return the lengths [m] of a line at each jounce [m] (n, 1) with each wind-up [rad] (m) of its axle, (n, m)."""
    path, own = setup.paths[line.axle], line.line
    # The geometry of `line_length`, on arrays: every place (a row) with every turn, 861 calls a set otherwise.
    t = (jounce - path.middle) * path.scale
    turn = _polynomial(t, path.turn) + turns
    sine, cosine = np.sin(turn), np.cos(turn)
    forward = _polynomial(t, path.place) + own.axle_forward * cosine + own.axle_up * sine
    up = setup.axles[line.axle].seat_up + jounce + own.axle_up * cosine - own.axle_forward * sine
    return np.sqrt((forward - own.body_forward) ** 2 + (up - own.body_up) ** 2 + own.sideways**2)


def _polynomial(t: Array, coefficients: Sequence[float]) -> Array:
    # Horner's rule: the library's takes three times as long to prepare a few places as to work them out.
    value = np.full_like(t, coefficients[-1])
    for coefficient in coefficients[-2::-1]:
        value = value * t + coefficient
    return value


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
