"""What every damper law lowers to: a sum of ramps in speed, and the seal's friction as one more."""

from collections.abc import Sequence
from math import pi

import numpy as np
import numpy.typing as npt

from sim.kernel.layout import Knot

FRICTION_SPEED = 0.01
"""Speed [m/s] over which seal friction builds up; slower would make the equations stiff for nothing."""

BODY_SPEED = 0.1
"""Speed amplitude [m/s] at which a damper's curve is taken as straight for damping ratios: about 4 in/s, a body motion."""

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
    knots, before = [], 0.0
    for start, slope in zip(_floats(starts), _floats(slopes), strict=True):
        # A slope that goes on needs no ramp: each one is added up in every evaluation of a run.
        if slope != before:
            knots.append(Knot(sense, start, slope - before))
        before = slope
    return tuple(knots)


def _floats(numbers: npt.ArrayLike) -> list[float]:
    # A list by itself: a sweep has thousands of two numbers, for which an array takes longer than all else here.
    return [float(one) for one in numbers] if isinstance(numbers, list) else np.asarray(numbers, float).tolist()


def speeds_of_a_curve(fastest: float, knees: Sequence[float] = ()) -> npt.NDArray[np.float64]:
    """Return 0 and speeds [m/s] up to `fastest` at which a law is to be known: 1 % apart, and its knees."""
    # Below 1 mm/s the curve is taken as straight, so a knee there is no place of its own.
    inside = [knee for knee in knees if 1e-3 < knee < fastest]
    return np.unique(np.concatenate(([0.0], np.geomspace(1e-3, fastest, 840), inside)))


def fitted(
    sense: float, speeds: npt.NDArray[np.float64], forces: npt.NDArray[np.float64], share: float, least_n: float
) -> tuple[Knot, ...]:
    """Return ramps of one side along points of a curve, as few as a bound allows; straight on past the last.

    From where the last stretch ended, a cone of slopes stays within the bound; the next stretch runs until that cone closes, along
    its middle. So it lies to both sides of the curve, where chords of a hollow one would all add energy.

    Parameters
    ----------
    sense : float
        COMPRESSION or EXTENSION.
    speeds, forces : (n,) from rest at zero force [m/s, N], rising
    share, least_n : float
        Largest error: a share of the force there, plus so much [N].
    """
    allowed = share * forces + least_n
    starts, slopes, start, level = [], [], 0, 0.0
    while start < len(speeds) - 1:
        run = speeds[start + 1 :] - speeds[start]
        # The cone of slopes that keep every point so far within its bound; it can only close.
        most = np.minimum.accumulate(((forces + allowed)[start + 1 :] - level) / run)
        least = np.maximum.accumulate(((forces - allowed)[start + 1 :] - level) / run)
        open_ = int(np.count_nonzero(most >= least)) - 1
        # More speed never gives less force, though the bound would leave room for it.
        slope = max(0.5 * float(most[open_] + least[open_]), 0.0)
        starts.append(speeds[start])
        slopes.append(slope)
        level += slope * float(run[open_])
        start += open_ + 1
    return side(sense, starts, slopes)


def friction_as_damping(force_n: float) -> float:
    """Return the straight damping [N s/m] that takes as much energy as a friction force [N] from a sine of BODY_SPEED.

    c = 4 F / (pi v): the force does 4 F v/omega of work in a cycle, damping pi c v²/omega (L. S. Jacobsen, Trans. ASME 52, 1930, from
    memory). So friction has its share in a damping ratio, more of it in smaller motions.
    """
    return 4.0 * force_n / (pi * BODY_SPEED)


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
