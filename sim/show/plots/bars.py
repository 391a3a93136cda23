"""Bars of one measure, a bar for each set-up: the cells that pages of several measures are made of."""

from collections.abc import Mapping, Sequence
from math import isfinite, isinf, isnan

from sim.describe.shown import show
from sim.measure import Measure
from sim.measure.change import noticed_of
from sim.measure.table import Value
from sim.measure.worst import worst
from sim.show.plots.lettering import clean, shortened, signed, width_in
from sim.show.plots.page import LINE, MARGIN, SMALL, TICK, WIDTH, Page
from sim.show.plots.style import GRID

COLUMNS = 3
CELL = (WIDTH - 2 * MARGIN) / COLUMNS
ROW, BAR = 0.18, 0.12  # in, height of a row and of its bar
BAR_LEFT, BAR_RIGHT, TEXT_LEFT = 0.2, 1.45, 1.53  # in, from the left of a cell

OPEN = 1.2
"""Where the bar of what is not reached within the run is broken, and the longest of the others ends, where there is one [in, from the left of a cell]."""

PIECES = ((0.04, 0.1), (0.14, 0.18), (0.22, 0.25))
"""What follows it, ever shorter [in, from there]."""

Row = Mapping[str, Value]
"""One measure by set-up."""


def put_cell(
    made: Page, measure: Measure, row: Row, left: float, top: float, before: str = "", among: Sequence[Sequence[str]] = ()
) -> None:  # fmt: skip
    """Put a measure's name and a bar for each set-up, `CELL` wide, from a place on the page [in].

    Parameters
    ----------
    made : Page
    measure : Measure
    row : mapping of str to Value
    left, top : float
    before : str
        Stands before its name.
    among : sequence of sequence of str
        Set-ups among each of which a best one is marked, those of one load: nobody chooses a load. Left out: among all.
    """
    arrow = {"less": " ↓", "more": " ↑", None: ""}[measure.better]
    name = clean(before + measure.label)
    # Smaller letters before cutting: the end of a label is often what tells it from the next one.
    points = SMALL if width_in(name, SMALL, bold=True) <= CELL - 0.4 else TICK
    made.text(left, top + LINE / 2, shortened(name, CELL - 0.4, points, bold=True) + arrow, points, bold=True)
    said = {setup: _said(value, measure.quantity) for setup, value in row.items()}
    best = [one for group in among or (tuple(row),) for one in best_among(row, measure, group, said)]
    finite = [value.value for value in row.values() if isfinite(value.value)]
    # Bars begin at zero, which may lie within the cell: travel left can be negative.
    low, high = min([0.0, *finite]), max([0.0, *finite])
    endless = any(isinf(value.value) for value in row.values())
    # What is not reached has no length: it goes on past the longest that has one, and is broken there.
    wide = ((OPEN if endless else BAR_RIGHT) - BAR_LEFT) / ((high - low) or 1.0)
    zero = left + BAR_LEFT - low * wide
    first = top + LINE + ROW / 2
    for place, (setup, value) in enumerate(row.items()):
        y = first + place * ROW
        made.text(left, y, str(made.looks[setup].number), TICK)
        bold = setup in best
        made.text(left + TEXT_LEFT, y, _said(value, measure.quantity), TICK, bold=bold)
        ends = [(zero, zero + value.value * wide)]
        if isinf(value.value):
            ends = [(zero, left + OPEN), *((left + OPEN + one, left + OPEN + two) for one, two in PIECES)]
        if not isnan(value.value) and value.value != 0.0:
            style = {"solid_capstyle": "butt", "linewidth": BAR * 72.0, "color": made.looks[setup].colour}
            for one, two in ends:
                made.line((one, two), (y, y), **style)
    made.line((zero, zero), (first - ROW / 2, first + (len(row) - 0.5) * ROW), color=GRID)


def _said(value: Value, quantity: str) -> str:
    if isnan(value.value):
        return "broke down" if value.flagged else "–"
    text = signed(show(value.value, quantity))
    text = "not within the run" if isinf(value.value) else text
    return f"~{text}" if value.flagged else text


def alike(marked: tuple[str, ...], said: Mapping[str, str]) -> tuple[str, ...]:
    """Return the set-ups to mark: those that read the same as one of `marked` too; none where all of them do.

    Of two figures that read the same none is better to who looks at them.
    """
    texts = {said[setup] for setup in marked}
    same = tuple(setup for setup, text in said.items() if text in texts)
    return same if len(same) < len(said) else ()


def best_among(row: Row, measure: Measure, group: Sequence[str], said: Mapping[str, str]) -> tuple[str, ...]:
    """Return the set-ups of a group to mark as its best, with those that nobody would tell from it.

    None where the group is of one alone, where that is all of them, or where all read the same.
    """
    own = {setup: row[setup] for setup in group if setup in row}
    best = best_setups(own, measure) if len(own) > 1 else ()
    if not best:
        return ()
    # By the rule of the verdict: what it calls the same is no better in a picture.
    first, noticed = own[best[0]].value, noticed_of(measure)
    near = tuple(setup for setup, value in own.items() if setup in best or noticed.times(first, value.value) < 1.0)
    return alike(near, {setup: said[setup] for setup in own}) if len(near) < len(own) else ()


def best_setups(row: Row, measure: Measure) -> tuple[str, ...]:
    """Return the set-ups that are best in a measure; empty if none is better than the others."""
    turned = {"less": "more", "more": "less"}
    # Best is the worst of the opposite: equal within numerical error is decided in one place.
    return worst(row, turned.get(measure.better)) if measure.better else ()  # type: ignore[arg-type]
