"""Set-ups that are equal in every figure."""

from collections.abc import Iterable
from math import isfinite, isnan

from sim.describe.shown import show
from sim.measure.comparison import Comparison
from sim.measure.measure import Measure
from sim.measure.table import Value


def coincide(comparison: Comparison, measures: Iterable[Measure], one: str, other: str) -> bool:
    """Return whether two set-ups are equal in every figure, as printed or within numerical error."""
    # Of runs that blew up nothing is known, so nothing is equal either.
    if any(flag.kind == "not_finite" for setup in (one, other) for flag in comparison.runs[setup].flags):
        return False
    return all(_alike(comparison.values[one].get(m.name), comparison.values[other].get(m.name), m) for m in measures)


def _alike(one: Value | None, other: Value | None, measure: Measure) -> bool:
    if one is None or other is None:
        # A damper set that one of them lacks makes them two.
        return one is other
    if one.value == other.value or (isnan(one.value) and isnan(other.value)):
        return True
    if not isfinite(one.value) or not isfinite(other.value):
        return False
    errors = sum(value.error for value in (one, other) if isfinite(value.error))
    same_print = show(one.value, measure.quantity) == show(other.value, measure.quantity)
    return same_print or abs(one.value - other.value) <= errors
