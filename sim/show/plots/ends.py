"""What stands around a panel: its heading, its ticks along x, and labels of level lines."""

from collections.abc import Sequence

from sim.describe.shown import show_parts
from sim.show.plots.lettering import clean, shortened, width_in
from sim.show.plots.page import LINE, SMALL, TICK, TICK_LINE, WIDTH, Page
from sim.show.plots.panel import Panel
from sim.show.plots.scale import Scale, Ticks
from sim.show.plots.style import SOFT

LABELS = 0.62  # in, from a panel's right side to the labels of its lines
UNIT = 0.25  # in, from a panel's left side to the unit of its ticks along x


def heading(made: Page, text: str, quantity: str, left: float, right: float) -> None:
    """Put what a panel shows above it, with the unit of each of its sides."""
    units = [unit for _, unit in show_parts(1.0, quantity)]
    y = made.bottom + LINE / 2
    unit = f" [{units[0]}]" if units[0] else ""
    # The metric unit belongs to the ticks on the left, the inch unit to those on the right.
    said = shortened(f"{clean(text)}{unit}", right - left - 0.1, SMALL, bold=True)
    made.text(left, y, said, bold=True)
    if len(units) > 1:
        made.text(right + 0.07, y, f"[{units[1]}]", bold=True)
    made.bottom += LINE + 0.03


def ticks_below(made: Page, panel: Panel, label: str, rows: int = 2) -> None:
    """Put the ticks of x below a panel, a row for each unit system, and what they are."""
    # A unit system a row: two numbers at one tick would be read as one.
    for ticks in panel.x.ticks()[:rows]:
        y = made.bottom + 0.05 + TICK_LINE / 2
        _row(made, panel, ticks, y)
        made.text(panel.left - UNIT, y, f"[{ticks.unit}]", TICK, ha="right")
        made.bottom += TICK_LINE
    made.bottom += 0.05
    middle = panel.left + panel.width / 2
    made.text(middle, made.bottom + LINE / 2, label, SMALL, ha="center")
    made.bottom += LINE


def ticks_above(made: Page, left: float, right: float, x: Scale) -> None:
    """Put ticks of x in the second unit system where a panel will begin."""
    # Where one system alone is shown its ticks stand below the panel, and once is enough.
    if len(x.ticks()) == 1:
        return
    # The real panel comes below these ticks and does not exist yet; places along x are the same.
    ghost = Panel(left, made.bottom, right - left, 1.0, x, x)
    ticks = x.ticks()[-1]
    y = made.bottom + TICK_LINE / 2
    _row(made, ghost, ticks, y)
    made.text(left - UNIT, y, f"[{ticks.unit}]", TICK, ha="right")
    made.bottom += TICK_LINE + 0.05


def _row(made: Page, panel: Panel, ticks: Ticks, y: float) -> None:
    """Put tick texts in a row, leaving out every second one until they have room."""
    spaced = list(zip(ticks.at, ticks.labels, strict=True))
    # Half of the ticks at a time keeps equal steps; labels on one another cannot be read.
    while len(spaced) > 2 and _tight(panel, spaced):
        spaced = spaced[::2]
    for value, label in spaced:
        made.text(panel.x_in(value), y, label, TICK, ha="center")


def _tight(panel: Panel, spaced: Sequence[tuple[float, str]]) -> bool:
    widest = max(width_in(label, TICK) for _, label in spaced)
    return panel.x_in(spaced[1][0]) - panel.x_in(spaced[0][0]) < widest + 0.1


def labels_right(made: Page, panel: Panel, labels: Sequence[tuple[float, str]]) -> None:
    """Put labels of level lines (y [SI], text) to the right of a panel, apart from one another."""
    # A level outside the range has no line to be seen either.
    inside = [(panel.y_in(y), text) for y, text in labels if panel.y.low <= y <= panel.y.high]
    inside.sort()
    places = spread([y for y, _ in inside], TICK_LINE, panel.top, panel.top + panel.height)
    edge = panel.left + panel.width
    for (y, text), place in zip(inside, places, strict=True):
        x = edge + LABELS
        made.line((edge + LABELS - 0.12, x - 0.03), (y, place), color=SOFT, linewidth=0.7)
        made.text(x, place, shortened(text, WIDTH - x - 0.08, TICK), TICK, colour=SOFT)


def spread(wanted: Sequence[float], apart: float, low: float, high: float) -> list[float]:
    """Return places near the wanted ones (rising), at least `apart` from one another.

    They stay within low and high if there is room for all.
    """
    places: list[float] = []
    for place in wanted:
        places.append(max(place, places[-1] + apart if places else low))
    limit = high
    for at in range(len(places) - 1, -1, -1):
        places[at] = min(places[at], limit)
        limit = places[at] - apart
    return places
