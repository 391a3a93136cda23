"""Lowers a guide's exact path to the polynomials that the kernel evaluates."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from numpy.polynomial import Chebyshev, Polynomial

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


def lowered(exact: Callable[[Array], tuple[Array, Array]], low: float, high: float) -> Path:
    """Fit `exact(jounce) -> (place, turn)` between two jounces [m], and measure how well.

    Raises
    ------
    ValueError
        If the bound cannot be met: the guide bends too sharply for the travel asked of it.
    """
    middle, half = 0.5 * (low + high), 0.5 * (high - low)
    nodes = np.cos(np.pi * (np.arange(4 * DEGREE) + 0.5) / (4 * DEGREE))
    check = np.linspace(-1.0, 1.0, 401)
    at_nodes, at_check = exact(middle + half * nodes), exact(middle + half * check)
    powers, error = [], 0.0
    for values, wanted in zip(at_nodes, at_check, strict=True):
        fit = Chebyshev.fit(nodes, values, DEGREE, domain=[-1.0, 1.0]).convert(kind=Polynomial)
        coefficients = np.zeros(DEGREE + 1)
        coefficients[: fit.coef.size] = fit.coef
        error = max(error, float(np.max(np.abs(Polynomial(coefficients)(check) - wanted))))
        powers.append(tuple(float(c) for c in coefficients))
    if not error <= PATH_BOUND:
        raise ValueError(
            f"the axle's path bends too sharply between {low * 1e3:.0f} and {high * 1e3:.0f} mm of jounce: "
            "check that the arm or links are long enough and their ends are not swapped"
        )
    return Path(powers[0], powers[1], middle, 1.0 / half, error)
