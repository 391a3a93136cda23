"""Profile: what one tyre makes of a road, ready to be evaluated anywhere."""

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from sim.describe.roads.array import Array
from sim.lower.road.pieces import Road

STENCIL_M = 5e-4
"""Distance between the five points that give the slope of an exact road [m]."""


class Curve(Protocol):
    """Anything with a height and a slope at each place."""

    def height(self, x: Array) -> Array:
        """Return heights [m]."""
        ...

    def height_and_slope(self, x: Array) -> tuple[Array, Array]:
        """Return heights [m] and slopes [m/m]."""
        ...


@dataclass(frozen=True)
class ExactRoad:
    """A road under a tyre without size: its own height function, nothing in between."""

    road: Road

    def height(self, x: Array) -> Array:
        """Return heights [m]."""
        return self.road.height(x)

    def height_and_slope(self, x: Array) -> tuple[Array, Array]:
        """Return heights [m], and slopes [m/m] by five-point differences, error (spacing)⁴ / 30 x fifth derivative.

        Across an edge they mean nothing; a profile lists its kinks for that reason.
        """
        # A road says heights alone (`Road`), whatever shapes it has.
        near = self.road.height(x + STENCIL_M) - self.road.height(x - STENCIL_M)
        far = self.road.height(x + 2.0 * STENCIL_M) - self.road.height(x - 2.0 * STENCIL_M)
        return self.road.height(x), (8.0 * near - far) / (12.0 * STENCIL_M)


@dataclass(frozen=True)
class Profile:
    """Height of the road as the tyre feels it.

    Attributes
    ----------
    curve : Curve
        Heights and slopes.
    kinks : (n,) array
        Places [m], rising, where the height jumps or its slope does.
    blur_m : float
        How far from a kink [m] slopes of the curve are still touched by it.
    flat_after_m : float
        Place [m] after which it is level.
    """

    curve: Curve
    kinks: Array
    blur_m: float
    flat_after_m: float

    def height(self, x: Array) -> Array:
        """Return heights [m] at places `x` [m]."""
        return self.curve.height(np.asarray(x, dtype=np.float64))

    def height_and_rate(self, x: Array, speed_m_per_s: float) -> tuple[Array, Array]:
        """Return the height [m] and the rate of rise [m/s] at places `x` [m], met at a held speed."""
        height, slope = self.curve.height_and_slope(np.asarray(x, dtype=np.float64))
        return height, speed_m_per_s * slope

    def rate(self, x: Array, speed_m_per_s: float) -> Array:
        """Return the rate of rise [m/s] alone."""
        return self.height_and_rate(x, speed_m_per_s)[1]

    def has_kink(self, start: Array, end: Array) -> NDArray[np.bool_]:
        """Tell for which of the stretches from `start` to `end` [m] a kink is felt."""
        # Sorted, so two searches tell how many lie between: none, or more.
        first = np.searchsorted(self.kinks, start - self.blur_m, side="left")
        after = np.searchsorted(self.kinks, end + self.blur_m, side="right")
        return after > first
