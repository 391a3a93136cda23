"""Samples of a road as the kernel takes them: heights with the cubics that lead from each to the next."""

import numpy as np

from sim.describe.roads.array import Array
from sim.kernel import layout as at

BEFORE = 1
"""Samples that stand before the first one that was given: level ground."""


def cubics(heights: Array, rises: Array) -> Array:
    """Return samples (..., n + 2, ROAD_ROWS) of a road from heights [m] and rises (..., n), their derivatives by sample.

    Between two samples the road is the cubic that has their heights and rises (Hermite): smooth in slope, and its slope is exactly
    that of its height, so that nothing is won or lost by rolling over it. If the rises near a kink are means over windows
    that tile the way, the slopes met at even steps add up to the road's rise wherever in a cell those steps fall: of the
    weights that a place in the cell gives to both rises and to the change of height, those of all cells sum to one.
    Before the first sample and a sample past the last one it is level.
    """
    # Worked out here in double precision: in single precision the change of height of two samples would lose its digits.
    change = np.diff(heights, axis=-1)
    here, there = rises[..., :-1], rises[..., 1:]
    samples = np.zeros((*heights.shape[:-1], heights.shape[-1] + 2, at.ROAD_ROWS))
    given = samples[..., BEFORE:-1, :]
    given[..., at.ROAD_HEIGHT] = heights
    given[..., at.ROAD_BY_SAMPLE] = rises
    given[..., :-1, at.ROAD_BENT] = 3.0 * change - 2.0 * here - there
    given[..., :-1, at.ROAD_TWISTED] = here + there - 2.0 * change
    samples[..., 0, at.ROAD_HEIGHT] = heights[..., 0]
    samples[..., -1, at.ROAD_HEIGHT] = heights[..., -1] + rises[..., -1]
    return samples


def lifted(heights: Array, rates: Array | None = None) -> Array:
    """Return samples (2, 3, ROAD_ROWS) of level ground at heights (2,) [m] that rises at rates (2,) [m/s], of a second each."""
    rise = np.zeros(2) if rates is None else rates
    return cubics(heights[:, None], rise[:, None])
