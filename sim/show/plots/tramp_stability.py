"""Plot: where wind-up feeds itself, over lean of the dampers and slope of the slip curve."""

from types import SimpleNamespace
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from sim.integrate.result import Array
from sim.show.plots.ends import heading
from sim.show.plots.lettering import clean
from sim.show.plots.page import LEFT, LINE, SMALL, TICK, TICK_LINE, WIDTH, page
from sim.show.plots.style import INK, SOFT, drawing
from sim.show.plots.swept import Written
from sim.study.tramp import KICK, TrampMap

PANEL, RIGHT = 4.2, WIDTH - 2.6


def figure(found: TrampMap) -> Figure:
    """Return the page: damping of wind-up in shades, the line where it is none, and the runs that confirm it."""
    with drawing():
        side: Any = SimpleNamespace(runs={found.name: SimpleNamespace(flags=())})
        subtitle = (
            f"{found.axle.capitalize()} axle, wheels slipping steadily at a crawl. Damping ratio of its least damped motion in the "
            "linear model; the thick line is where it is none and tramp starts. Marks: runs of the full model from a small kick."
        )
        made = page(side, title(found), subtitle)
        heading(made, "Damping ratio of wind-up", "number", LEFT, RIGHT)
        degrees = np.degrees(found.lean_rad)
        x = Written(float(degrees[0]), float(degrees[-1]), "deg", 7)
        y = Written(float(found.slip_slope.min()), float(found.slip_slope.max()), "", 8)
        panel = made.bare_panel(PANEL, x, y, LEFT, RIGHT)
        for value, label in zip(y.ticks()[0].at, y.ticks()[0].labels, strict=True):
            made.text(LEFT - 0.07, panel.y_in(value), label, TICK, ha="right")
        panel.drawings.append(lambda axes: _shades(axes, degrees, found))
        for (i, j), run in found.ran.items():
            panel.drawings.append(_mark(float(degrees[i]), float(found.slip_slope[j]), run.tramps))
        _key(made, panel.top)
        for value, label in zip(x.ticks()[0].at, x.ticks()[0].labels, strict=True):
            made.text(panel.x_in(value), made.bottom + 0.05 + TICK_LINE / 2, label, TICK, ha="center")
        made.bottom += TICK_LINE + 0.05
        middle = panel.left + panel.width / 2
        made.text(middle, made.bottom + LINE / 2, "Lean of the dampers [deg]: back − / + forward", SMALL, ha="center")
        made.bottom += LINE
        made.text(
            LEFT, made.bottom + LINE / 2,
            "Upright: slope of the slip curve, force by slip as a share of the load; below 0 the tyres are past their peak.",
            SMALL, colour=SOFT,
        )  # fmt: skip
        made.bottom += LINE + 0.1
        return made.figure()


def title(found: TrampMap) -> str:
    """Return what the map says: the lean at which wind-up keeps its damping longest."""
    onset = starts(found)
    if np.isnan(onset).all():
        always = found.damping.max() < 0.0
        return (
            f"With “{clean(found.name)}” wind-up {'feeds itself' if always else 'stays damped'} everywhere on this map"
        )
    filled = np.where(np.isnan(onset), found.slip_slope.min() if found.damping.min() > 0 else np.inf, onset)
    best, worst = int(np.argmin(filled)), int(np.argmax(filled))
    return (
        f"Tramp starts latest with the dampers at {_lean(found.lean_rad[best])}, at a slip slope of {filled[best]:.2f}; "
        f"first at {_lean(found.lean_rad[worst])}, at {filled[worst]:.2f}"
    )


def starts(found: TrampMap) -> Array:
    """Return for each lean (n,) the slope of the slip curve at which the damping is none; nan if it changes nowhere."""
    places = []
    order = np.argsort(found.slip_slope)[::-1]
    slopes = found.slip_slope[order]
    for row in found.damping[:, order]:
        signs = np.flatnonzero((row[:-1] > 0.0) & (row[1:] <= 0.0))
        if not signs.size:
            places.append(np.nan)
            continue
        i = int(signs[0])
        places.append(slopes[i] + (slopes[i + 1] - slopes[i]) * row[i] / (row[i] - row[i + 1]))
    return np.array(places)


def _lean(lean_rad: float) -> str:
    degrees = round(float(np.degrees(lean_rad)), 1)
    return "upright" if degrees == 0.0 else f"{abs(degrees):g} deg {'forward' if degrees > 0 else 'back'}"


def _shades(axes: Axes, degrees: Array, found: TrampMap) -> object:
    low, high = axes.get_xlim(), axes.get_ylim()
    values = np.clip(found.damping, -0.5, 0.2).T
    mesh = axes.pcolormesh(
        degrees,
        found.slip_slope,
        values,
        cmap="Greys_r",
        vmin=-1.2,
        vmax=0.12,
        shading="gouraud",
        zorder=0.4,
        rasterized=True,
    )
    levels = [-0.4, -0.3, -0.2, -0.1, 0.05, 0.1]
    lines = axes.contour(degrees, found.slip_slope, found.damping.T, levels=levels, colors=INK, linewidths=0.7)
    axes.clabel(lines, fontsize=7, fmt="%.2f")
    axes.contour(degrees, found.slip_slope, found.damping.T, levels=[0.0], colors=INK, linewidths=2.6)
    axes.set_xlim(low)
    axes.set_ylim(high)
    return mesh


def _mark(x: float, y: float, tramps: bool) -> Any:
    style: dict[str, Any] = {
        "linestyle": "none", "marker": "X" if tramps else "o", "markersize": 8.0, "markeredgecolor": INK,
        "markerfacecolor": INK if tramps else "white", "markeredgewidth": 1.4, "zorder": 6, "clip_on": False,
    }  # fmt: skip
    return lambda axes: axes.add_line(Line2D([x], [y], **style))


def _key(made: Any, top: float) -> None:
    left = RIGHT + 0.2
    lines = (
        ("X", INK, "the run tramps: its swings"), ("", "", "are kept up"),
        ("o", "white", "its swings die away from a"), ("", "", f"kick of {np.degrees(KICK):.2f} deg"),
    )  # fmt: skip
    for place, (marker, face, text) in enumerate(lines):
        y = top + 0.15 + place * LINE
        if marker:
            made.line(
                (left + 0.05, left + 0.05), (y, y), marker=marker, markersize=7.0, color=INK, markerfacecolor=face,
                linestyle="none",
            )  # fmt: skip
        made.text(left + 0.2, y, text, TICK)
