"""Draws of numbers that a description wants in an order: a bump stop that stiffens, a damper that is shorter collapsed than extended.

Each drawn for itself they may come out crossed, and the try would say nothing of any set-up. Kept in order they stay what was known of
them: of two in doubt, each value goes to the one that may have it; of one beside a number that is known, it is mirrored at that.
"""

from collections.abc import Collection, Mapping
from typing import NamedTuple

from sim.describe.doubtful import Ordered, ordered


class Pair(NamedTuple):
    """Two numbers by their paths, the lesser first, and what they are where they are not in doubt [SI]."""

    lesser: str
    greater: str
    lesser_known: float
    greater_known: float


def pairs(part: object, of: Collection[str], prefix: str = "") -> tuple[Pair, ...]:
    """Return the pairs of a vehicle or a run of which at least one number is in doubt, by its path among `of`."""
    found: list[Ordered] = list(ordered(part))
    return tuple(
        Pair(prefix + one.lesser, prefix + one.greater, *one.values)
        for one in found
        if prefix + one.lesser in of or prefix + one.greater in of
    )


def in_order(values: Mapping[str, float], those: Collection[Pair]) -> dict[str, float]:
    """Return values [SI] by path with every pair in its order."""
    kept = dict(values)
    for one in those:
        low, high = kept.get(one.lesser, one.lesser_known), kept.get(one.greater, one.greater_known)
        if low <= high:
            continue
        if one.lesser in kept and one.greater in kept:
            kept[one.lesser], kept[one.greater] = high, low
        elif one.lesser in kept:
            kept[one.lesser] = 2.0 * high - low
        else:
            kept[one.greater] = 2.0 * low - high
    return kept
