"""A function of millions of places, some thousands at a time: what it needs on the way then stays in the processor's cache."""

from collections.abc import Callable

import numpy as np

from sim.describe.roads.array import Array

PART = 1 << 15
"""Places at a time. A few arrays of so many fit into the second cache; of all places of a long road they fill memory instead."""


def in_parts(function: Callable[[Array], tuple[Array, ...]], x: Array) -> tuple[Array, ...]:
    """Return what a function gives for each place of an array, worked out some thousands of places at a time.

    Parameters
    ----------
    function : callable
        Takes places (n,) and returns one or more arrays (n,); what it gives for a place depends on that place alone.
    x : (n,) array
        Places.
    """
    places = np.asarray(x, dtype=np.float64)
    if places.ndim != 1 or places.size <= PART:
        return function(places)
    parts = [function(places[first : first + PART]) for first in range(0, places.size, PART)]
    return tuple(np.concatenate(of) for of in zip(*parts, strict=True))
