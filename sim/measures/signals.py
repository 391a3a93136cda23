"""What several measures ask of a trace: its axle, its mean over time, how often something began."""

from math import nan

import numpy as np
import numpy.typing as npt

from sim.result import Array, AxleTrace, Run

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
    """Return the mean over time of samples (n,), straight between them; nan without any time."""
    if time_s.size < 2 or time_s[-1] <= time_s[0]:
        return nan
    sampled = np.asarray(values, float)
    area = np.sum(0.5 * (sampled[1:] + sampled[:-1]) * np.diff(time_s))
    return float(area / (time_s[-1] - time_s[0]))


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
    change = np.diff(touching.astype(np.int8))
    begins, ends = time_s[1:][change > 0], time_s[1:][change < 0]
    if begins.size == 0:
        return 0
    # pair each beginning with the ending before it; the first may have none
    before = np.searchsorted(ends, begins, side="right") - 1
    apart = np.where(before >= 0, begins - ends[before.clip(min=0)], np.inf) if ends.size else None
    return int(begins.size) if apart is None else int(np.count_nonzero(apart >= part_s - 1e-9))
