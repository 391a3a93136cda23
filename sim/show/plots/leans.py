"""Plot: what the mounts of an axle's dampers do to its wind-up, a column for each way of moving them, rows for each road."""

from functools import partial
from math import isnan

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from sim.describe.parts.slip import Relaxation
from sim.describe.shown import heading_of, show_parts
from sim.integrate.traces import Array
from sim.show.plots.ends import heading
from sim.show.plots.leans_told import answered, in_picture, now, paragraphs, shown, turning
from sim.show.plots.lettering import clean, shortened
from sim.show.plots.page import LEFT, LINE, SMALL, TICK, TICK_LINE, WIDTH, Page, page
from sim.show.plots.panel import Panel
from sim.show.plots.scale import Scale, scale_of
from sim.show.plots.style import INK, SOFT, Look, drawing
from sim.show.plots.swept import Written
from sim.show.plots.title_lines import MOST_LINES
from sim.study.lean import GRIP, MEASURES, Leaned, Leans, Moved
from sim.study.mounts import MOVES

PANEL, APART = 1.25, 0.3
DRAWN = ("peak", "decay")
BELOW = {
    "upper": "lean: back − / + forward",
    "lower": "behind − / + ahead",
    "both": "behind − / + ahead",
    "staggered": "each way",
}


def figure(leans: Leans) -> Figure:
    """Return the page: greatest wind-up and how its swings die against place of the mounts, each set-up a line."""
    with drawing():
        subtitle = (
            f"{answered(leans)[0]} Their mounts moved in side view. Lean [deg]: positive, the upper end is ahead of the lower one. "
            f"Other places [{heading_of('length')}]: lower mounts from the axle's centre. Marks: as the set-up's file has it. Squares: the run is "
            "flagged. Hatched: not tried, as a damper does not fit there with any set-up. Dotted: tried, but by an estimate it would not fit."
        )
        head, beneath = in_picture(leans)
        sheet = page(leans, head, subtitle, most_lines=MOST_LINES)
        if beneath:
            sheet.paragraph(beneath, most_lines=5, bold=True)
        # Beneath the title, which has no room for both.
        if stands := now(leans):
            sheet.paragraph(stands, bold=True)
        for text in paragraphs(leans):
            sheet.paragraph(text, most_lines=4, bold=text == turning(leans))
        sheet.bottom += 0.1
        # Each road in rows of its own: on a smooth one the mounts may not matter, on washboard they may.
        for relaxation, roads in shown(leans).items():
            for road in roads:
                _road(sheet, leans, relaxation, road)
        return sheet.figure()


def _road(made: Page, leans: Leans, relaxation: Relaxation, road: str) -> None:
    setups = leans.roads[relaxation][road]
    said = f"{clean(road)}: {GRIP[relaxation]}" if len(shown(leans)) > 1 else clean(road)
    made.text(LEFT, made.bottom + LINE / 2, shortened(said, WIDTH - LEFT - 0.3, SMALL, bold=True), bold=True)
    made.bottom += LINE + 0.04
    wide = (WIDTH - LEFT - 0.3 - APART * (len(MOVES) - 1)) / len(MOVES)
    for measure in DRAWN:
        label, quantity, _, _ = MEASURES[measure]
        rows = [np.array([t.values[measure] for t in row.all()]) for row in setups.values()]
        # One scale across all moves: a move that does little must look so.
        scale = scale_of(rows, quantity, include=(0.0,), about=4)
        heading(made, label, quantity, LEFT, WIDTH - 0.3)
        top = made.bottom
        for place, move in enumerate(MOVES):
            made.bottom = top
            left = LEFT + place * (wide + APART)
            panel = _panel(made, scale, setups, move, left, wide, first=place == 0)
            for setup, row in setups.items():
                _line(panel, row, move, measure, made.looks[setup])
            # Both measures stand over the same places, so the ticks stand once, below the lower one.
            if measure == DRAWN[-1]:
                _below(made, panel, move)
        made.bottom += 0.1
    made.bottom += 0.1


def _panel(
    made: Page, y: Scale, setups: dict[str, Leaned], move: str, left: float, wide: float, first: bool
) -> Panel:  # fmt: skip
    factor, unit = show_parts(1.0, MOVES[move].quantity)[0]
    places = np.array([t.at for row in setups.values() for t in row.moves[move].tried]) * factor
    # Over all set-ups: where a damper fits differs between them, and the columns must agree.
    low, high = (float(places.min()), float(places.max())) if places.size else (0.0, 1.0)
    panel = made.bare_panel(PANEL, Written(low, high, unit, 4), y, left, left + wide)
    # All moves share the scale upward; its numbers stand once, on the left.
    if first:
        for value, label in zip(y.ticks()[0].at, y.ticks()[0].labels, strict=True):
            made.text(left - 0.07, panel.y_in(value), label, TICK, ha="right")
    panel.level(0.0)
    reasons = [row.moves[move].left_out for row in setups.values()]
    if not places.size:
        # A move that cannot be done at all has its reason in the empty panel.
        said = shortened(clean(reasons[0]), wide - 0.1, TICK)
        made.text(left + wide / 2, panel.top + PANEL / 2, said, TICK, ha="center", colour=SOFT)
    _hatched(panel, [row.moves[move] for row in setups.values()], factor)
    return panel


