"""Contact of tyre and road: a rolling disc, then the mean over the contact length.

Done once per road and tyre, outside the integration. A short edge is met before the axle is above
it and is left after it, as a wheel does; the contact patch then rounds what is left.
"""

import math

import numpy as np

from sim.describe.roads.array import Array
from sim.describe.roads.hermite import Hermite
from sim.describe.roads.in_parts import PART
from sim.describe.shown import show
from sim.errors import RunError
from sim.lower.road.pieces import Pieces, Road, pieces
from sim.lower.road.profile import ExactRoad, Profile
from sim.lower.road.rolling_disc import disc_path
from sim.lower.road.sampling import sample

__all__ = ["Profile", "contact_profile", "sample"]

FINEST_M, COARSEST_M = 0.001, 0.002
"""Spacing of the grid on short and on very long roads [m]."""

FINE_POINTS = 2_000_000
"""Number of points up to which the finest spacing is kept."""

SMALLEST_RADIUS_M = 0.02
"""Smallest disc; a smaller one must be exactly zero, a point [m]."""

SHARPEST_PER_M = 20.0
"""Change of slope per distance [1/m] above which a span of the grid holds a kink."""

STEEPEST = 5.0
"""Steepest path [m/m] of a wheel; a step of about 0.8 radius. Beyond, it would have to climb."""

LEVEL = 1e-9
"""Slopes below this count as level [m/m]."""


def contact_profile(road: Road, radius_m: float, contact_length_m: float, finest_m: float = FINEST_M) -> Profile:
    """Return the road as a tyre of given radius and contact length feels it.

    Parameters
    ----------
    road : Road
        A course, or anything with its height, length and edges.
    radius_m : float
        Radius of the tyre [m]; zero for a point that follows the road.
    contact_length_m : float
        Length of the contact patch [m]; zero for none.
    finest_m : float
        Spacing of the grid on a short road [m].

    Returns
    -------
    Profile
        With neither radius nor length it is the road itself, exactly. Else heights between the
        grid's points are within 1e-9 m on smooth roads; next to a kink of the path (contact in
        two places at once) within a quarter of the spacing times the change of slope.

    Raises
    ------
    ValueError
        If a size is negative, not finite or too small, or the road is too long.
    RunError
        If the road rises too steeply for the wheel to roll over it.
    """
    _check_sizes(radius_m, contact_length_m)
    if radius_m == 0.0 and contact_length_m == 0.0:
        kinks = np.array(road.edges(), dtype=np.float64)
        last = float(kinks[-1]) if kinks.size else 0.0
        # Slopes read the road 1 mm to either side (STENCIL_M): from twice as far a kink is not felt.
        return Profile(ExactRoad(road), kinks, blur_m=2e-3, flat_after_m=last)
    spacing = max(grid_spacing_m(road.length_m), finest_m)
    # Nothing of the road is felt farther away than that; some points more for slopes at the ends.
    reach = radius_m + contact_length_m / 2.0 + 4.0 * spacing
    # A disc at the grid's first place touches as far as a radius before it.
    points = pieces(road, reach + radius_m, reach + radius_m, spacing)
    grid = np.linspace(-reach, road.length_m + reach, math.ceil((road.length_m + 2.0 * reach) / spacing) + 1)
    curve = _rolled(points, grid, radius_m) if radius_m > 0.0 else _joined(points)
    if contact_length_m > 0.0:
        curve = _averaged(curve, grid, contact_length_m)
    kinks = _kinks(curve, rolled=radius_m > 0.0)
    return Profile(curve, kinks, blur_m=spacing, flat_after_m=_flat_after(curve))


def _check_sizes(radius_m: float, contact_length_m: float) -> None:
    if not (math.isfinite(radius_m) and radius_m >= 0.0):
        raise ValueError(f"a tyre radius of {radius_m} m is not possible: it must be 0 or more")
    if 0.0 < radius_m < SMALLEST_RADIUS_M:
        raise ValueError(
            f"a tyre radius of {radius_m:g} m is too small to roll: give 0 or at least {SMALLEST_RADIUS_M:g} m"
        )
    if not (math.isfinite(contact_length_m) and contact_length_m >= 0.0):
        raise ValueError(f"a contact length of {contact_length_m} m is not possible: it must be 0 or more")


def grid_spacing_m(length_m: float) -> float:
    """Return the spacing of a road's grid [m]: finest, unless the road is very long."""
    return float(np.clip(length_m / FINE_POINTS, FINEST_M, COARSEST_M))


def _rolled(points: Pieces, grid: Array, radius_m: float) -> Hermite:
    """Return the path of the disc on the grid."""
    height, slope = disc_path(points, grid, radius_m)
    steep = int(np.argmax(np.abs(slope)))
    if abs(slope[steep]) > STEEPEST:
        raise RunError(
            f"the road is too steep for a wheel of {show(radius_m, 'length')} radius near "
            f"{show(float(grid[steep]), 'distance')} of the course: it would have to climb rather than roll; "
            "lower the edge to less than about 0.8 of the radius or give it a longer ramp"
        )
    return Hermite(grid, height, slope)


