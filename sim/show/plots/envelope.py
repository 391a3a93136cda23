"""Fewer points for a line, without losing a peak."""

import numpy as np
import numpy.typing as npt

from sim.integrate.traces import Array

BINS = 900
"""Stretches a line is cut into: about a pixel each across a page."""

LARGEST = 1e9
"""Values beyond this [SI] are of a run that blew up and are left out: no axis could show them."""


def drawable(values: Array) -> Array:
    """Return values (n,) with nan for what cannot be drawn."""
    return np.where(np.abs(values) < LARGEST, values, np.nan)


def envelope(x: Array, y: Array, bins: int = BINS) -> tuple[Array, Array]:
    """Return the points of a line of which each stretch keeps its lowest and its highest.

    Parameters
    ----------
    x, y : (n,) arrays
        The line, x rising.
    bins : int
        Stretches; lines of at most four points a stretch come back whole.

    Returns
    -------
    x, y : (m,) arrays
        Points of the line, in order, with both its ends; nan where it has none.
    """
    y = drawable(y)
    n = y.size
    if n <= 4 * bins:
        return x, y
    # Rounded up, so that no sample falls off the end; what is too much is padding without a value.
    length = -(-n // bins)
    padded = np.full(length * bins, np.nan)
    padded[:n] = y
    rows = padded.reshape(bins, length)
    # Numpy's nanargmin raises for a stretch with no value at all; infinities do not.
    gone = np.isnan(rows)
    start = np.arange(bins) * length
    low = start + np.argmin(np.where(gone, np.inf, rows), axis=1)
    high = start + np.argmax(np.where(gone, -np.inf, rows), axis=1)
    # In order and once each: a stretch may have its highest sample before its lowest.
    keep: npt.NDArray[np.intp] = np.unique(np.concatenate(([0], low, high, [n - 1])))
    # In the last stretch a place may be one of the padding.
    keep = keep[keep < n]
    return x[keep], y[keep]


def cells(x: Array, y: Array, spans: tuple[float, float], across: int = 60) -> tuple[Array, Array]:
    """Return one point of each cell that a cloud of points has been in.

    Parameters
    ----------
    x, y : (n,) arrays
        The cloud.
    spans : (float, float)
        Width and height of the whole picture, in x and in y.
    across : int
        Cells along each side of it.
    """
    known = np.isfinite(x) & np.isfinite(y)
    x, y = x[known], y[known]
    if not x.size:
        return x, y
    column = np.floor(x / spans[0] * across).astype(np.int64)
    row = np.floor(y / spans[1] * across).astype(np.int64)
    # Both numbers of a cell in one integer: unique rows of pairs take several times as long.
    _, first = np.unique(column * (1 << 20) + row, return_index=True)
    return x[first], y[first]
