"""Why a damper may be off its order at nearly every point though its valving is right: how the record was written, not what was built."""

from collections.abc import Sequence

import numpy as np

from sim.describe.parts.dampers.laws import Law
from sim.describe.parts.dampers.measured import Measured
from sim.describe.shown import show_enough
from sim.study.dyno import TOLERANCE, Point, compared

FEWEST = 3
"""Points each way from which on an offset is told from the shape of a curve."""

NO_OFFSET = 5.0
"""Gas force [N] below which none is spoken of: a load cell's zero; common practice, no source."""


MOST_PASS = 2.0 / 3.0
"""Share of the points that must pass the other way round, and fail this way, where not all of them do; ours, no source."""

LEAST_FRICTION = 1.0
"""Friction [N] from which on it is spoken of; ours, no source."""


def likely_cause(law: Measured, target: Law, points: Sequence[Point], tolerance: float = TOLERANCE) -> str:
    """Return what of the record's writing would explain that a damper fails; empty where nothing does, or it passes.

    Parameters
    ----------
    law, target : Measured, Law
        The damper on the machine, and what it was to be.
    points : sequence of Point
        One beside the other.
    tolerance : float
        Share of the target that it may be off.
    """
    if all(point.passes for point in points):
        return ""
    turned = compared(law, target, tolerance, exchanged=True)
    if all(point.passes for point in turned):
        return f"Compression and rebound are exchanged, it seems: each passes as the other one at all {len(points)} points. {CHECK_WAYS}"
    straight, other = (sum(point.passes for point in each) for each in (points, turned))
    if other >= MOST_PASS * len(points) and straight <= (1.0 - MOST_PASS) * len(points):
        return f"Compression and rebound are exchanged, it seems: each taken as the other one passes at {other} of {len(points)} points, not {straight}. {CHECK_WAYS}"
    # Taken off already, or found in the file: what is left is the damper's own.
    if law.reduced.gas or law.reduced.friction:
        return ""
    found = _gas_and_friction(points)
    if found is not None:
        return f"It is off by as much at every speed, as {_in_the_figures(*found)} would do. {_measure_at_rest(found[0], found[1])}"
    found = _gas_and_friction(turned)
    if found is not None:
        return f"Compression and rebound are exchanged, it seems, with {_in_the_figures(*found)}. {CHECK_WAYS}"
    return ""


CHECK_WAYS = "Check the columns' names, or --positive."


def _in_the_figures(gas: float, friction: float, factor: float) -> str:
    rubs = f" and friction of {show_enough(friction, 'force')}" if friction > 0.0 else ""
    share = (
        f", and {100 * abs(factor - 1.0):.0f} % {'more' if factor > 1.0 else 'less'} force than ordered,"
        if factor != 1.0
        else ""
    )
    return f"gas of {show_enough(gas, 'force')}{rubs} in the file's figures{share}"


def _measure_at_rest(gas: float, friction: float) -> str:
    rubs = f" --friction '{friction:.0f} N'" if friction > 0.0 else ""
    return f"Measure its force at rest; if that is so: --gas '{gas:.0f} N'{rubs}"


def _gas_and_friction(points: Sequence[Point]) -> tuple[float, float, float] | None:
    """Return the gas force and the friction [N] in the figures, and the factor on the order's forces, with which every point is met; None for none.

    The factor is 1 where that is enough.
    """
    if any(sum(point.way == way for point in points) < FEWEST for way in ("compression", "rebound")):
        return None
    # Gas adds to what pushes back in compression and takes from it in rebound; friction adds to both.
    sense = np.array([1.0 if point.way == "compression" else -1.0 for point in points])
    measured, target, allowed = (
        np.array([getattr(p, name) for p in points]) for name in ("measured", "target", "allowed")
    )
    columns = np.column_stack((sense, np.ones(len(points)), target))
    for free in (2, 3):
        # What is not free stays as ordered.
        known = target if free == 2 else 0.0
        # By what is allowed: slow points, with small forces, show an offset best.
        fit = np.linalg.lstsq(columns[:, :free] / allowed[:, None], (measured - known) / allowed, rcond=None)[0]
        gas, friction, factor = (*(float(one) for one in fit), *(1.0,))[:3]
        # A seal does not push, and a load cell's zero is no gas.
        sound = gas >= NO_OFFSET and friction > -NO_OFFSET and factor > 0.0
        if sound and bool(np.all(np.abs(columns[:, :free] @ fit + known - measured) <= allowed)):
            return gas, friction if friction >= LEAST_FRICTION else 0.0, factor
    return None
