"""Places that decide whether an advice turns, however many were asked for, and what is best between them."""

from collections.abc import Sequence
from math import nan

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

FINE = 17
"""How many places from the first to the last decide whether the advice turns, however many are asked for: with fewer the best place is missed."""

BETWEEN = 16
"""Places looked at between two of them, where what was found is taken as straight."""


def deciding(places: Array) -> Array:
    """Return the FINE places that decide over the range of those that were asked for (n,)."""
    fine: Array = np.linspace(places.min(), places.max(), FINE)
    return fine


def merged(*grids: Array) -> tuple[Array, list[list[int]]]:
    """Return the places of several grids in order, each once, and for each grid the numbers of its own."""
    every = np.sort(np.concatenate(grids))
    # What differs by rounding alone is one place.
    apart = np.append(True, np.diff(every) > 1e-9 * float(np.ptp(every)))
    places: Array = every[apart]
    return places, [[int(np.argmin(abs(places - value))) for value in grid] for grid in grids]


def between(values: Array) -> Array:
    """Return what was found at places (n,) and between them, straight from one to the next; nan beside a place that is nan."""
    share = np.linspace(0.0, 1.0, BETWEEN, endpoint=False)
    inner = values[:-1, None] * (1.0 - share) + values[1:, None] * share
    # A place itself is known whatever its neighbour is.
    inner[:, 0] = values[:-1]
    line: Array = np.append(inner.ravel(), values[-1])
    return line


def least_loss(losses: Sequence[Array]) -> float:
    """Return what is lost at the place (n,) that suits all ways best, in its worst way; nan where no place is known in all."""
    worst = np.max(losses, axis=0)
    return nan if np.isnan(worst).all() else float(np.nanmin(worst))
