"""Lines of equal value: none around a single point of the grid, and numbers of which none is cut at the edge of its panel or lies on another."""

from collections.abc import Callable
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.path import Path

from sim.integrate.traces import Array
from sim.show.plots.lettering import width_in

POINTS = 7.0
AWAY = 0.06
"""Least distance of a number's middle from the edges, as a share of the panel: about half of its length."""

GAP = 0.02
"""Room kept beyond either end of a number [in]."""


def number(
    axes: Axes, lines: Any, text: Callable[[float], str], x: tuple[float, float], y: tuple[float, float]
) -> None:
    """Put a number on every line that runs far enough inside the panel and has room for one beside the others.

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
    frame = axes.get_window_extent()
    panel_in = np.array([frame.width, frame.height]) / axes.figure.dpi
    pieces = [
        (float(level), piece)
        for level, own in zip(lines.levels, lines.allsegs, strict=True)
        for piece in own
        if len(piece)
    ]
    # The longest first: where there is no room for all, a short one's number is missed least.
    pieces.sort(key=lambda each: -float(np.hypot(*np.ptp((each[1] - low) / wide, axis=0))))
    places, taken = list[tuple[float, float]](), list[tuple[Array, float]]()
    for level, piece in pieces:
        # Straight between its corners, of which there are few: points between them may be well inside where no corner is.
        along = np.linspace(0.0, len(piece) - 1.0, 8 * len(piece))
        points = np.stack([np.interp(along, np.arange(len(piece)), piece[:, axis]) for axis in (0, 1)], axis=1)
        share = (points - low) / wide
        inside = np.all((share > AWAY) & (share < 1.0 - AWAY), axis=1)
        # Half a number reads as another number, so a line in a corner goes without.
        if not inside.any() or np.hypot(*np.ptp(share, axis=0)) <= 2.0 * AWAY:
            continue
        half = 0.5 * width_in(text(level), POINTS) + GAP
        chosen = np.flatnonzero(inside)
        # From the middle outwards, to the first place that no other number reaches, whichever way either of them is turned.
        for i in sorted(chosen, key=lambda i: abs(i - chosen[len(chosen) // 2])):
            middle = share[i] * panel_in
            if all(np.hypot(*(middle - other)) >= half + reach for other, reach in taken):
                taken.append((middle, half))
                places.append((float(points[i, 0]), float(points[i, 1])))
                break
    if places:
        axes.clabel(lines, fontsize=POINTS, fmt=text, manual=places)


SPECK = 2.0
"""Points of the grid across and up within which a line goes around a single one of them."""


def is_speck(piece: Array, x: Array, y: Array) -> bool:
    """Return whether a line of equal value, points (n, 2) on a grid of x (k,) and y (m,), rising, goes around one of its points alone.

    Such a line says where the grid's points happen to be; shades show what is there. One that cuts off a corner is the edge of what goes on
    outside, and is none.
    """
    grid = [np.interp(piece[:, axis], numbers, np.arange(numbers.size)) for axis, numbers in enumerate((x, y))]
    if max(np.ptp(along) for along in grid) >= SPECK:
        return False
    # Closed, or from one side of the map back to the same side.
    if (piece[0] == piece[-1]).all():
        return True
    ends = ((along[[0, -1]], size - 1.0) for along, size in zip(grid, (x.size, y.size), strict=True))
    return any(np.allclose(both, side) for both, last in ends for side in (0.0, last))


def without_specks(lines: Any, x: Array, y: Array) -> None:
    """Take the specks out of lines (a ContourSet) over a grid of x (k,) and y (m,)."""
    x, y = np.sort(x), np.sort(y)
    kept = [[piece for piece in pieces if len(piece) and not is_speck(piece, x, y)] for pieces in lines.allsegs]
    lines.set_paths([Path.make_compound_path(*map(Path, pieces)) for pieces in kept])
