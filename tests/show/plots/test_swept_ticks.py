"""Where an input is a count, its ticks are whole."""

import numpy as np
import pytest

from sim.show.plots.swept import _along
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