def _joined(points: Pieces) -> Hermite:
    """Return the road itself as a curve, with slopes by second-order differences in each piece."""
    slope = np.empty_like(points.z)
    for first in np.flatnonzero(points.first == np.arange(points.first.size)):
        part = slice(first, points.last[first] + 1)
        # Piece by piece: a difference across an edge would be the slope of neither side.
        slope[part] = np.gradient(points.z[part], points.x[part], edge_order=2)
    return Hermite(points.x, points.z, slope)


def _averaged(curve: Hermite, grid: Array, contact_length_m: float) -> Hermite:
    """Return the moving mean of a curve; height and slope at the grid's points are exact."""
    spacing = (grid[-1] - grid[0]) / (grid.size - 1)
    whole, share = divmod(contact_length_m / 2.0 / spacing, 1.0)
    beside = int(whole) + 1  # so many points at either end have an end of the patch past the grid
    if curve.x is not grid or grid.size <= 2 * beside:
        return Hermite(grid, *_means(curve, grid, contact_length_m))
    height, slope = np.empty_like(grid), np.empty_like(grid)
    for ends in (slice(None, beside), slice(-beside, None)):
        height[ends], slope[ends] = _means(curve, grid[ends], contact_length_m)
    for first in range(beside, grid.size - beside, PART):
        points = slice(first, min(first + PART, grid.size - beside))
        height[points], slope[points] = _means_on_grid(curve, points, beside, share, spacing, contact_length_m)
    return Hermite(grid, height, slope)


def _means(curve: Hermite, places: Array, contact_length_m: float) -> tuple[Array, Array]:
    """Return heights and slopes of the moving mean of a curve at any places."""
    ahead, behind = places + contact_length_m / 2.0, places - contact_length_m / 2.0
    # A mean has the curve's integral as height, and its ends' heights as slope: no difference is taken.
    height = (curve.integral(ahead) - curve.integral(behind)) / contact_length_m
    slope = (curve.height(ahead) - curve.height(behind)) / contact_length_m
    return height, slope


def _means_on_grid(
    curve: Hermite, points: slice, beside: int, share: float, spacing_m: float, contact_length_m: float
) -> tuple[Array, Array]:
    """Return the same at points of the curve's own even grid, none of them within `beside` points of its ends.

    Both ends of the patch then lie at one share of a piece for all points: no piece is looked up, and a piece's cubic is a sum with
    the same factors for all.
    """
    height, area = _at_share(curve, slice(points.start + beside - 1, points.stop + beside - 1), share, spacing_m)
    height_behind, area_behind = _at_share(
        curve, slice(points.start - beside, points.stop - beside), 1.0 - share, spacing_m
    )
    return (area - area_behind) / contact_length_m, (height - height_behind) / contact_length_m


def _at_share(curve: Hermite, pieces: slice, share: float, spacing_m: float) -> tuple[Array, Array]:
    """Return heights [m], and integrals from the curve's beginning [m²], at one share of each of its pieces."""
    after = slice(pieces.start + 1, pieces.stop + 1)
    z, m, z_after, m_after = curve.z[pieces], curve.slope[pieces], curve.z[after], curve.slope[after]
    # The cubics of Hermite by height and slope at both ends of a piece, and their integrals.
    s2, s3, s4 = share**2, share**3, share**4
    rise = 3.0 * s2 - 2.0 * s3
    here, there = spacing_m * (share - 2.0 * s2 + s3), spacing_m * (s3 - s2)
    height: Array = (1.0 - rise) * z + rise * z_after + here * m + there * m_after
    risen = spacing_m * (s3 - 0.5 * s4)
    first, last = spacing_m**2 * (s2 / 2.0 - 2.0 / 3.0 * s3 + s4 / 4.0), spacing_m**2 * (s4 / 4.0 - s3 / 3.0)
    within = (spacing_m * share - risen) * z + risen * z_after + first * m + last * m_after
    return height, curve.areas[pieces] + within


def _kinks(curve: Hermite, rolled: bool) -> Array:
    """Return the middles of the spans in which the slope changes at once."""
    span, change = np.diff(curve.x), np.diff(curve.slope)
    # a disc's path has kinks only where it turns upward; downward it bends as the disc, however
    # sharply on a tall edge, but smoothly
    turn = change if rolled else np.abs(change)
    sharp = turn > SHARPEST_PER_M * np.maximum(span, FINEST_M)
    # a sheer edge of a road under a point: two heights in one place
    jump = (span == 0.0) & (np.diff(curve.z) != 0.0)
    kinked = np.flatnonzero(sharp | jump)
    return (curve.x[kinked] + curve.x[kinked + 1]) / 2.0


def _flat_after(curve: Hermite) -> float:
    """Return the place [m] after which the curve is level."""
    uneven = np.flatnonzero(np.abs(curve.slope) > LEVEL)
    return float(curve.x[min(uneven[-1] + 1, curve.x.size - 1)]) if uneven.size else 0.0
