"""What a sweep's doubt is asked of: the best that its table has."""

import numpy as np

from sim.integrate.status import Flag
from sim.measure import measures_for
from sim.study.sweep.axes import Axis
from sim.study.sweep.doubted import _bests
from sim.study.sweep.ends import end_of
from sim.study.sweep.sweep import Swept
from tests.synthetic import synthetic_run


def test_the_doubt_is_of_the_best_point_that_is_not_flagged():
    """Left to the stop more is better: the last point would be best, and is flagged."""
    axis = Axis("front.springs.coil.rate", np.linspace(30e3, 50e3, 3), "N/mm", "rate")
    measure = next(one for one in measures_for(synthetic_run()) if one.name == "front_left_to_stop")
    flag = Flag("damper_end", None, "front damper 'main'", "Pulled out.", 0.01, "extended")
    values = {"a": {measure.name: np.array([0.01, 0.02, 0.05])}, "b": {measure.name: np.array([0.03, 0.01, 0.0])}}
    swept = Swept("s", (axis,), (measure.name,), values, (), {"a": {(2,): (flag,)}})
    assert _bests(swept, measure) == [("b", (0,)), ("a", (1,))]
    assert end_of(swept, measure, False, "a").value == 0.02
