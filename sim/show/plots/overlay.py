"""Plot: the measures that matter of all set-ups on one page, so that one look decides."""

from collections.abc import Mapping
from math import isfinite, isinf, isnan, nan

from matplotlib.figure import Figure

from sim.describe.shown import show
from sim.measure import Measure
from sim.measure.comparison import Comparison
from sim.measure.table import Value
from sim.measure.worst import worst
from sim.show.plots.finding import broke_down, named
from sim.show.plots.lettering import clean, shortened
from sim.show.plots.page import LINE, MARGIN, SMALL, TICK, WIDTH, Page, page
from sim.show.plots.style import GRID, drawing
from sim.show.report.key import key_measures

NAME = "overlay"

COLUMNS, MOST = 3, 12
CELL = (WIDTH - 2 * MARGIN) / COLUMNS
ROW, BAR = 0.18, 0.12  # in, height of a row and of its bar
BAR_LEFT, BAR_RIGHT, TEXT_LEFT = 0.2, 1.45, 1.53  # in, from the left of a cell

Row = Mapping[str, Value]
"""One measure by set-up."""


def figure(comparison: Comparison) -> Figure:
    """Return the page: bars of each key measure, a bar for each set-up."""
    with drawing():
        rows = {m: _row(comparison, m) for m in key_measures(comparison)}
        kept = sorted(rows, key=lambda measure: not _differs(rows[measure]))[:MOST]
        # Those that differ go first when there is no room for all, but they are drawn in their usual order.
        chosen = [measure for measure in rows if measure in kept]
        title = _title(comparison, {measure: rows[measure] for measure in chosen})
        subtitle = (
            "A bar for each set-up by its number; arrows say which way is better, bold is best. "
            "~ numerical error too large, – does not apply."
        )
        sheet = page(comparison, title, subtitle)
        # Every cell is as high as its bars: rows of cells stay level with one another.
        high = LINE + ROW * len(comparison.runs) + 0.22
        for place, measure in enumerate(chosen):
            left = MARGIN + CELL * (place % COLUMNS)
            put_cell(sheet, measure, rows[measure], left, sheet.bottom + high * (place // COLUMNS))
        # Rounded up: a last row that is not full takes as much height.
        sheet.bottom += high * -(-len(chosen) // COLUMNS)
        return sheet.figure()


def _row(comparison: Comparison, measure: Measure) -> dict[str, Value]:
    row = {}
    for setup, run in comparison.runs.items():
        value = comparison.values[setup].get(measure.name)
        # Kept as an empty row, so that a set-up's number stands at the same height in every cell.
        if value is None or broke_down(run):
            value = Value(nan, nan, flagged=broke_down(run))
        row[setup] = value
    return row


def put_cell(made: Page, measure: Measure, row: Row, left: float, top: float) -> None:
    """Put a measure's name and a bar for each set-up, `CELL` wide, from a place on the page [in]."""
    arrow = {"less": " ↓", "more": " ↑", None: ""}[measure.better]
    label = shortened(clean(measure.label), CELL - 0.4, SMALL, bold=True)
    made.text(left, top + LINE / 2, label + arrow, bold=True)
    best = best_setups(row, measure)
    finite = [value.value for value in row.values() if isfinite(value.value)]
    # Bars begin at zero, which may lie within the cell: travel left can be negative.
    low, high = min([0.0, *finite]), max([0.0, *finite])
    wide = (BAR_RIGHT - BAR_LEFT) / ((high - low) or 1.0)
    zero = left + BAR_LEFT - low * wide
    first = top + LINE + ROW / 2
    for place, (setup, value) in enumerate(row.items()):
        y = first + place * ROW
        made.text(left, y, str(made.looks[setup].number), TICK)
        bold = setup in best
        made.text(left + TEXT_LEFT, y, _said(value, measure.quantity), TICK, bold=bold)
        # what is not reached within the run has a bar to the edge
        end = left + BAR_RIGHT if isinf(value.value) else zero + value.value * wide
        if not isnan(value.value) and end != zero:
            colour = made.looks[setup].colour
            style = {"solid_capstyle": "butt", "linewidth": BAR * 72.0}
            made.line((zero, end), (y, y), color=colour, **style)
    made.line((zero, zero), (first - ROW / 2, first + (len(row) - 0.5) * ROW), color=GRID)


def _said(value: Value, quantity: str) -> str:
    if isnan(value.value):
        return "broke down" if value.flagged else "–"
    text = show(value.value, quantity).replace("-", "−")
    text = "not within the run" if isinf(value.value) else text
    return f"~{text}" if value.flagged else text


def best_setups(row: Row, measure: Measure) -> tuple[str, ...]:
    """Return the set-ups that are best in a measure; empty if none is better than the others."""
    turned = {"less": "more", "more": "less"}
    # Best is the worst of the opposite: equal within numerical error is decided in one place.
    return worst(row, turned.get(measure.better)) if measure.better else ()  # type: ignore[arg-type]


def _differs(row: Row) -> bool:
    return len({value.value for value in row.values() if not isnan(value.value)}) > 1


def _title(comparison: Comparison, rows: Mapping[Measure, Row]) -> str:
    """Count in how many measures each set-up is best."""
    wins = dict.fromkeys(comparison.runs, 0)
    differing = 0
    for measure, row in rows.items():
        best = best_setups(row, measure)
        differing += bool(best)
        for setup in best:
            wins[setup] += 1
    if len(wins) == 1:
        return f"Key measures with {named(comparison, next(iter(wins)))}"
    if not differing:
        return "No key measure tells the set-ups apart"
    first, last = max(wins, key=wins.__getitem__), min(wins, key=wins.__getitem__)
    which = f"{differing} key measures" + ("" if differing == len(rows) else " that differ")
    count = f"{wins[first]} of {which} are best"
    # A draw: naming one of them would be a verdict that the numbers do not give.
    if wins[first] == wins[last]:
        return f"Every set-up is best in {wins[first]} of {which}"
    few = wins[last] or "none"
    return f"With {named(comparison, first)} {count}; with {named(comparison, last)} {few}"
