"""What every damper law lowers to: a sum of ramps in speed, and the seal's friction as one more."""

import numpy as np
import numpy.typing as npt

from sim.kernel.layout import Knot

FRICTION_SPEED = 0.01
"""Speed [m/s] over which seal friction builds up; slower would make the equations stiff for nothing."""

COMPRESSION = 1.0
EXTENSION = -1.0


def side(sense: float, starts: npt.ArrayLike, slopes: npt.ArrayLike) -> tuple[Knot, ...]:
    """Return the ramps of one side of a broken line.

    Parameters
    ----------
    sense : float
        COMPRESSION or EXTENSION.
    starts : (n,) speeds [m/s], rising from 0, where each stretch begins
    slopes : (n,) slopes of the stretches [N s/m]
    """
    changes = np.diff(np.asarray(slopes, float), prepend=0.0)
    return tuple(
        Knot(sense, float(start), float(change))
        for start, change in zip(np.asarray(starts, float), changes, strict=True)
        if change != 0.0
    )


def friction(force_n: float) -> tuple[Knot, ...]:
    """Return the ramps of a constant friction force [N] that turns round within FRICTION_SPEED."""
    if force_n == 0.0:
        return ()
    slope = force_n / FRICTION_SPEED
    return tuple(
        Knot(sense, start, change)
        for sense in (COMPRESSION, EXTENSION)
        for start, change in ((0.0, slope), (FRICTION_SPEED, -slope))
    )


def force(knots: tuple[Knot, ...], speed: npt.ArrayLike) -> npt.NDArray[np.float64]:
    """Return the force [N] of ramps at closing speeds [m/s], compression positive."""
    v = np.asarray(speed, float)
    total = np.zeros_like(v)
    for knot in knots:
        total += knot.sense * knot.slope * np.maximum(knot.sense * v - knot.start, 0.0)
    return total
