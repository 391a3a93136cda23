"""A curve through points with given slopes: piecewise cubic, its slope and its integral."""

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from sim.describe.roads.array import Array, Index
from sim.describe.roads.in_parts import in_parts

Coefficients = tuple[Array, Array, Array, Array]
"""Factors of share, share² and share³, and the height where a piece starts."""

Length = Array | float
"""Of each piece that is asked for [m], or of all of them."""

EVEN = 1e-9
"""Share by which pieces may differ that count as even."""


@dataclass(frozen=True, eq=False)
class Hermite:
    """Cubic pieces between nodes; level before the first node and after the last one.

    Parameters
    ----------
    x : (n,) array
        Places of the nodes [m], not falling; two at one place make a jump.
    z : (n,) array
        Heights [m].
    slope : (n,) array
        Slopes [m/m].
    """

    x: Array
    z: Array
    slope: Array
    _span: Array = field(init=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_span", np.diff(self.x))  # a frozen dataclass sets its fields no other way

    # Written out: arrays have no single truth, and a survey is compared with the curve it holds.
    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Hermite):
            return NotImplemented
        return all(
            np.array_equal(mine, theirs)
            for mine, theirs in ((self.x, other.x), (self.z, other.z), (self.slope, other.slope))
        )

    def __hash__(self) -> int:
        return hash((self.x.tobytes(), self.z.tobytes(), self.slope.tobytes()))

    @cached_property
    def _even_m(self) -> float | None:
        """Length of all pieces [m], None if they differ by more than rounding."""
        span = (self.x[-1] - self.x[0]) / (self.x.size - 1)
        return float(span) if span > 0.0 and np.max(np.abs(self._span - span)) <= EVEN * span else None

    def _piece(self, x: Array) -> tuple[Index, Array, Length]:
        """Return the piece of each place, its share along it (0 to 1) and its length [m]."""
        # Clipped, so that the road stays level past its ends.
        inside = np.clip(x, self.x[0], self.x[-1])
        if self._even_m is not None:
            # Nothing is searched: half of what a height takes. Rounding may put a node into the piece beside it, where its height is the same.
            along = (inside - self.x[0]) * (1.0 / self._even_m)
            piece = np.minimum(along.astype(np.int64), self.x.size - 2)
            return piece, along - piece, self._even_m
        piece = np.searchsorted(self.x, inside, side="right") - 1
        # The last node belongs to the piece before it.
        piece = np.clip(piece, 0, self.x.size - 2)
        span = self._span[piece]
        safe = np.where(span > 0.0, span, 1.0)  # a jump is a piece of no length, which must not divide
        return piece, (inside - self.x[piece]) / safe, span

    def height(self, x: Array) -> Array:
        """Return the height [m] at places `x` [m]."""
        (height,) = in_parts(self._heights, x)
        return height

    def height_and_slope(self, x: Array) -> tuple[Array, Array]:
        """Return the height [m] and the slope [m/m] at places `x` [m], whose pieces are looked up once; no slope outside the nodes."""
        height, slope = in_parts(self._heights_and_slopes, x)
        return height, slope

    def _heights(self, x: Array) -> tuple[Array]:
        piece, share, span = self._piece(x)
        return (self._height(share, self._coefficients(piece, span)),)

    def _heights_and_slopes(self, x: Array) -> tuple[Array, Array]:
        piece, share, span = self._piece(x)
        coefficients = self._coefficients(piece, span)
        return self._height(share, coefficients), self._slope(x, share, span, coefficients)

    def _height(self, share: Array, coefficients: Coefficients) -> Array:
        first, second, third, start = coefficients
        # By Horner's rule, as heights are asked for by the million.
        return start + share * (first + share * (second + share * third))

    def _slope(self, x: Array, share: Array, span: Length, coefficients: Coefficients) -> Array:
        first, second, third, _ = coefficients
        rise = first + share * (2.0 * second + share * 3.0 * third)
        inside = (x >= self.x[0]) & (x <= self.x[-1]) & (span > 0.0)  # level outside, and no slope is said of a jump
        slope: Array = np.where(inside, rise / np.where(span > 0.0, span, 1.0), 0.0)
        return slope

    def integral(self, x: Array) -> Array:
        """Return the integral of the height [m²] from the first node to places `x` [m]."""
        (integral,) = in_parts(self._integrals, x)
        return integral

    def _integrals(self, x: Array) -> tuple[Array]:
        piece, share, span = self._piece(x)
        first, second, third, start = self._coefficients(piece, span)
        # The same polynomial integrated; the tyre averages the road over its footprint by differences of this.
        mean = start + share * (first / 2.0 + share * (second / 3.0 + share * third / 4.0))
        within = self.areas[piece] + span * share * mean
        before = np.minimum(x - self.x[0], 0.0) * self.z[0]
        after = np.maximum(x - self.x[-1], 0.0) * self.z[-1]
        return (within + before + after,)

    def _coefficients(self, piece: Index, span: Length) -> Coefficients:
        """Return the factors of share, share² and share³, and the height where the piece starts."""
        start, rise = self.z[piece], self.z[piece + 1] - self.z[piece]
        # Slopes by share of the piece, not by metre, so that pieces of no length stay finite.
        first, last = self.slope[piece] * span, self.slope[piece + 1] * span
        return first, 3.0 * rise - 2.0 * first - last, first + last - 2.0 * rise, start

    @cached_property
    def areas(self) -> Array:
        """Integral [m²] from the first node up to the start of each piece."""
        span, slope = self._span, self.slope
        # the integral of a cubic by its ends and slopes, exact (corrected trapezoid)
        mean = (self.z[:-1] + self.z[1:]) / 2.0 + span * (slope[:-1] - slope[1:]) / 12.0
        return np.concatenate(([0.0], np.cumsum(mean * span)))


