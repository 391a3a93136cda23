"""Lowers a guide's exact path to the polynomials that the kernel evaluates."""

from collections.abc import Callable
from functools import cache
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
from numpy.polynomial import chebyshev, polynomial

from sim.describe.shown import show_short
from sim.kernel.layout import ARC_LEAST, DEGREE, Arc

Array = npt.NDArray[np.float64]

PATH_BOUND = 1e-8
"""Largest error of a lowered path [m] or rotation [rad] over the guide's range."""


NO_ARC = Arc()


class Path(NamedTuple):
    """A guide as the kernel gets it.

    place and turn are coefficients of powers of (jounce - middle) x scale, lowest first: the centre's forward
    place in body axes [m] and the housing's kinematic rotation [rad]. An arc is exact, and run instead of them.
    """

    place: tuple[float, ...]
    turn: tuple[float, ...]
    middle: float
    scale: float
    error: float
    arc: Arc = NO_ARC

    @property
    def range_m(self) -> tuple[float, float]:
        """Least and greatest jounce [m] for which the path holds."""
        return self.middle - 1.0 / self.scale, self.middle + 1.0 / self.scale

    def at(self, jounce: float | Array) -> tuple[Any, Any]:
        """Return the centre's forward place [m] and the housing's rotation [rad], as the kernel has them."""
        arc = self.arc
        if arc.radius_square > 0.0:
            x, z = self._on_arc(jounce)
            # The angle from the radius at zero jounce to that of now, by their cross and dot products.
            turn = np.arctan2(arc.above * x - arc.ahead * z, arc.ahead * x + arc.above * z) if arc.turns else 0.0 * z
            return arc.forward + x, turn
        t = (jounce - self.middle) * self.scale
        return polynomial.polyval(t, self.place), polynomial.polyval(t, self.turn)

    def forward(self, jounce: Array) -> Array:
        """Return the centre's forward place [m] alone, as `at` does."""
        # Alone, because a hub's height needs no turn of its housing, and so no arctangent.
        if self.arc.radius_square > 0.0:
            on_arc: Array = self.arc.forward + self._on_arc(jounce)[0]
            return on_arc
        fitted: Any = polynomial.polyval((jounce - self.middle) * self.scale, self.place)
        place: Array = fitted
        return place

    def _on_arc(self, jounce: float | Array) -> tuple[Any, Any]:
        """Return the centre's place from the arc's middle [m], forward and up."""
        arc = self.arc
        z = jounce - arc.level
        # Held at the arc's end as in the kernel: a run that goes there is flagged, not lost in a root below zero.
        return arc.side * np.sqrt(np.maximum(arc.radius_square - z * z, ARC_LEAST * arc.radius_square)), z

    def slopes(self, jounce: float | Array) -> tuple[Any, Any]:
        """Return the derivatives by jounce of the centre's place [-] and of the rotation [rad/m]."""
        arc = self.arc
        if arc.radius_square > 0.0:
            x, z = self._on_arc(jounce)
            # From x² + z² = R² (equations.md, 1.1).
            return -z / x, -arc.turns / x
        t = (jounce - self.middle) * self.scale
        place, turn = (polynomial.polyval(t, polynomial.polyder(c)) * self.scale for c in (self.place, self.turn))
        return place, turn


@cache
def _fitting() -> tuple[Array, Array, Array, Array]:
    """Return Chebyshev nodes, the matrix from values at them to powers, places for a check, and that from powers to values there.

    At Chebyshev nodes the least-squares fit is a sum (T. J. Rivlin, Chebyshev Polynomials: discrete orthogonality, from
    memory), so one matrix serves every guide of every set-up.
    """
    count = 4 * DEGREE  # more nodes than powers, so that what the powers miss averages out
    nodes = np.cos(np.pi * (np.arange(count) + 0.5) / count)
    series = chebyshev.chebvander(nodes, DEGREE).T * (2.0 / count)
    series[0] *= 0.5  # the constant has half the weight of the others (discrete orthogonality)
    powers = np.zeros((DEGREE + 1, DEGREE + 1))
    for degree in range(DEGREE + 1):
        # The kernel evaluates powers; what they lose in digits against the series, `lowered` measures with the rest.
        column = chebyshev.cheb2poly(np.eye(DEGREE + 1)[degree])
        powers[: column.size, degree] = column
    check = np.linspace(-1.0, 1.0, 401)
    to_check: Array = polynomial.polyvander(check, DEGREE).astype(np.float64)
    return nodes, powers @ series, check, to_check


def moved(path: Path, down_m: float) -> Path:
    """Return a path whose axle stands lower under what guides it [m], as it does under a lift block."""
    if not down_m:
        return path
    # The seat of the leaves is where it was at a jounce greater by as much.
    arc = path.arc._replace(level=path.arc.level - down_m) if path.arc.radius_square > 0.0 else path.arc
    return path._replace(middle=path.middle - down_m, arc=arc)


def lowered(exact: Callable[[Array], tuple[Array, Array]], low: float, high: float) -> Path:
    """Fit `exact(jounce) -> (place, turn)` between two jounces [m], and measure how well.

    Raises
    ------
    ValueError
        If the bound cannot be met: the guide bends too sharply for the travel asked of it.
    """
    middle, half = 0.5 * (low + high), 0.5 * (high - low)
    nodes, to_powers, check, to_check = _fitting()
    at_nodes, at_check = exact(middle + half * nodes), exact(middle + half * check)
    powers, error = [], 0.0
    for values, wanted in zip(at_nodes, at_check, strict=True):
        coefficients = to_powers @ values
        error = max(error, float(np.max(np.abs(to_check @ coefficients - wanted))))
        powers.append(tuple(coefficients.tolist()))
    # `not <=`, so that nan, a path without an answer, is refused too.
    if not error <= PATH_BOUND:
        raise ValueError(
            f"the axle's path bends too sharply between {_short(low)} and {_short(high)} of travel: "
            "check that the arm or links are long enough and their ends are not swapped"
        )
    return Path(powers[0], powers[1], middle, 1.0 / half, error)


def _short(length: float) -> str:
    return show_short(length, "length", (0, 1)).strip()
