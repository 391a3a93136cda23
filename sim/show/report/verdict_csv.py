"""The verdict as CSV: a row for each figure of each set-up against the reference, in workshop metric units."""

from math import isfinite, isinf, isnan, nan
from pathlib import Path

from sim.describe.shown import show_parts
from sim.measure.comparison import Comparison
from sim.measure.judged import Part
from sim.measure.verdict import Change, noticed_of, verdict
from sim.show.report.table_csv import Table

HEAD = (
    "set-up", "reference", "block", "block outcome", "block size", "measure", "unit", "value", "reference value", "change", "change [%]",
    "outcome", "size", "smallest noticed", "band low", "band high", "coincides with",
)  # fmt: skip


def write(comparison: Comparison, path: Path) -> None:
    """Write every figure that carries a block, of every set-up but the reference."""
    found = verdict(comparison)
    with path.open("w", encoding="utf-8", newline="") as file:
        table = Table(file)
        table.writerow(HEAD)
        for setup, other in found.others.items():
            for block, part in other.parts.items():
                for change in part.changes:
                    head = [setup, other.reference, block, part.outcome, _size(part)]
                    table.writerow([*head, *_figure(change), "; ".join(other.coincides)])


def _size(one: Part | Change) -> str:
    # What nobody has judged has no size: "same" would be one.
    return "" if one.outcome in ("not judged", "not known") else one.size


def _figure(change: Change) -> list[str]:
    quantity = change.measure.quantity
    # A change has the unit's size and not its zero: none of these is a temperature on a scale.
    factor, unit = show_parts(1.0, quantity)[0]
    known = isfinite(change.reference) and isfinite(change.other)
    smallest = noticed_of(change.measure).smallest(change.reference, change.other) if known else nan
    share = change.difference / abs(change.reference) if known and change.reference != 0.0 else nan
    band = (nan, nan) if change.band is None else (change.band.low, change.band.high)
    return [
        change.measure.label, unit, _number(factor * change.other), _number(factor * change.reference),
        _number(factor * change.difference), _number(100.0 * share, 4), change.outcome, _size(change), _number(factor * smallest),
        *(_number(factor * end) for end in band),
    ]  # fmt: skip


def _number(value: float, digits: int = 6) -> str:
    if isnan(value):
        return ""
    # In words, so that nobody averages it: no number stands for never.
    if isinf(value):
        return "not reached" if value > 0.0 else "-not reached"
    return f"{value:.{digits}g}"
