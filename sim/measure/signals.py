"""What several measures ask of a trace: its axle, its mean over time, how often something began."""

from math import nan
from typing import Any

import numpy as np
import numpy.typing as npt

from sim.integrate.result import Run
from sim.integrate.traces import Array, AxleTrace

AXLES = ("front", "rear")

CHATTER_S = 0.02
"""Contacts that part for less than this are one contact [s].

A quarter of the shortest wheel hop period that a solid axle has (about 12 Hz): what parts for less
than that has bounced on its rubber, not gone away. Common practice, no source.
"""


def axle_of(run: Run, axle: str) -> AxleTrace:
    """Return the trace of the "front" or "rear" axle."""
    return dict(run.axles)[axle]


def time_mean(values: npt.NDArray[np.generic], time_s: Array) -> float:
    """Return the mean over time of samples (n,), straight between them; nan without any time.

    Here and below: of samples (n, lanes) of many set-ups at once, (lanes,).
    """
    if time_s.size < 2 or time_s[-1] <= time_s[0]:  # of one sample, or of a run that stopped at once
        return nan
    sampled = np.asarray(values, float)
    gap, whole = np.diff(time_s), time_s[-1] - time_s[0]
    if sampled.ndim == 1:
        alone: float = np.sum(0.5 * (sampled[1:] + sampled[:-1]) * gap) / whole
        return alone
    # The same trapezoids by samples: (n, lanes) then needs one product and no copy of its size.
    weights = np.concatenate([gap[:1], gap[1:] + gap[:-1], gap[-1:]]) * (0.5 / whole)
    if sampled.shape[1] == 1:  # one column by itself would be summed in another order than it is among others
        sampled = np.repeat(sampled, 2, axis=1)
        column: float = np.einsum("i,ij->j", weights, sampled)[:1]
        return column
    mean: float = np.einsum("i,ij->j", weights, sampled)
    return mean


def most(values: Array) -> float:
    """Return the largest of samples (n,)."""
    # A number of one run, an array (lanes,) of many: `float` is what the type checker is given for both.
    largest: float = values.max(axis=0)
    return largest


def least(values: Array) -> float:
    """Return the smallest of samples (n,)."""
    smallest: float = values.min(axis=0)
    return smallest


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
    if not touching.any():
        return 0
    change = np.diff(touching.astype(np.int8))  # as booleans a difference has no sign
    begins, ends = time_s[1:][change > 0], time_s[1:][change < 0]
    if begins.size == 0:
        return 0
    # pair each beginning with the ending before it; the first may have none
    before = np.searchsorted(ends, begins, side="right") - 1
    apart = np.where(before >= 0, begins - ends[before.clip(min=0)], np.inf) if ends.size else None
    # a gap of just this length parts
    return int(begins.size) if apart is None else int(np.count_nonzero(apart >= part_s - 1e-9))
