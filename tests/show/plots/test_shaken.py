"""The picture of a shaking road: points at the edge of a panel."""

from dataclasses import replace

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from sim.linear.response import Response, Responses
from sim.show.plots.panel import Panel
from sim.show.plots.scale import scale_of
from sim.show.plots.shaken import _points, seat


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


def test_what_reaches_the_seat_is_said_at_most_and_where_it_is_harsh():
    """Driven at 1 and 5 Hz: the soft one moves 3 and 0.2 times as far as the road, the firm one 1.5 and 0.4 times."""
    loads = dict.fromkeys(("front tyre load", "rear tyre load"), np.zeros(2))
    runs = {
        setup: Response(setup, 10.0, 0.1, np.array([1.0]), {}, np.array([1.0, 5.0]), {"driver": np.array(sizes) * 1j, **loads}, {})
        for setup, sizes in {"soft": (3.0, 0.2), "firm": (1.5, 0.4)}.items()
    }  # fmt: skip
    assert seat(Responses("x", runs)) == [
        "With “firm” the driver's seat moves at most 1.50 times as far as the road; with “soft” 3.00 times",
        "With “soft” the driver's seat moves at 4 Hz and more, which is felt as harsh, at most 0.20 times as far as the road; with “firm” 0.40 times",
    ]
    assert seat(Responses("x", {k: replace(one, driven=loads) for k, one in runs.items()})) == []
