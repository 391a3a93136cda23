"""Path of a rigid disc that rolls over a road: the road's morphological dilation by the disc.

The height of the disc's lowest point is ``z(x) = max over u of [h(x + u) + sqrt(R² - u²) - R]``.
Its slope follows from the place of contact alone, ``dz/dx = u / sqrt(R² - u²)``: the path is at
right angles to the line from the contact to the centre.

Two facts make it fast and exact. The disc is concave, so the place of contact never moves
backward: the contact of a few positions bounds that of all positions between them. And the best
point is only the start: within its smooth piece the contact is then found on a quartic through
five points, whose error is below 1e-9 m on roads of at least 0.15 m radius of curvature
(tests/describe/roads/test_rolling_disc.py compares with closed forms).
"""

import math

import numpy as np

from sim.describe.roads.array import Array, Index
from sim.lower.road.pieces import Pieces
from sim.machine.jit import compiled, inlined

COARSEST = 1024
"""How many positions apart the first contacts are found."""

NEWTON_STEPS = 6
"""Most steps that refine a contact; mostly it is found in three."""

SETTLED = 1e-7
"""A step shorter than this share of the distance of two points is the last one: the next would be its square."""

NEARLY = 1.0 - 1e-12
"""The contact stays this share of the radius away from the disc's side, where it is upright."""


def disc_path(road: Pieces, centres: Array, radius_m: float) -> tuple[Array, Array]:
    """Return heights of the disc's lowest point [m] and slopes of its path [m/m].

    Parameters
    ----------
    road : Pieces
        Points of the road; they must reach a radius past the first and the last centre.
    centres : (n,) array
        Places of the centre [m], rising.
    radius_m : float
        Radius [m], above zero.
    """
    # Written to arrays that are given: compiled code that makes none can be called without the compiler (sim/machine/native.py).
    left, right, best = np.zeros((3, centres.size), dtype=np.int64)
    _contacts(road.x, road.z, centres, left, right, radius_m, best)
    height, slope = np.empty(centres.size), np.empty(centres.size)
    _refined(road.x, road.z, road.first, road.last, centres, best, radius_m, height, slope)
    return height, slope


@inlined
def _lift(x: float, z: float, centre: float, radius: float) -> float:
    """Return the height to which one point of the road lifts the disc [m]."""
    return z + math.sqrt(max(radius * radius - (x - centre) ** 2, 0.0)) - radius


@compiled
def _contacts(x: Array, z: Array, centres: Array, left: Index, right: Index, radius: float, best: Index) -> None:
    """Write the number of the best point for each centre to `best`, which is noughts, from coarse to fine.

    left, right : noughts, to which the first and the last point under the disc are written.
    """
    count = centres.size
    # Only points under the disc can touch it; both ends of them go forward with the centre.
    start, end = 0, 0
    for i in range(count):
        while start < x.size - 1 and x[start] < centres[i] - radius:
            start += 1
        while end < x.size and x[end] <= centres[i] + radius:
            end += 1
        left[i], right[i] = start, max(end - 1, start)
    stride = COARSEST
    while stride >= 1:
        start = 0 if stride == COARSEST else stride
        # Each round halves the stride: only the middles between known contacts are new.
        skip = stride if stride == COARSEST else 2 * stride
        for i in range(start, count, skip):
            low, high = left[i], right[i]
            if stride < COARSEST:
                low = max(low, best[i - stride])  # contacts never move backward (see above)
                if i + stride < count:
                    high = min(high, best[i + stride])
            chosen, top = low, _lift(x[low], z[low], centres[i], radius)
            for j in range(low + 1, high + 1):
                lift = _lift(x[j], z[j], centres[i], radius)
                if lift > top:
                    chosen, top = j, lift
            best[i] = chosen
        stride //= 2


@inlined
def _touch(x: Array, z: Array, low: int, j: int, centre: float, radius: float) -> tuple[float, float]:
    """Return height and slope for the contact near point `j`, on the quartic from point `low`."""
    span = (x[low + 4] - x[low]) / 4.0
    # Newton's forward differences, as the powers of t, the number of spans past point `low`
    d1 = z[low + 1] - z[low]
    d2 = z[low + 2] - 2.0 * z[low + 1] + z[low]
    d3 = z[low + 3] - 3.0 * (z[low + 2] - z[low + 1]) - z[low]
    d4 = z[low + 4] - 4.0 * (z[low + 3] + z[low + 1]) + 6.0 * z[low + 2] + z[low]
    a1 = d1 - d2 / 2.0 + d3 / 3.0 - d4 / 4.0
    a2 = d2 / 2.0 - d3 / 2.0 + 11.0 * d4 / 24.0
    a3 = d3 / 6.0 - d4 / 4.0
    a4 = d4 / 24.0
    side = radius * NEARLY
    t = float(j - low)
    lowest = max(t - 1.0, 0.0, (centre - side - x[low]) / span)
    highest = min(t + 1.0, 4.0, (centre + side - x[low]) / span)
    # Divisions and roots are what a step waits for, so there are as few as can be.
    by_span = 1.0 / span
    for _ in range(NEWTON_STEPS):
        u = min(max(x[low] + t * span - centre, -side), side)
        by_drop = 1.0 / math.sqrt(radius * radius - u * u)
        rate = (a1 + t * (2.0 * a2 + t * (3.0 * a3 + t * 4.0 * a4))) * by_span - u * by_drop
        bend = (2.0 * a2 + t * (6.0 * a3 + t * 12.0 * a4)) * (by_span * by_span)
        bend -= radius * radius * (by_drop * by_drop * by_drop)
        if bend >= 0.0:  # the road bends up more than the disc does: Newton's step would go to a bottom
            break
        before, t = t, min(max(t - rate / (bend * span), lowest), highest)
        if abs(t - before) < SETTLED:
            break
    u = min(max(x[low] + t * span - centre, -side), side)
    drop = math.sqrt(radius * radius - u * u)
    lift = z[low] + t * (a1 + t * (a2 + t * (a3 + t * a4))) + drop - radius
    at_point = _lift(x[j], z[j], centre, radius)
    # Where the steps ended early, or at the edge of a piece, the best point itself may lift the disc higher.
    if lift < at_point:
        lift = at_point
        u = min(max(x[j] - centre, -side), side)
        drop = math.sqrt(radius * radius - u * u)
    return lift, u / drop


@compiled
def _refined(
    x: Array, z: Array, first: Index, last: Index, centres: Array, best: Index, radius: float, height: Array, slope: Array
) -> None:  # fmt: skip
    """Write height and slope of the path, with each contact found between the points."""
    for i in range(centres.size):
        j = best[i]
        # Five points about the best one, all of its own piece: a quartic across an edge would round it off.
        low = min(max(j - 2, first[j]), last[j] - 4)
        height[i], slope[i] = _touch(x, z, low, j, centres[i], radius)
