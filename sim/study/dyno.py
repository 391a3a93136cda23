"""A damper from the test machine beside what it was ordered to be: error at each point against a tolerance."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isnan

import numpy as np

from sim.describe.parts.dampers.laws import Law
from sim.describe.parts.dampers.machine_curve import Side
from sim.describe.parts.dampers.measured import Measured
from sim.describe.parts.dampers.testing import TEST_SPEEDS

TOLERANCE = 0.10
"""General trade builds within 10 to 15 %, good rebuilders match pairs within 5 %; common practice, no source."""

LEAST_ALLOWED = 10.0
"""Error [N] that is never held against a damper: seals, and a load cell's zero; common practice, no source."""


@dataclass(frozen=True)
class Point:
    """One speed of one direction.

    Attributes
    ----------
    way : "compression" or "rebound"
    speed : float
        [m/s]
    measured, target : float
        Forces of one damper without gas and friction [N], positive.
    allowed : float
        Largest difference [N] that passes.
    """

    way: str
    speed: float
    measured: float
    target: float
    allowed: float

    @property
    def error(self) -> float:
        """Measured less target [N]."""
        return self.measured - self.target

    @property
    def share(self) -> float:
        """Error as a share of the target; nan of none."""
        return self.error / self.target if self.target > 0.0 else float("nan")

    @property
    def passes(self) -> bool:
        """Whether the error is allowed."""
        # A damper off by the very tolerance passes, whatever rounding does to the product.
        return abs(self.error) <= self.allowed * (1.0 + 1e-9)


def share_words(point: Point, tolerance: float) -> str:
    """Return by how much a point is off, in per cent, to as many digits as tell it from what it may be off (a share); a dash where nothing is ordered."""
    if not point.target > 0.0:
        return "-"
    digits = 0
    while digits < MOST_DIGITS and f"{abs(100.0 * point.share):.{digits}f}" == f"{100.0 * tolerance:.{digits}f}":
        digits += 1
    return f"{100.0 * point.share:+.{digits}f} %"


MOST_DIGITS = 3
"""Digits of a per cent past which no machine tells forces apart; ours, no source."""


def sides(law: Measured) -> tuple[tuple[str, float, Side], tuple[str, float, Side]]:
    """Return both directions with their names and senses."""
    return ("compression", 1.0, law.reduced.compression), ("rebound", -1.0, law.reduced.rebound)


def has_loops(law: Measured) -> bool:
    """Return whether the file held whole loops."""
    # A file of single points has no two branches: its hysteresis is empty or nan throughout.
    return bool(law.reduced.compression.hysteresis.size) and not isnan(float(law.reduced.compression.hysteresis[0]))


def shown_speeds(law: Measured, side: Side) -> tuple[float, ...]:
    """Return the speeds [m/s] at which one direction is given: the file's points, or the test speeds that its loops reach."""
    if not has_loops(law):
        return tuple(float(v) for v in side.speed)
    inside = [v for v in TEST_SPEEDS if side.speed[0] <= v <= side.speed[-1]]
    # The fastest speed has a row of its own unless a test speed within 2 % of it has one.
    return (*inside, float(side.speed[-1])) if not inside or side.speed[-1] > 1.02 * inside[-1] else tuple(inside)


def against(law: Measured, target: Law, tolerance: float = TOLERANCE) -> tuple[Point, ...]:
    """Return measured and target forces at the points of a file.

    Parameters
    ----------
    law : Measured
        The damper on the machine.
    target : Law
        What it was to be.
    tolerance : float
        Share of the target that it may be off; LEAST_ALLOWED if that is more.
    """
    return compared(law, target, tolerance)


def compared(law: Measured, target: Law, tolerance: float, exchanged: bool = False) -> tuple[Point, ...]:
    """Return the same as `against`; exchanged: with what the file calls compression taken as rebound, and the other way."""
    points = []
    for way, sense, side in sides(law):
        of = {"compression": "rebound", "rebound": "compression"}[way] if exchanged else way
        for speed in shown_speeds(law, side):
            # abs: rebound forces of a law are negative, those on a sheet are not.
            wanted = abs(float(target.force((-sense if exchanged else sense) * speed)))
            measured = abs(float(law.force(sense * speed)))
            points.append(Point(of, speed, measured, wanted, max(tolerance * wanted, LEAST_ALLOWED)))
    return tuple(points)


def worst(points: Sequence[Point]) -> Point:
    """Return the point that is furthest off, measured by what is allowed there."""
    # By what is allowed, not by newtons: else the fastest speed, with the largest forces, would always be worst.
    return max(points, key=lambda point: abs(point.error) / point.allowed)


def hysteresis_at(side: Side, speed: float) -> float:
    """Return the gap [N] between a loop's branches at a speed [m/s]."""
    return float(np.interp(speed, side.speed, np.abs(side.hysteresis)))
