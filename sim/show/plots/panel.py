"""One panel of a page: an area with a scale each way, and what is drawn in it."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection, PolyCollection
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle

from sim.integrate.traces import Array
from sim.show.plots.envelope import envelope
from sim.show.plots.scale import Along, Scale
from sim.show.plots.style import GRID, SOFT, Look


@dataclass
class Panel:
    """An area of a page [in, from the left and from the top] with its scales.

    Attributes
    ----------
    left, top, width, height : float
        Where it is [in].
    x, y : Scale
        What its sides mean.
    """

    left: float
    top: float
    width: float
    height: float
    x: Scale
    y: Scale
    drawings: list[Callable[[Axes], object]] = field(default_factory=list)

    def x_in(self, value: float) -> float:
        """Return where on the page a value of x is [in]."""
        return self.left + (value - self.x.low) / self.x.span * self.width

    def y_in(self, value: float) -> float:
        """Return where on the page a value of y is [in from the top]."""
        return self.top + (self.y.high - value) / self.y.span * self.height

    def line(self, x: Array, y: Array, **style: Any) -> None:
        """Draw a line as it is."""
        # Added as artists: axes.plot would spend time on limits of the data, which the scales already give.
        self.drawings.append(lambda axes: axes.add_line(Line2D(x, y, **style)))

    def trace(self, x: Array, y: Array, look: Look) -> None:
        """Draw a set-up's line, thinned to what can be seen."""
        # Rounded joins: pointed ones would reach past a peak and show more than there was.
        self.line(*envelope(x, y), **look.line, solid_joinstyle="round", zorder=3)

    def level(self, y: float, **style: Any) -> None:
        """Draw a level line across."""
        ends = np.array([self.x.low, self.x.high])
        self.line(ends, np.array([y, y]), **{"color": SOFT, "linewidth": 0.9, "zorder": 2} | style)

    def upright(self, x: float, **style: Any) -> None:
        """Draw an upright line."""
        ends = np.array([self.y.low, self.y.high])
        self.line(np.array([x, x]), ends, **{"color": SOFT, "linewidth": 0.9, "zorder": 2} | style)

    def bars(self, boxes: Array, **style: Any) -> None:
        """Fill boxes (n, 4): left, right, low, high."""
        # An empty list becomes an array without columns to pick corners from.
        if len(boxes):
            corners = list(boxes[:, [[0, 2], [1, 2], [1, 3], [0, 3]]])
            self.drawings.append(
                lambda axes: axes.add_collection(PolyCollection(corners, **{"linewidth": 0.0} | style), autolim=False)
            )

    def drawn(self, figure: Figure, page_width: float, page_height: float) -> Axes:
        """Return the panel as axes of a figure."""
        place = (
            self.left / page_width, 1.0 - (self.top + self.height) / page_height,
            self.width / page_width, self.height / page_height,
        )  # fmt: skip
        axes = figure.add_axes(place, xlim=(self.x.low, self.x.high), ylim=(self.y.low, self.y.high))
        # ticks and their texts are on the page: many times faster, and nothing can move
        axes.xaxis.set_visible(False)
        axes.yaxis.set_visible(False)
        for spine in axes.spines.values():
            spine.set(color=SOFT, linewidth=0.7)
        self._grid(axes)
        # Only now: the axes need the height of the whole page, known when its last panel is laid.
        for draw in self.drawings:
            draw(axes)
        if isinstance(self.x, Along):
            axes.add_patch(self._along())
        return axes

    def _along(self) -> Rectangle:
        """Return an unseen patch over the panel, whose name in an SVG file says what lies along it (sim/show/pages)."""
        ends = f"{self.x.low:.6g}_{self.x.high:.6g}"
        return Rectangle(
            (self.x.low, self.y.low), self.x.span, self.y.span, facecolor="none", edgecolor="none",
            # Where it is too, as names must differ.
            gid=f"along_{self.x.quantity}_{ends}_{100 * self.left:.0f}_{100 * self.top:.0f}",
        )  # fmt: skip

    def _grid(self, axes: Axes) -> None:
        x, y = self.x.ticks()[0].at, self.y.ticks()[0].at
        upright = [[(at, self.y.low), (at, self.y.high)] for at in x]
        level = [[(self.x.low, at), (self.x.high, at)] for at in y]
        # Lines at the metric ticks alone: two grids in one panel hide what is drawn.
        grid = LineCollection(upright + level, colors=GRID, linewidths=0.6, zorder=0.5)
        axes.add_collection(grid, autolim=False)
