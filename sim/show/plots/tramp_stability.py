"""Plot: where wind-up grows by itself, over place of the dampers and slope of the slip curve, a row for each way grip follows load."""

from functools import partial
from types import SimpleNamespace
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from sim.describe.shown import show_parts
from sim.integrate.status import once
from sim.integrate.traces import Array
from sim.show.plots.contour_numbers import number, without_specks
from sim.show.plots.lettering import shortened
from sim.show.plots.page import LEFT, LINE, SMALL, TICK, TICK_LINE, WIDTH, Page, page
from sim.show.plots.panel import Panel
from sim.show.plots.style import INK, SOFT, drawing
from sim.show.plots.swept import Written
from sim.show.plots.title_lines import MOST_LINES
from sim.show.plots.tramp_told import capital, held, in_picture, paragraphs, turning
from sim.study.mounts import MOVES
from sim.study.tramp.records import KICK, MAPPED, Tramp, TrampMap

PANEL, APART = 3.0, 0.55
SHORT = {"at_once": "grip at once", "after_length": "grip after its length"}
HATCH, DOTS = "////", ".."
ROWS = 2
"""Rows of numbers beneath a map: lengths have one in each system."""

BELOW = {
    "angle": "Lean [deg]: back − / + forward",
    "length": "Lower mounts [{units}]: behind − / + ahead of the axle",
}


def figure(tramp: Tramp) -> Figure:
    """Return the page: damping of wind-up in shades, where it and other motions grow, and the runs that confirm it."""
    # Both ways of grip only where the advice turns on it; else the file's own.
    shown = [tramp_map for tramp_map in tramp.maps if tramp.turns() or tramp_map.relaxation == tramp.relaxation]
    with drawing():
        # The head names a flag once, though many confirming runs may share it.
        flags = once(flag for tramp_map in shown for flag in tramp_map.flags)
        side: Any = SimpleNamespace(runs={tramp.maps[0].name: SimpleNamespace(flags=flags)})
        subtitle = (
            f"{tramp.maps[0].axle.capitalize()} axle. {held()} Shades and thin lines: damping ratio of "
            "wind-up in the linear model, followed by its shape. Upright: slope of the slip curve, force by slip as a share of the "
            "load; below 0 the tyres are past their peak."
        )
        head, beneath = in_picture(tramp)
        sheet = page(side, head, subtitle, most_lines=MOST_LINES)
        if beneath:
            sheet.paragraph(beneath, most_lines=5, bold=True)
        for text in paragraphs(tramp):
            sheet.paragraph(text, most_lines=5, bold=text == turning(tramp))
        sheet.bottom += 0.12
        wide = (WIDTH - LEFT - 0.35 - APART * (len(MAPPED) - 1)) / len(MAPPED)
        # A row a way that grip follows load, a column a move: what differs stands side by side.
        for relaxation in dict.fromkeys(tramp_map.relaxation for tramp_map in shown):
            top = sheet.bottom
            for place, tramp_map in enumerate(f for f in shown if f.relaxation == relaxation):
                sheet.bottom = top
                _map(sheet, tramp_map, LEFT + place * (wide + APART), wide)
            sheet.bottom += 0.15
        # The key explains only what is drawn: a line nobody finds makes people doubt the map.
        dotted = any(
            tramp_map.others(False)[i].min() < 0.0
            for tramp_map in shown
            for i, row in enumerate(tramp_map.points)
            if row
        )
        _key(
            sheet,
            any(tramp_map.left_out for tramp_map in shown),
            any(tramp_map.unsure for tramp_map in shown),
            bool(flags),
            dotted,
            any(one.standing is not None for one in shown),
        )
        return sheet.figure()


