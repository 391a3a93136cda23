"""The best and the worst of a sweep, run again by themselves: in double precision, by the fine step, with their error.

A sweep's points are made fast, in blocks of single precision. What is told and put into a set-up is not: it comes from the
same run that `jounce compare` makes, and beside it stands how far that is from the sweep's own figure.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from sim.errors import JounceError
from sim.measures.measure import Measure
from sim.measures.table import Value, allowed, difference, evaluate
from sim.result import Array
from sim.sweep import Ends, Points, Swept

if TYPE_CHECKING:
    from sim.files.scenario import Scenario


def best_place(values: Array, measure: Measure, worst: bool = False) -> tuple[int, ...] | None:
    """Return where a measure is best, or worst; None if it has no value, or no better way."""
    if measure.better is None or np.all(np.isnan(values)):
        return None
    least = (measure.better == "less") != worst
    flat = np.nanargmin(values) if least else np.nanargmax(values)
    return tuple(int(i) for i in np.unravel_index(flat, values.shape))


def confirmed(scenario: "Scenario", swept: Swept, measures: Sequence[Measure]) -> Ends:
    """Run the best and the worst of every set-up and measure again.

    Returns
    -------
    dict of (set-up, measure, worst) to Value
        In double precision at half the step. Its error is the larger of two: the difference to the run at the whole step,
        and to the sweep's figure, which has the error of its own step and of its precision. A place that cannot be run by
        itself has none.
    """
    from sim.simulation import simulate

    points = Points(scenario, swept.axes, swept.measures, coarse=False)
    found: dict[tuple[str, tuple[int, ...]], dict[str, Value]] = {}
    ends: dict[tuple[str, str, bool], Value] = {}
    for setup, rows in swept.values.items():
        for measure in measures:
            for worst in (False, True):
                place = best_place(rows[measure.name], measure, worst)
                if place is None:
                    continue
                if (setup, place) not in found:
                    found[setup, place] = {}
                    try:
                        vehicle, run = points.point((setup, place))
                        found[setup, place] = evaluate(simulate(vehicle, run, setup), measures)
                    except JounceError:  # a road that only a block is short enough for; the sweep has its own figure
                        continue
                value = found[setup, place].get(measure.name)
                if value is not None:
                    error = max(value.error, difference(float(rows[measure.name][place]), value.value))
                    doubt = value.flagged or error > allowed(value.value, measure.quantity)
                    ends[setup, measure.name, worst] = Value(value.value, error, doubt)
    return ends
