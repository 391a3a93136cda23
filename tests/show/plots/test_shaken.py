"""The picture of a shaking road: points at the edge of a panel."""

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from sim.show.plots.panel import Panel
from sim.show.plots.scale import scale_of
from sim.show.plots.shaken import _points


def test_points_at_an_edge_are_whole_and_those_beyond_are_not_drawn():
    figure = Figure(figsize=(4.0, 3.0))
    FigureCanvasAgg(figure)
    x, y = (scale_of([np.array([0.0, 1.0])], "number") for _ in range(2))
    panel = Panel(0.5, 0.5, 3.0, 2.0, x, y)
    edge, inside, beyond = (x.low, y.low), (0.5, 0.5), (0.5, y.low - 0.1)
    _points(panel, *np.array([edge, inside, beyond, (0.5, y.high + 0.1)]).T, "black", "o")
    (points,) = panel.drawn(figure, 4.0, 3.0).lines
    assert list(zip(points.get_xdata(), points.get_ydata(), strict=True)) == [edge, inside]
    assert not points.get_clip_on()
