"""How long the lines of a set-up are wherever its axles stand, and where its limit straps are just taut."""

from bisect import bisect_left
from collections.abc import Callable
from functools import lru_cache

import numpy as np

from sim.describe.lowered import Lowered, NamedLine
from sim.describe.parts.guides.series import Path
from sim.kernel import layout as at


def line_length(setup: Lowered, line: NamedLine, jounce: float, wind_up: float = 0.0, give: float = 0.0) -> float:
    """Return a line's length [m] at a jounce [m], a wind-up [rad] and a give along the truck [m] of its axle."""
    return _length(setup.paths[line.axle], setup.axles[line.axle].seat_up, line.line, jounce, wind_up, give)


def _length(path: Path, seat_up: float, own: at.Line, jounce: float, wind_up: float, give: float = 0.0) -> float:
    forward, turn = map(float, path.at(jounce))
    forward += give
    turn += wind_up
    sine, cosine = np.sin(turn), np.cos(turn)
    dx = forward + own.axle_forward * cosine + own.axle_up * sine
    dz = seat_up + jounce + own.axle_up * cosine - own.axle_forward * sine
    return float(np.sqrt((dx - own.body_forward) ** 2 + (dz - own.body_up) ** 2 + own.sideways**2))


def taut_m(setup: Lowered, name: str) -> float | None:
    """Return the jounce [m] at which an axle's strap is just taut, None without one or if it never is."""
    for line in setup.lines:
        if line.axle == name and line.role == "strap":
            return _taut_m(setup.paths[name], setup.axles[name].seat_up, line.line)
    return None


def is_ever_taut(setup: Lowered, name: str) -> bool:
    """Tell whether an axle has a strap that is just taut somewhere, without finding where."""
    for line in setup.lines:
        if line.axle == name and line.role == "strap":
            path, seat_up = setup.paths[name], setup.axles[name].seat_up
            low, high = path.range_m
            return _slack(path, seat_up, line.line, low) < 0.0 < _slack(path, seat_up, line.line, high)
    return False


def _slack(path: Path, seat_up: float, own: at.Line, jounce: float) -> float:
    """Return by how much a strap is longer than the way between its ends [m] at a jounce [m]."""
    return own.length_extended - _length(path, seat_up, own, jounce, 0.0)


@lru_cache(maxsize=256)  # most set-ups of a scenario, and all of a sweep of dampers, have the same
def _taut_m(path: Path, seat_up: float, own: at.Line) -> float | None:
    low, high = path.range_m

    def slack(jounce: float) -> float:
        return _slack(path, seat_up, own, jounce)

    # A strap that is taut or slack over all of the range has no such place.
    at_low, at_high = slack(low), slack(high)
    if not at_low < 0.0 < at_high:
        return None
    # Slack grows with jounce: in which of a million parts of the range it begins.
    step = (high - low) / PARTS
    first, last = _around(slack, (low, high), (at_low, at_high))
    place = first + bisect_left(range(first, last), 0.0, key=lambda i: slack(low + i * step))
    return low + place * step


# Of a usual guide's range a thousandth of a millimetre and less: no strap is cut so exactly.
PARTS = 10**6


def _around(
    slack: Callable[[float], float], ends: tuple[float, float], at_ends: tuple[float, float]
) -> tuple[int, int]:
    """Return two of PARTS between which slack changes its sign; by secants, as a strap's length is nearly straight in jounce."""
    (low, high), step = ends, (ends[1] - ends[0]) / PARTS
    (one, other), (at_one, at_other) = ends, at_ends
    for _ in range(3):
        if at_one == at_other or not low <= other <= high:
            break
        one, at_one, other = other, at_other, other - at_other * (other - one) / (at_other - at_one)
        at_other = slack(other)
    near = int((min(max(other, low), high) - low) / step)
    first, last = max(near - 2, 0), min(near + 3, PARTS)
    # Secants that went astray cost a longer search, not another place.
    return (first, last) if slack(low + first * step) < 0.0 <= slack(low + last * step) else (0, PARTS)
