"""All measures of one run, each with its numerical error."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import inf, isfinite, isinf, isnan, nan

import numpy as np

from sim.integrate.result import Run
from sim.measure import measures_for
from sim.measure.measure import Measure

ERROR_LIMIT = 1e-3
"""Numerical error, as a share of the value or of its floor, past which a value is flagged."""

FLOORS: dict[str, float] = {
    "length": 0.01,  # m: a hundredth of a millimetre is never flagged
    "speed": 0.1,  # m/s
    "force": 1000.0,  # N: one newton
    "acceleration": 1.0,  # m/s²
    "dose": 1.0,  # m/s^1.75
    "angle": 0.0175,  # rad, one degree
    "angular_acceleration": 1.0,  # rad/s²
    "percent": 1.0,  # a tenth of a percentage point
    "number": 0.1,  # a damping ratio to 0.0001; half a cycle more or less is always flagged
    "time": 1.0,  # s: one sample
    "energy": 10.0,  # J
    "power": 10.0,  # W
    "rate": 1.0,  # 1/s
    "torque": 1000.0,  # N m
    "distance": 1.0,  # m
    "road_speed": 1.0,  # m/s
}
"""Value by quantity [SI] below which an error is judged as if the value were that large.

A count has none: it is right or it is wrong.
"""


@dataclass(frozen=True)
class Value:
    """What a measure came to.

    Attributes
    ----------
    value : float
        In SI. nan: does not apply. inf: not reached within the run.
    error : float
        Difference to the same run at twice the step; nan without one, inf if only one of both
        could be measured.
    flagged : bool
        The error is too large, or the run blew up: do not trust the value.
    """

    value: float
    error: float
    flagged: bool


def evaluate(run: Run, measures: Iterable[Measure] | None = None) -> dict[str, Value]:
    """Measure a run.

    Parameters
    ----------
    run : Run
        With its coarser twin, else no error is known.
    measures : iterable of Measure, optional
        Which; by default all that this run has.

    Returns
    -------
    dict of str to Value
        By measure name.
    """
    chosen = measures_for(run) if measures is None else tuple(measures)
    # a run that blew up may hold numbers whose square is too large; they come out flagged
    with np.errstate(all="ignore"):
        return {measure.name: evaluated(measure, run) for measure in chosen}


def evaluated(measure: Measure, run: Run) -> Value:
    """Return one measure of a run with its numerical error."""
    blew_up = any(flag.kind == "not_finite" for one in (run, run.coarse) if one for flag in one.flags)
    value = _measured(measure, run)
    error = nan if run.coarse is None else difference(value, _measured(measure, run.coarse))
    if blew_up:
        return Value(nan if isinf(value) else value, error, True)
    return Value(value, error, error > allowed(value, measure.quantity))


def allowed(value: float, quantity: str) -> float:
    """Return the numerical error up to which a value is not flagged [SI]."""
    if quantity == "count" or not isfinite(value):
        return 0.0
    return ERROR_LIMIT * max(abs(value), FLOORS[quantity])


def difference(value: float, finer: float) -> float:
    """Return how far two values are apart: 0 if they say the same of a nan or inf, else inf."""
    if (isnan(value) and isnan(finer)) or value == finer:
        return 0.0
    return inf if isnan(value) or isnan(finer) else abs(value - finer)


def _measured(measure: Measure, run: Run) -> float:
    try:
        return float(measure.of(run))
    except (OverflowError, ZeroDivisionError):  # Python's own floats raise where numpy says inf
        return nan