def _map(made: Page, found: TrampMap, left: float, wide: float) -> None:
    move = MOVES[found.move]
    text = shortened(f"{capital(move.label)}: {SHORT[found.relaxation]}", wide, SMALL, bold=True)
    made.text(left, made.bottom + LINE / 2, text, bold=True)
    made.bottom += LINE + 0.03
    factor, unit = show_parts(1.0, move.quantity)[0]
    places = found.places * factor
    x = Written(float(places[0]), float(places[-1]), unit, 7)
    # No unit: a slope is force by slip as a share of the load.
    y = Written(float(found.slip_slope.min()), float(found.slip_slope.max()), "", 7)
    panel = made.bare_panel(PANEL, x, y, left, left + wide)
    for value, label in zip(y.ticks()[0].at, y.ticks()[0].labels, strict=True):
        made.text(left - 0.07, panel.y_in(value), label, TICK, ha="right")
    # Piece by piece: shades and lines must not be drawn across a place where no damper fits.
    for chunk in _chunks(found):
        panel.drawings.append(partial(_shades, places=places, found=found, chunk=chunk))
    _hatched(panel, places, found)
    for (i, j), run in found.ran.items():
        panel.drawings.append(_mark(float(places[i]), float(found.slip_slope[j]), run.tramps, bool(run.flags)))
    if found.standing is not None:
        x_now = panel.x_in(float(places[found.standing]))
        made.line(
            (x_now, x_now),
            (panel.y_in(panel.y.low), panel.y_in(panel.y.high)),
            color=SOFT,
            linewidth=1.2,
            linestyle="-.",
        )
    units = show_parts(1.0, move.quantity)
    for row in range(ROWS):
        # An angle has one unit, but what stands beneath is level with that of lengths.
        if row < len(units):
            size = units[row][0] / units[0][0]
            ticks = Written(x.low * size, x.high * size, units[row][1], x.about).ticks()[0]
            for value, label in zip(ticks.at, ticks.labels, strict=True):
                made.text(panel.x_in(value / size), made.bottom + 0.05 + TICK_LINE / 2, label, TICK, ha="center")
        made.bottom += TICK_LINE
    made.bottom += 0.05
    below = shortened(BELOW[move.quantity].format(units=", ".join(unit for _, unit in units)), wide, SMALL)
    made.text(left + wide / 2, made.bottom + LINE / 2, below, SMALL, ha="center", colour=SOFT)
    made.bottom += LINE


def _chunks(found: TrampMap) -> list[slice]:
    """Return the stretches of two or more places that are not left out."""
    chunks, begin = [], 0
    for i in range(len(found.points) + 1):
        if i == len(found.points) or not found.points[i]:
            # A single place has no neighbour to shade towards; its confirming runs are marked all the same.
            if i - begin >= 2:
                chunks.append(slice(begin, i))
            begin = i + 1
    return chunks


def _shades(axes: Axes, places: Array, found: TrampMap, chunk: slice) -> object:
    # Mesh and contours move the limits; they are put back at the end.
    low, high = axes.get_xlim(), axes.get_ylim()
    places = places[chunk]
    damping, others, still = (grid[chunk].T for grid in (found.damping, found.others(), found.others(False)))
    mesh = axes.pcolormesh(
        # Clipped, so that a point deep in tramp does not take all shades for itself.
        places, found.slip_slope, np.clip(damping, -0.5, 0.3), cmap="Greys_r", vmin=-1.2, vmax=0.25, shading="gouraud", zorder=0.4,
        rasterized=True,
    )  # fmt: skip
    # Zero is not among them: it is the boundary, drawn thick below.
    levels = [level for level in (-0.4, -0.2, -0.1, 0.05, 0.1, 0.2, 0.3) if damping.min() < level < damping.max()]
    if levels:
        lines = axes.contour(
            places, found.slip_slope, damping, levels=levels, colors=INK, linewidths=0.6, linestyles="solid"
        )
        without_specks(lines, places, found.slip_slope)
        number(axes, lines, lambda v: f"{v:.2f}".replace("-", "−"), low, high)
    for values, width, style in ((damping, 2.6, "solid"), (others, 2.2, "dashed"), (still, 2.2, "dotted")):
        # Without a change of sign there is no boundary, and matplotlib warns of an empty contour.
        if values.min() < 0.0 < values.max():
            axes.contour(places, found.slip_slope, values, levels=[0.0], colors=INK, linewidths=width, linestyles=style)
    axes.set_xlim(low)
    axes.set_ylim(high)
    return mesh


