"""Draws of a truck that was weighed: whatever its axles and people weigh, what stands on the scale is what the ticket says.

The body's mass is what is left of the ticket, and its centre of gravity follows from both axle loads; so neither is a number by itself. A
heavier axle means a lighter body. Drawn each for itself they would give loads that the ticket rules out, and every band that
rests on a load would be too wide.
"""

from collections.abc import Mapping, Sequence
from math import sqrt

import numpy as np
import numpy.typing as npt

from sim.describe.parts.vehicle import Vehicle
from sim.study.doubt.unknowns import Unknown

Array = npt.NDArray[np.float64]

MASS, PLACE = "body.mass", "body.centre_of_gravity.behind_front_axle"


def as_weighed(setups: Mapping[str, Vehicle], of: Sequence[Unknown], values: Array) -> Array:
    """Return draws in which the body has what is left of the ticket.

    Parameters
    ----------
    setups : mapping of str to Vehicle
        All of one truck.
    of : sequence of Unknown
        d of them.
    values : array (draws, d)
        Each drawn for itself, in SI.

    Returns
    -------
    array (draws, d)
        The same but for the body's mass and place, where these were estimated from axle loads.

    Notes
    -----
    With m and x of the body, and m_i at x_i axles, people and dampers: m = m0 - sum (m_i - m_i0) and m x = m0 x0 - sum (m_i x_i - m_i0 x_i0),
    the loads of both axles unchanged. Beside it stays what the scale itself may be off. Spreads of the body's two numbers
    hold both as roots of squares (`sim.describe.estimates.centre_of_gravity`), so the scale's share is what the axles leave of them.
    """
    truck = next(iter(setups.values())).reference
    column = {one.path: number for number, one in enumerate(of) if one.measured}
    estimated = {one.path for one in truck.estimates}
    if not {MASS, PLACE} <= column.keys() & estimated:
        return values
    base = truck.wheelbase
    mass, place = (of[column[path]].what.value for path in (MASS, PLACE))

    def drawn_of(path: str, central: float) -> Array:
        return values[:, column[path]] if path in column else np.full(len(values), central)

    # Of all that is no body how much heavier it is drawn than centrally, and how much more moment it has about the front axle.
    heavier, moment = np.zeros(len(values)), np.zeros(len(values))
    housings = [("front", 0.0), ("rear", base)]
    for axle, behind in housings:
        own = dict(truck.axles)[axle]
        more = drawn_of(f"{axle}.housing.mass", own.housing.mass) - own.housing.mass
        # A damper's ends both where the axle is: what the upper one is ahead or behind is some per cent of some hundred grams.
        for name, damper in own.dampers.items():
            for key, central in (("tube_mass", damper.tube_mass), ("rod_mass", damper.rod_mass)):
                more = more + damper.count * (drawn_of(f"{axle}.dampers.{name}.{key}", central) - central)
        heavier += more
        moment += more * behind
    for name, load in truck.loads.items():
        at = load.place.behind_front_axle
        weight = drawn_of(f"loads.{name}.mass", load.mass)
        heavier += weight - load.mass
        moment += weight * drawn_of(f"loads.{name}.place.behind_front_axle", at) - load.mass * at
    left = mass - heavier
    moved = (mass * place - moment) / left
    spread = [(_half(of[column[path]]), at) for axle, at in housings if (path := f"{axle}.housing.mass") in column]
    scale_mass = _rest(_half(of[column[MASS]]), [half for half, _ in spread])
    scale_place = _rest(_half(of[column[PLACE]]), [half * abs(place - at) / mass for half, at in spread])
    drawn = values.copy()
    drawn[:, column[MASS]] = left + scale_mass * (values[:, column[MASS]] - mass)
    drawn[:, column[PLACE]] = moved + scale_place * (values[:, column[PLACE]] - place)
    return drawn


def _half(one: Unknown) -> float:
    return 0.5 * (one.what.doubt.high - one.what.doubt.low)


def _rest(whole: float, parts: Sequence[float]) -> float:
    """Return what share of a spread is left when parts of it, as roots of squares, are taken out."""
    return sqrt(max(1.0 - sum((part / whole) ** 2 for part in parts), 0.0)) if whole > 0.0 else 0.0
