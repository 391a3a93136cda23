"""Dimension lines on a drawing to scale: a length or a height written where it is measured."""

from math import atan2, degrees, hypot

from matplotlib.axes import Axes

from sim.describe.shown import show_short
from sim.show.plots.lettering import signed
from sim.show.plots.style import INK, SOFT

Place = tuple[float, float]

TEXT = 7.6
_ARROW = {
    "arrowstyle": "<|-|>,head_length=0.35,head_width=0.14",
    "color": SOFT,
    "linewidth": 0.8,
    "shrinkA": 0.0,
    "shrinkB": 0.0,
}
_PAPER = {"facecolor": "white", "edgecolor": "none", "pad": 0.6, "alpha": 0.85}


def length(value_m: float) -> str:
    """Return a length as it is written on a drawing: millimetres whole, inches to a tenth."""
    return show_short(value_m, "length", (0, 1))


def across(axes: Axes, ends: tuple[float, float], at: float, said: str, from_y: tuple[float, float]) -> None:
    """Draw a length along x at a height, with lines to where it is taken from."""
    for x, y in zip(ends, from_y, strict=True):
        axes.plot([x, x], [y, at - 0.02], color=SOFT, linewidth=0.6, zorder=0.6)
    axes.annotate("", (ends[0], at), (ends[1], at), arrowprops=_ARROW, zorder=2)
    _written(axes, (sum(ends) / 2.0, at), said, 0.0)


def upright(axes: Axes, at: float, top: float, said: str, from_x: float, outwards: float = 0.0) -> None:
    """Draw a height above the ground at a place along x, with a line to where it is taken from; its text on it, or on one side."""
    axes.plot([from_x, at], [top, top], color=SOFT, linewidth=0.6, zorder=0.6)
    axes.annotate("", (at, 0.0), (at, top), arrowprops=_ARROW, zorder=2)
    if outwards:
        beside(axes, (at + 0.03 * outwards, top / 2.0), said, outwards)
    else:
        _written(axes, (at, top / 2.0), said, 90.0)


def gap(axes: Axes, ends: tuple[Place, Place]) -> None:
    """Draw a distance that is too short for a text on it."""
    axes.annotate("", ends[0], ends[1], arrowprops=_ARROW, zorder=6.5)


def beside(axes: Axes, at: Place, said: str, outwards: float) -> None:
    """Write something on one side of a place: where x grows, or where it falls (`outwards` below nothing)."""
    side = "left" if (outwards > 0.0) != axes.xaxis_inverted() else "right"
    axes.text(*at, signed(said), fontsize=TEXT, color=INK, ha=side, va="center", zorder=8, bbox=_PAPER)


def along(axes: Axes, ends: tuple[Place, Place], said: str, aside: float, colour: str) -> None:
    """Write a length along the line between two places, some way beside it."""
    (x0, y0), (x1, y1) = ends
    long = hypot(x1 - x0, y1 - y0)
    # Read from below or from the right, as on any drawing.
    turn = (degrees(atan2(y1 - y0, x0 - x1 if axes.xaxis_inverted() else x1 - x0)) + 90.0) % 180.0 - 90.0
    across_x, across_y = -(y1 - y0) / long, (x1 - x0) / long
    sign = 1.0 if across_x >= 0.0 else -1.0
    axes.text(
        0.5 * (x0 + x1) + aside * sign * across_x, 0.5 * (y0 + y1) + aside * sign * across_y, signed(said), fontsize=TEXT, color=colour,
        rotation=turn, rotation_mode="anchor", ha="center", va="center", zorder=8, bbox=_PAPER,
    )  # fmt: skip


def _written(axes: Axes, at: Place, said: str, turn: float) -> None:
    axes.text(
        *at, signed(said), fontsize=TEXT, color=INK, rotation=turn, ha="center", va="center", zorder=8, bbox=_PAPER
    )