def _hatched(panel: Panel, places: Array, found: TrampMap) -> None:
    """Hatch the places that are left out, and dot those at which a damper would not fit by an estimate."""
    # Half way to either neighbour: where the dampers stand now may be nearer to one of them.
    middles = [float(places[0]), *(0.5 * (places[1:] + places[:-1])), float(places[-1])]
    for misfits, hatch in ((found.left_out, HATCH), (found.unsure, DOTS)):
        boxes = np.array([[middles[i], middles[i + 1], panel.y.low, panel.y.high] for i in misfits])
        # Over the shades, under lines and marks.
        panel.bars(boxes, facecolor="none", edgecolor=SOFT, hatch=hatch, zorder=0.6)


def _mark(x: float, y: float, tramps: bool, flagged: bool) -> Any:
    style: dict[str, Any] = {
        "linestyle": "none", "marker": "X" if tramps else "o", "markersize": 8.0, "markeredgecolor": "white" if tramps else INK,
        "markerfacecolor": INK if tramps else "white", "markeredgewidth": 1.0 if tramps else 1.4, "zorder": 6, "clip_on": False,
    }  # fmt: skip

    def draw(axes: Axes) -> object:
        # A square around it: the run is shown, but not to be relied on alone.
        if flagged:
            axes.add_line(Line2D([x], [y], linestyle="none", marker="s", markersize=14.0, markerfacecolor="none",
                                 markeredgecolor=INK, markeredgewidth=1.4, zorder=6, clip_on=False))  # fmt: skip
        return axes.add_line(Line2D([x], [y], **style))

    return draw


def _key(made: Page, hatched: bool, unsure: bool, flagged: bool, dotted: bool, stands: bool) -> None:
    thick = {"color": INK, "linewidth": 2.6}
    entries: list[tuple[dict[str, Any], str]] = [
        (thick, "wind-up has no damping left; on the darker side it grows"),
        (thick | {"linewidth": 2.2, "linestyle": "--"}, "another motion with which the pinion nods has none left; below, it grows"),
        ({"marker": "X", "markerfacecolor": INK, "markeredgecolor": INK}, "a run of the full model tramps: its swings are kept up"),
        ({"marker": "o", "markerfacecolor": "white", "markeredgecolor": INK},
         f"its swings die from a kick of {np.degrees(KICK):.2f} deg (leaf friction can hold so little)"),
    ]  # fmt: skip
    # Entries that may be missing come last, so that the others keep their places.
    if dotted:
        entries.append(
            (thick | {"linewidth": 2.2, "linestyle": ":"}, "the same of a motion with which it does not nod")
        )
    if stands:
        entries.append(({"color": SOFT, "linewidth": 1.2, "linestyle": "-."}, "where the dampers are as it stands"))
    if flagged:
        entries.append(({"marker": "s", "markerfacecolor": "none", "markeredgecolor": INK}, "that run is flagged"))
    if hatched:
        entries.append(({"hatch": HATCH}, "not tried: a damper does not fit there"))
    if unsure:
        entries.append(({"hatch": DOTS}, "a damper would not fit there, by an estimate: measure first"))
    for style, text in entries:
        y = made.bottom + LINE / 2
        if "marker" in style:
            made.line((LEFT + 0.2,), (y,), linestyle="none", markersize=7.0, **style)
        elif "hatch" in style:
            _sample(made, style["hatch"])
        else:
            made.line((LEFT, LEFT + 0.4), (y, y), **style)
        made.text(LEFT + 0.5, y, text, TICK)
        made.bottom += LINE


def _sample(made: Page, hatch: str) -> None:
    """Put a hatched box into the key, on the line that comes next."""
    bottom = made.bottom
    made.bottom += 0.15 * LINE
    unit = Written(0.0, 1.0, "", 1)
    box = made.bare_panel(0.7 * LINE, unit, unit, LEFT, LEFT + 0.4)
    box.bars(np.array([[0.0, 1.0, 0.0, 1.0]]), facecolor="white", edgecolor=SOFT, hatch=hatch)
    made.bottom = bottom
