"""What several measures ask of a trace: its axle, its mean over time, how often something began."""

from collections.abc import Iterator
from math import nan
from typing import Any

import numpy as np
import numpy.typing as npt

from sim.integrate.result import Run
from sim.integrate.traces import Array, AxleTrace
from sim.kernel.sums import add_up, add_up_squares
from sim.kernel.swings import contacts_begun
from sim.machine.jit import BLOCK

AXLES = ("front", "rear")

CHATTER_S = 0.02
"""Contacts that part for less than this are one contact [s].

A quarter of the shortest wheel hop period that a solid axle has (about 12 Hz): what parts for less
than that has bounced on its rubber, not gone away. Common practice, no source.
"""


def axle_of(run: Run, axle: str) -> AxleTrace:
    """Return the trace of the "front" or "rear" axle."""
    trace: AxleTrace = getattr(run, axle)  # a block's lane works out the one that is asked for
    return trace


def time_mean(values: npt.NDArray[np.generic], time_s: Array) -> float:
    """Return the mean over time of samples (n,), straight between them; nan without any time.

    Here and below: of samples (n, lanes) of many set-ups at once, (lanes,).
    """
    if time_s.size < 2 or time_s[-1] <= time_s[0]:  # of one sample, or of a run that stopped at once
        return nan
    sampled = np.asarray(values, float)
    if sampled.ndim == 1:
        gap, whole = np.diff(time_s), time_s[-1] - time_s[0]
        alone: float = np.sum(0.5 * (sampled[1:] + sampled[:-1]) * gap) / whole
        return alone
    return summed(sampled, trapezoids(time_s))


def mean_square(values: Array, time_s: Array, about: Any = 0.0) -> float:
    """Return the mean over time of the square of samples (n,) less a number; of (n, lanes) less one a lane, (lanes,)."""
    if values.ndim == 1 or time_s.size < 2 or time_s[-1] <= time_s[0]:
        return time_mean((values - about) ** 2, time_s)
    return summed(values, trapezoids(time_s), np.broadcast_to(about, values.shape[1]))


def trapezoids(time_s: Array) -> Array:
    """Return the share of the time that each of samples (n,) stands for, straight between them; n at least 2."""
    known = _shares[0]
    # Measures of one block ask again and again, with the very same times.
    if known[0] is not time_s:
        gap, whole = np.diff(time_s), time_s[-1] - time_s[0]
        known = _shares[0] = time_s, np.concatenate([gap[:1], gap[1:] + gap[:-1], gap[-1:]]) * (0.5 / whole)
    return known[1]


_shares: list[tuple[Array, Array]] = [(np.zeros(0), np.zeros(0))]
"""Times that were last asked for, with their shares."""


def summed(values: Array, weights: Array, about: Array | None = None) -> float:
    """Return the sum of weights (n,) x values (n, lanes), or x the square of values less a number a lane, (lanes,)."""
    sums: list[Array] = []
    for lanes, many in in_blocks(values):
        sums.append(np.zeros(BLOCK))
        if about is None:
            add_up(many, weights, sums[-1])
        else:
            add_up_squares(many, _in_block(about[lanes]), weights, sums[-1])
    total: Any = np.concatenate(sums)[: values.shape[1]]
    whole: float = total
    return whole


def in_blocks(values: Array) -> Iterator[tuple[slice, Array]]:
    """Yield samples (n, lanes) as (n, BLOCK), for compiled sums over all lanes of a block, and which lanes they are; spare ones repeat the last."""
    for first in range(0, values.shape[1], BLOCK):
        lanes = slice(first, first + BLOCK)
        yield lanes, _in_block(values[:, lanes])


def _in_block(values: Array) -> Array:
    short = BLOCK - values.shape[-1]
    filled = np.concatenate([values, np.repeat(values[..., -1:], short, axis=-1)], axis=-1) if short else values
    # Also one that may be written to: else it is another kind of array, for which a function would be compiled by itself.
    return np.require(filled, np.float64, ["C", "W"])


def most(values: Array) -> float:
    """Return the largest of samples (n,)."""
    return _farthest(np.maximum, values)


def least(values: Array) -> float:
    """Return the smallest of samples (n,)."""
    return _farthest(np.minimum, values)


FOLDED = 64
"""So many samples of all lanes are compared at once: NumPy goes over time sample by sample, and sixteen numbers are too few for a turn."""


def _farthest(of: np.ufunc, values: Array) -> float:
    """Return the largest or smallest of samples (n,), or of each lane's (n, lanes): the same number in whatever order they are compared."""
    if values.ndim == 2:
        whole = len(values) - len(values) % FOLDED
        folded = np.ascontiguousarray(values[:whole]).reshape(-1, FOLDED * values.shape[1])
        if len(folded) > 1:
            values = np.concatenate([of.reduce(folded, axis=0).reshape(FOLDED, -1), values[whole:]])
    # A number of one run, an array (lanes,) of many: `float` is what the type checker is given for both.
    farthest: float = of.reduce(values, axis=0)
    return farthest


def positive(value: float) -> float:
    """Return a value, or zero where it is less."""
    clipped: float = np.maximum(value, 0.0)
    return clipped


def root(value: float) -> float:
    """Return the square root; nan stays nan."""
    square_root: float = np.sqrt(value)
    return square_root


def share(part: float, whole: float) -> float:
    """Return part / whole, nan where the whole is not more than zero."""
    # Masked before the division: numpy divides every lane, also those that nan is for.
    known = np.greater(whole, 0.0)
    shares: Any = np.where(known, part / np.where(known, whole, 1.0), nan)[()]
    ratio: float = shares
    return ratio


def contacts(touching: npt.NDArray[np.bool_], time_s: Array, part_s: float = CHATTER_S) -> int:
    """Count how often a contact began.

    Parameters
    ----------
    touching : (n,) array of bool
        Whether it touches at each sample.
    time_s : (n,) array
        The samples' times [s].
    part_s : float
        A contact that parted for less than this goes on [s].

    Returns
    -------
    int
        Contacts that began within the run; one that was there from the start did not begin.
    """
    # A gap of just this length parts.
    return int(
        contacts_begun(
            np.require(touching, np.bool_, ["C", "W"]), np.require(time_s, np.float64, ["C", "W"]), part_s - 1e-9
        )
    )
