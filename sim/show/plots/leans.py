"""Plot: what the lean of an axle's dampers does to its wind-up, a column for each road."""

from math import isnan

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from sim.describe.units import show
from sim.integrate.result import Array
from sim.show.plots.ends import heading
from sim.show.plots.finding import named
from sim.show.plots.lettering import clean, shortened
from sim.show.plots.page import LEFT, LINE, SMALL, TICK, TICK_LINE, WIDTH, Page, page
from sim.show.plots.panel import Panel
from sim.show.plots.scale import scale_of
from sim.show.plots.style import SOFT, Look, drawing
from sim.show.plots.swept import Written
from sim.study.lean import MEASURES, Leaned, Leans

PANEL, APART = 1.7, 0.75


def figure(leans: Leans) -> Figure:
    """Return the page: greatest wind-up, swings and their decay against lean, each set-up a line."""
    with drawing():
        subtitle = (
            f"Lean of the {leans.axle} dampers in side view: positive, the upper end is ahead of the lower one; upper mounts moved "
            "along the frame. Marks: as the set-up's file has it. Gaps: the run left its validity."
        )
        made = page(leans, title(leans), subtitle)
        wide = (WIDTH - LEFT - 0.75 - APART * (len(leans.roads) - 1)) / len(leans.roads)
        for name, (label, quantity, _, _) in MEASURES.items():
            rows = [row.values[name] for road in leans.roads.values() for row in road.values()]
            scale = scale_of(rows, quantity, include=(0.0,))
            top = made.bottom
            for place, (road, setups) in enumerate(leans.roads.items()):
                made.bottom = top
                left = LEFT + place * (wide + APART)
                said = f"{label}: {clean(road)}" if len(leans.roads) > 1 else label
                heading(made, said, quantity, left, left + wide)
                degrees = np.degrees(leans.lean_rad)
                x = Written(float(degrees[0]), float(degrees[-1]), "deg", 7)
                panel = made.panel(PANEL, x, scale, left, left + wide)
                panel.level(0.0)
                for setup, row in setups.items():
                    _line(panel, degrees, row, name, made.looks[setup])
                if name == list(MEASURES)[-1]:
                    _below(made, panel)
            made.bottom += 0.12
        return made.figure()


def _line(panel: Panel, degrees: Array, row: Leaned, name: str, look: Look) -> None:
    values = row.values[name]
    panel.line(degrees, values, **look.line, zorder=3)
    if row.stands_at_rad is None:
        return
    at = float(np.degrees(row.stands_at_rad))
    y = float(np.interp(at, degrees, values))
    if degrees[0] <= at <= degrees[-1] and not isnan(y):

        def draw(axes: Axes) -> object:
            return axes.add_line(
                Line2D([at], [y], linestyle="none", marker=look.marker, markersize=6.5, markerfacecolor="white",
                       markeredgecolor=look.colour, markeredgewidth=1.6, zorder=5)
            )  # fmt: skip

        panel.drawings.append(draw)


def _below(made: Page, panel: Panel) -> None:
    ticks = panel.x.ticks()[0]
    for value, label in zip(ticks.at, ticks.labels, strict=True):
        made.text(panel.x_in(value), made.bottom + 0.05 + TICK_LINE / 2, label, TICK, ha="center")
    made.bottom += TICK_LINE + 0.05
    said = shortened("Lean [deg]: back − / + forward", panel.width, SMALL)
    made.text(panel.left + panel.width / 2, made.bottom + LINE / 2, said, SMALL, ha="center", colour=SOFT)
    made.bottom += LINE


def title(leans: Leans) -> str:
    """Return the trade's question and what the runs say, of the set-up and road where lean decides most."""
    question = f"Which way and how far to lean the {leans.axle} dampers against wind-up?"
    best: tuple[float, str] = (0.0, "")
    for road, setups in leans.roads.items():
        for setup, row in setups.items():
            peaks = row.values["peak"]
            if np.isnan(peaks).all():
                continue
            least, most = int(np.nanargmin(peaks)), int(np.nanargmax(peaks))
            gain = float(peaks[most] - peaks[least])
            where = f" on “{clean(road)}”" if len(leans.roads) > 1 else ""
            who = f"with {named(leans, setup)}" if len(setups) > 1 else ""
            said = (
                f"{who}{where} the pinion swings least at {_lean(leans.lean_rad[least])}, {show(peaks[least], 'angle')}; "
                f"most at {_lean(leans.lean_rad[most])}, {show(peaks[most], 'angle')}"
            ).strip()
            if gain >= best[0]:
                best = (gain, said[0].upper() + said[1:])
    return f"{question} {best[1]}" if best[1] else question


def _lean(lean_rad: float) -> str:
    degrees = round(float(np.degrees(lean_rad)), 1)
    if degrees == 0.0:
        return "upright"
    return f"{abs(degrees):g} deg {'forward' if degrees > 0 else 'back'}"
