"""Which set-up is worst in one measure."""

from collections.abc import Mapping
from math import isnan

from sim.measure.measure import Better
from sim.measure.table import Value

ROUNDING = 1e-9
"""Values nearer than this, as a share, are the same."""


def worst(values: Mapping[str, Value], better: Better) -> tuple[str, ...]:
    """Return the set-ups that are worst.

    Parameters
    ----------
    values : mapping of str to Value
        One measure by set-up.
    better : "less", "more" or None
        Which way is better.

    Returns
    -------
    tuple of str
        One set-up, or several that are equally bad within their numerical errors. Empty if no way
        is better, if fewer than two set-ups have a value, or if all are the same.
    """
    known = {setup: value for setup, value in values.items() if not isnan(value.value)}
    if better is None or len(known) < 2:
        return ()
    sense = 1.0 if better == "less" else -1.0
    last = max(known.values(), key=lambda value: sense * value.value)  # so that the largest is always the worst
    bad = tuple(setup for setup, value in known.items() if _same(value, last))
    return bad if len(bad) < len(known) else ()  # all alike: none is the worst


def _same(one: Value, two: Value) -> bool:
    if one.value == two.value:
        return True
    # Both errors may lie either way, so they add up: set-ups closer than that cannot be told apart.
    errors = sum(value.error for value in (one, two) if not isnan(value.error))
    near = ROUNDING * min(abs(one.value), abs(two.value))
    return abs(one.value - two.value) <= near + errors
