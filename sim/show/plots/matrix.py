"""Plot: measures down, set-ups across, the worst cell of each row marked, to see whether one setting is right for every load."""

from math import isinf, isnan

from matplotlib.figure import Figure

from sim.describe.shown import show_numbers, system, unit_names
from sim.measure import Measure
from sim.measure.comparison import Comparison
from sim.measure.table import Value
from sim.measure.verdict import verdict
from sim.measure.worst import worst
from sim.show.plots.bars import alike
from sim.show.plots.finding import broke_down
from sim.show.plots.lettering import clean, shortened, signed, told_apart, width_in
from sim.show.plots.page import LINE, MARGIN, SMALL, TICK, TICK_LINE, WIDTH, Page, page
from sim.show.plots.style import GRID, INK, SOFT, drawing
from sim.show.plots.verdict import ALL_LINES, title
from sim.show.report.key import key_measures, says

NAME = "matrix"

LABEL, WIDEST_LABEL = 3.3, 4.3
ROW = 0.38
WIDEST = 1.6
WORST = "#cfcfcf"


def figure(comparison: Comparison) -> Figure:
    """Return the page."""
    with drawing():
        chosen = rows(comparison)
        # The worst, not the best, is marked: one setting for every load must above all be bad at none.
        bad = {measure.name: _bad(comparison, measure) for measure in chosen}
        subtitle = (
            "A column for each set-up. Grey and bold: the worst of its row. !: past a limit, into a bump stop, a limit strap or the end of a "
            "damper. "
            + ("Metric above, inch units below in brackets. " if system() == "both" else "")
            + "–: does not apply."
        )
        head, further = title(verdict(comparison))
        sheet = page(comparison, head, subtitle, most_lines=ALL_LINES, further=further)
        # All set-ups share the width; with few of them columns would fly apart.
        wide = min(WIDEST, (WIDTH - 2 * MARGIN - _label_wide(comparison)) / len(comparison.runs))
        _head(sheet, comparison, wide)
        for measure in chosen:
            _row(sheet, comparison, measure, bad[measure.name], wide)
        sheet.bottom += 0.05
        return sheet.figure()


def rows(comparison: Comparison) -> list[Measure]:
    """Return the measures shown: the key ones, then ride and what a load moves; without what is nothing for all."""
    first = [
        m
        for m in key_measures(comparison)
        # A row of zeros (nobody bottoms, no wheel lifts) would only push the others down.
        if any(row[m.name].value != 0.0 for row in comparison.values.values() if m.name in row)
    ]
    others = [m for m in comparison.measures if m.shown.beside and m not in first and says(comparison, m.name)]
    return first + others


def known(comparison: Comparison, measure: Measure) -> dict[str, Value]:
    """Return a measure by set-up, without runs that broke down."""
    return {
        setup: comparison.values[setup][measure.name]
        for setup, run in comparison.runs.items()
        if measure.name in comparison.values[setup] and not broke_down(run)
    }


def _bad(comparison: Comparison, measure: Measure) -> tuple[str, ...]:
    values = known(comparison, measure)
    return alike(
        worst(values, measure.better), {setup: " ".join(cell(value, measure)) for setup, value in values.items()}
    )


def _label_wide(comparison: Comparison) -> float:
    """Return the width of the labels [in]: what few columns leave is theirs."""
    return max(LABEL, min(WIDEST_LABEL, WIDTH - 2 * MARGIN - WIDEST * len(comparison.runs)))


def _head(made: Page, comparison: Comparison, wide: float) -> None:
    y = made.bottom + LINE / 2
    numbers = [f"{made.looks[setup].number}  " for setup in comparison.runs]
    room = wide - 0.08 - max(width_in(number, SMALL, bold=True) for number in numbers)
    names = told_apart([clean(setup) for setup in comparison.runs], room, SMALL, bold=True)
    for place, (number, name) in enumerate(zip(numbers, names, strict=True)):
        made.text(_middle(comparison, place, wide), y, number + name, bold=True, ha="center")
    made.bottom += LINE + 0.04


def _middle(comparison: Comparison, place: int, wide: float) -> float:
    return MARGIN + _label_wide(comparison) + (place + 0.5) * wide


def _row(made: Page, comparison: Comparison, measure: Measure, bad: tuple[str, ...], wide: float) -> None:
    top, right = made.bottom, MARGIN + _label_wide(comparison) + wide * len(comparison.runs)
    made.line((MARGIN, right), (top, top), color=GRID, linewidth=0.8)
    arrow = {"less": " ↓", "more": " ↑", None: ""}[measure.better]
    # Smaller letters before cutting: the end of a label tells it from the next one.
    room, name = _label_wide(comparison) - 0.25, clean(measure.label)
    points = next((size for size in (SMALL, TICK) if width_in(name, size) <= room), TICK - 1.0)
    label = shortened(name, room, points)
    units = unit_names(measure.quantity)
    made.text(MARGIN, top + ROW / 2 - (TICK_LINE / 2 if units else 0.0), label + arrow, points)
    if units:
        made.text(MARGIN, top + ROW / 2 + TICK_LINE / 2, units, TICK, colour=SOFT)
    for place, (setup, run) in enumerate(comparison.runs.items()):
        value = comparison.values[setup].get(measure.name)
        middle = _middle(comparison, place, wide)
        # A thick line serves as the cell's shade: a page holds lines and panels, no boxes.
        if setup in bad:
            style = {"solid_capstyle": "butt", "linewidth": (ROW - 0.06) * 72.0, "color": WORST, "zorder": 1}
            made.line((middle - wide / 2 + 0.03, middle + wide / 2 - 0.03), (top + ROW / 2, top + ROW / 2), **style)
        bold = setup in bad
        # Its last numbers would look like values.
        parts = ["broke", "down"] if broke_down(run) else cell(value, measure)
        for line, text in enumerate(parts):
            at = top + ROW / 2 + (line - (len(parts) - 1) / 2) * TICK_LINE
            # Smaller letters before cutting: half a number is a wrong number.
            small = TICK if width_in(text, TICK, bold) <= wide - 0.08 else TICK - 2.0
            made.text(middle, at, shortened(text, wide - 0.04, small, bold), small, bold=bold, ha="center", colour=INK)
    made.bottom += ROW


def cell(value: Value | None, measure: Measure) -> list[str]:
    """Return what a cell says: one line, or two where the trade has two units."""
    if value is None or isnan(value.value):
        return ["–"]
    if isinf(value.value):
        # Infinite is a time: what is not reached within the run.
        return ["never"]
    mark = ("! " if past_limit(value, measure) else "") + ("~" if value.flagged else "")
    # A true minus sign: a hyphen beside a number is hard to see in a photocopy.
    first, _, second = signed(show_numbers(value.value, measure.quantity)).partition(" (")
    return [mark + first, f"({second}"] if second else [mark + first]


def past_limit(value: Value, measure: Measure) -> bool:
    """Return whether a value is past a limit of metal: into a stop, a strap, the end of a damper."""
    return measure.past_limit(value.value)
