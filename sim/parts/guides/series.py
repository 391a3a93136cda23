"""Lowers a guide's exact path to the polynomials that the kernel evaluates."""

from collections.abc import Callable
from functools import cache
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from numpy.polynomial import chebyshev, polynomial

from sim.kernel.layout import DEGREE

Array = npt.NDArray[np.float64]

PATH_BOUND = 1e-8
"""Largest error of a lowered path [m] or rotation [rad] over the guide's range."""


class Path(NamedTuple):
    """A guide as the kernel gets it.

    place and turn are coefficients of powers of (jounce - middle) x scale, lowest first: the centre's forward
    place in body axes [m] and the housing's kinematic rotation [rad].
    """

    place: tuple[float, ...]
    turn: tuple[float, ...]
    middle: float
    scale: float
    error: float

    @property
    def range_m(self) -> tuple[float, float]:
        """Least and greatest jounce [m] for which the path holds."""
        return self.middle - 1.0 / self.scale, self.middle + 1.0 / self.scale


@cache
def _fitting() -> tuple[Array, Array, Array]:
    """Return Chebyshev nodes, the matrix from values at them to powers, and places for a check.

    At Chebyshev nodes the least-squares fit is a sum (T. J. Rivlin, Chebyshev Polynomials: discrete orthogonality, from
    memory), so one matrix serves every guide of every set-up.
    """
    count = 4 * DEGREE
    nodes = np.cos(np.pi * (np.arange(count) + 0.5) / count)
    series = chebyshev.chebvander(nodes, DEGREE).T * (2.0 / count)
    series[0] *= 0.5
    powers = np.zeros((DEGREE + 1, DEGREE + 1))
    for degree in range(DEGREE + 1):
        column = chebyshev.cheb2poly(np.eye(DEGREE + 1)[degree])
        powers[: column.size, degree] = column
    return nodes, powers @ series, np.linspace(-1.0, 1.0, 401)


def lowered(exact: Callable[[Array], tuple[Array, Array]], low: float, high: float) -> Path:
    """Fit `exact(jounce) -> (place, turn)` between two jounces [m], and measure how well.

    Raises
    ------
    ValueError
        If the bound cannot be met: the guide bends too sharply for the travel asked of it.
    """
    middle, half = 0.5 * (low + high), 0.5 * (high - low)
    nodes, to_powers, check = _fitting()
    at_nodes, at_check = exact(middle + half * nodes), exact(middle + half * check)
    powers, error = [], 0.0
    for values, wanted in zip(at_nodes, at_check, strict=True):
        coefficients = to_powers @ values
        error = max(error, float(np.max(np.abs(polynomial.polyval(check, coefficients) - wanted))))
        powers.append(tuple(coefficients.tolist()))
    if not error <= PATH_BOUND:
        raise ValueError(
            f"the axle's path bends too sharply between {low * 1e3:.0f} and {high * 1e3:.0f} mm of jounce: "
            "check that the arm or links are long enough and their ends are not swapped"
        )
    return Path(powers[0], powers[1], middle, 1.0 / half, error)