def monotone_slopes(x: Array, z: Array) -> Array:
    """Return slopes that keep the shape of the points: no overshoot, no new high or low.

    Parameters
    ----------
    x, z : (n,) arrays
        Places [m], rising, and heights [m].

    Notes
    -----
    Inside: the harmonic mean of both neighbours' slopes, weighted by the distances, and level
    where they differ in sign. At the ends: three-point formula, limited the same way.

    References
    ----------
    F. N. Fritsch and J. Butland, A method for constructing local monotone piecewise cubic
    interpolants, SIAM J. Sci. Stat. Comput. 5(2), 1984, 300-304.
    """
    span = np.diff(x)
    secant = np.diff(z) / span
    if secant.size == 1:
        return np.array([secant[0], secant[0]])  # two points make a straight line
    before, after = secant[:-1], secant[1:]
    # Weights of Fritsch and Butland: the nearer neighbour counts for more.
    weight_before, weight_after = 2.0 * span[1:] + span[:-1], span[1:] + 2.0 * span[:-1]
    same_way = before * after > 0.0
    # places that are masked below must not divide by zero
    safe_before, safe_after = np.where(same_way, before, 1.0), np.where(same_way, after, 1.0)
    inverse = weight_before / safe_before + weight_after / safe_after
    inner = np.where(same_way, (weight_before + weight_after) / inverse, 0.0)
    start = _end_slope(span[0], span[1], secant[0], secant[1])
    end = _end_slope(span[-1], span[-2], secant[-1], secant[-2])
    return np.concatenate(([start], inner, [end]))


def _end_slope(near: float, far: float, secant_near: float, secant_far: float) -> float:
    """Return the slope at an end from its two nearest pieces."""
    # Three-point formula, exact for a parabola.
    slope = ((2.0 * near + far) * secant_near - near * secant_far) / (near + far)
    if slope * secant_near <= 0.0:  # it would turn the wrong way, and make a high of its own
        return 0.0
    # Three times the secant is the most that keeps a cubic monotone.
    if secant_near * secant_far <= 0.0 and abs(slope) > 3.0 * abs(secant_near):
        return 3.0 * secant_near
    return float(slope)
