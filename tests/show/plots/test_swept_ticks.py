"""Where an input is a count, its ticks are whole."""

import numpy as np
import pytest

from sim.measure.measure import Measure
from sim.show.plots.swept import _along, _scale
from sim.study.sweep.axes import Axis


@pytest.mark.parametrize(("low", "high"), [(1, 2), (1, 4), (0, 3), (2, 4), (1, 12), (1, 30), (5, 5000)])
@pytest.mark.parametrize("about", [5, 9])
def test_there_is_no_half_a_damper(low, high, about):
    axis = Axis("front.dampers.main.count", np.arange(low, high + 1.0), "")
    (ticks,) = _along(axis, low - 0.02, high + 0.02, about).ticks()
    assert ticks.at == tuple(map(round, ticks.at))
    assert all(float(label).is_integer() for label in ticks.labels)
    assert 1 <= len(ticks.at) <= about + 1


def test_a_number_with_a_unit_or_a_fraction_is_no_count():
    for axis in (Axis("run.speed", np.array([1.0, 2.0]), "m/s"), Axis("x", np.array([0.5, 1.0]), "")):
        (ticks,) = _along(axis, 1.0, 2.0, 9).ticks()
        assert 1.5 in [round(at, 6) for at in ticks.at] or 1.2 in [round(at, 6) for at in ticks.at]


def test_no_axis_of_a_share_of_time_goes_below_nothing():
    """0 to 0.2 % fill less than the least range, which grows upwards alone; what is below zero itself keeps its room."""
    share = Measure("off", "Off the ground", "percent", "less", float, "")
    scale = _scale([np.array([0.0, 0.002]), np.array([np.nan, 0.001])], share)
    assert scale.high > 0.002
    # No tick below zero: a hair of room for the mark that lies on it.
    assert min(at for ticks in scale.ticks() for at in ticks.at) == 0.0
    assert _scale([np.array([-0.02, 0.002])], share).low < -0.02
