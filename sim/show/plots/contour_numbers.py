"""Numbers on lines of equal value, none of them cut at the edge of its panel."""

from collections.abc import Callable
from typing import Any

import numpy as np
from matplotlib.axes import Axes

POINTS = 7.0
AWAY = 0.06
"""Least distance of a number's middle from the edges, as a share of the panel: about half of its length."""


def number(
    axes: Axes, lines: Any, text: Callable[[float], str], x: tuple[float, float], y: tuple[float, float]
) -> None:
    """Put a number on every line that runs far enough inside the panel.

    Parameters
    ----------
    axes : Axes
        Of the panel.
    lines : ContourSet
        Its lines.
    text : callable
        From a line's value to its number.
    x, y : (float, float)
        Limits of the panel.
    """
    # A line's number is put on the page where it stands on the final scale.
    axes.set_xlim(*x)
    axes.set_ylim(*y)
    low, wide = np.array([x[0], y[0]]), np.array([x[1] - x[0], y[1] - y[0]])
    places = []
    for pieces in lines.allsegs:
        for piece in pieces:
            if not len(piece):  # of a level that no point of the panel reaches
                continue
            # Straight between its corners, of which there are few: points between them may be well inside where no corner is.
            along = np.linspace(0.0, len(piece) - 1.0, 8 * len(piece))
            points = np.stack([np.interp(along, np.arange(len(piece)), piece[:, axis]) for axis in (0, 1)], axis=1)
            share = (points - low) / wide
            inside = np.all((share > AWAY) & (share < 1.0 - AWAY), axis=1)
            # Half a number reads as another number, so a line in a corner goes without.
            if inside.any() and np.hypot(*np.ptp(share, axis=0)) > 2.0 * AWAY:
                chosen = np.flatnonzero(inside)
                places.append(tuple(points[chosen[len(chosen) // 2]]))
    if places:
        axes.clabel(lines, fontsize=POINTS, fmt=text, manual=places)