def _hatched(panel: Panel, rows: list[Moved], factor: float) -> None:
    """Hatch the places that are left out with every set-up, and dot those that would be if an estimate is right."""
    # All set-ups are tried at the same places, so the first one's serve for all.
    tried = [row.tried for row in rows if row.tried]
    if not tried:
        return
    at = [factor * t.at for t in tried[0]]
    # Half way to the neighbours on both sides: beyond it the next place speaks.
    half = 0.5 * (at[1] - at[0])
    out = [all(row[i].left_out for row in tried) for i in range(len(at))]
    open_ = [not out[i] and all(row[i].misfit for row in tried) for i in range(len(at))]
    for which, hatch in ((out, "////"), (open_, "..")):
        boxes = [
            [max(x - half, panel.x.low), min(x + half, panel.x.high), panel.y.low, panel.y.high]
            for x, here in zip(at, which, strict=True) if here
        ]  # fmt: skip
        if boxes:
            panel.bars(np.array(boxes), facecolor="none", edgecolor=SOFT, hatch=hatch)


def _line(panel: Panel, row: Leaned, move: str, measure: str, look: Look) -> None:
    moved = row.moves[move]
    if not moved.tried:
        return
    factor = show_parts(1.0, MOVES[move].quantity)[0][0]
    places = factor * np.array([t.at for t in moved.tried])
    values = np.array([t.values[measure] for t in moved.tried])
    panel.line(places, values, **look.line, zorder=3)
    # A flagged run is drawn but marked: it is not to be taken for the best place.
    flagged = [i for i, t in enumerate(moved.tried) if t.flags and not isnan(values[i])]
    # A line needs two points: a value between two gaps would not be seen at all.
    alone = [i for i in range(len(values)) if not isnan(values[i]) and _alone(values, i)]
    panel.drawings.append(partial(_spots, x=places[flagged], y=values[flagged], marker="s", size=8.0, colour=INK))
    panel.drawings.append(partial(_spots, x=places[alone], y=values[alone], marker=".", size=4.0, colour=look.colour))
    # Where it is now, so that the way to the best place can be read; staggered mounts have no such place.
    if moved.stands_at is not None and panel.x.low <= factor * moved.stands_at <= panel.x.high:
        at, level = np.array([factor * moved.stands_at]), np.array([row.stands.values[measure]])
        panel.drawings.append(partial(_spots, x=at, y=level, marker=look.marker, size=6.5, colour=look.colour))


def _alone(values: Array, i: int) -> bool:
    """Tell whether a value has no neighbour to draw a line to."""
    beside = [values[j] for j in (i - 1, i + 1) if 0 <= j < len(values)]
    return all(isnan(value) for value in beside)


def _spots(axes: Axes, x: Array, y: Array, marker: str, size: float, colour: str) -> object:
    return axes.add_line(
        Line2D(x, y, linestyle="none", marker=marker, markersize=size, markerfacecolor="none" if marker == "s" and colour == INK else
               "white", markeredgecolor=colour, markeredgewidth=1.5, zorder=5,
               # At the first or last place half of it is beyond the panel's edge.
               clip_on=False)
    )  # fmt: skip


ROWS = 2
"""Rows of numbers beneath a panel: lengths have one in each system."""


def _below(made: Page, panel: Panel, move: str) -> None:
    units = show_parts(1.0, MOVES[move].quantity)
    for place in range(ROWS):
        # An angle has one unit, but the labels beneath stand level with those of lengths.
        if place < len(units):
            factor = units[place][0] / units[0][0]
            ticks = Written(panel.x.low * factor, panel.x.high * factor, units[place][1], panel.x.about).ticks()[0]
            for value, label in zip(ticks.at, ticks.labels, strict=True):
                made.text(panel.x_in(value / factor), made.bottom + 0.05 + TICK_LINE / 2, label, TICK, ha="center")
        made.bottom += TICK_LINE
    made.bottom += 0.05
    unit = ", ".join(name for _, name in units)
    label = MOVES[move].label
    for text, points, colour in (
        (label[0].upper() + label[1:], SMALL, INK),
        (f"[{unit}] {BELOW[move]}", TICK, SOFT),
    ):
        said = shortened(text, panel.width + 0.15, points)
        made.text(panel.left + panel.width / 2, made.bottom + LINE / 2, said, points, ha="center", colour=colour)
        made.bottom += LINE
