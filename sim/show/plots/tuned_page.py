"""What the plots of a tuning share: a page with its set-ups, and scales that hold what is shown."""

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D

from sim.show.plots.aside import Told, aside
from sim.show.plots.clock import Thermometer
from sim.show.plots.page import Page, page
from sim.show.plots.panel import Panel
from sim.show.plots.scale import Scale
from sim.show.plots.style import INK, Look
from sim.study.tuning.session import Answer


def tuned_page(
    names: Iterable[str], title: str, subtitle: str, spots: bool = False, faults: Mapping[str, str] = MappingProxyType({})
) -> Page:  # fmt: skip
    """Return a page whose legend holds set-ups, as lines or as markers, and whose head tells their faults."""
    side = aside(names, {name: (Told(f"{text}."),) for name, text in faults.items() if text})
    return page(side, title, subtitle, spots=spots)


def held(values: Iterable[float], quantity: str, about: int = 6, pad: float = 0.08) -> Scale:
    """Return a scale that holds values and some room."""
    known = np.array([value for value in values if np.isfinite(value)])
    low, high = (float(known.min()), float(known.max())) if known.size else (0.0, 1.0)
    # If all values are one, some room around it, or the axis has no length.
    room = pad * (high - low) or 0.05 * abs(high) or 1.0
    # 5 % of an absolute temperature would be 15 K: far too much room for equal values.
    if quantity == "temperature":
        room = pad * (high - low) or 1.0
        return Thermometer(low - room, high + room, quantity, about)
    return Scale(low - room, high + room, quantity, about)


def spot(panel: Panel, x: float, y: float, look: Look, size: float = 9.0, filled: bool = False) -> None:
    """Put a set-up's marker."""
    # Hollow unless it is the tuned one: where markers meet, both stay visible.
    style: dict[str, Any] = {
        "linestyle": "none", "marker": look.marker, "markersize": size, "zorder": 6, "markeredgewidth": 1.8,
        "markerfacecolor": look.colour if filled else "white", "markeredgecolor": look.colour,
    }  # fmt: skip

    def draw(axes: Axes) -> object:
        return axes.add_line(Line2D([x], [y], **style))

    panel.drawings.append(draw)


def around(panel: Panel, x: float, y: float) -> None:
    """Put a square around the marker of a set-up that is flagged."""
    style: dict[str, Any] = {
        "linestyle": "none", "marker": "s", "markersize": 17.0, "zorder": 6, "markeredgewidth": 1.3, "markerfacecolor": "none",
        "markeredgecolor": INK,
    }  # fmt: skip

    def draw(axes: Axes) -> object:
        return axes.add_line(Line2D([x], [y], **style))

    panel.drawings.append(draw)


def better_by(answer: Answer) -> float:
    """Return by which share of now the goal is less."""
    # The goal of the start as ordered is 1 by definition, so the rest is the gain.
    return 1.0 - float(answer.judge.cost([answer.best])[0])
