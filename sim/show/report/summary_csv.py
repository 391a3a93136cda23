"""Every measure of every set-up as one CSV: measures down, set-ups across."""

from math import isinf, isnan
from pathlib import Path

from sim.describe.shown import show_parts
from sim.measure.comparison import Comparison, change_share, worst_setups
from sim.measure.references import references_of
from sim.show.report.table_csv import Table


def write(comparison: Comparison, path: Path) -> None:
    """Write value, numerical error and flag of every measure by set-up, in workshop metric units."""
    worst = worst_setups(comparison)
    head = ["measure", "unit", "better"]
    # Changes are given against the reference, as the verdict is.
    judged_by = references_of(comparison)
    for setup in comparison.runs:
        head += [setup, f"{setup}: numerical error", f"{setup}: trusted"]
    with path.open("w", encoding="utf-8", newline="") as file:
        table = Table(file)
        others = [setup for setup in comparison.runs if setup != judged_by[setup]]
        table.writerow([*head, "worst", *(f"{setup}: change from {judged_by[setup]} [%]" for setup in others)])
        for measure in comparison.measures:
            # The workshop's metric unit, alone in its column: figures in two units cannot be sorted or added.
            unit = show_parts(0.0, measure.quantity)[0][1]
            row = [measure.label, unit, measure.better or ""]
            for values in comparison.values.values():
                value = values.get(measure.name)
                if value is None or isnan(value.value):
                    # Empty, not nan: a spreadsheet takes that word for text, and every formula that meets it fails.
                    row += ["", "", ""]
                    continue
                row += [
                    _number(value.value, measure.quantity), _number(value.error, measure.quantity),
                    "no" if value.flagged else "yes",
                ]  # fmt: skip
            changes = [
                change_share(
                    comparison.values[judged_by[setup]].get(measure.name), comparison.values[setup].get(measure.name)
                )
                for setup in others
            ]
            row.append("; ".join(worst[measure.name]))
            table.writerow([*row, *("" if isnan(share) else f"{100 * share:.4g}" for share in changes)])
        for setup, run in comparison.runs.items():
            for flag in run.flags:
                # Beneath the table and in one cell, so that no column of figures holds a sentence.
                table.writerow([f"FLAGGED {setup}: {flag.sentence}"])


def _number(value: float, quantity: str) -> str:
    if isnan(value):
        return ""
    if isinf(value):
        # In words, so that nobody averages it: no number stands for never.
        return "not reached"
    return f"{show_parts(value, quantity)[0][0]:.6g}"
