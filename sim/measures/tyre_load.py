"""Measures: what keeps the tyres on the ground."""

from functools import partial
from math import nan, sqrt

from sim.measures.measure import Measure
from sim.measures.signals import AXLES, axle_of, time_mean
from sim.result import Run


def off_ground(run: Run, axle: str) -> float:
    """Return the share of time for which an axle's tyres carry nothing."""
    return time_mean(axle_of(run, axle).tyre_load_n <= 0.0, run.time_s)


def lowest(run: Run, axle: str) -> float:
    """Return the lowest load of an axle's tyres [N]."""
    return float(axle_of(run, axle).tyre_load_n.min())


def lowest_share(run: Run, axle: str) -> float:
    """Return the lowest load of an axle's tyres as a share of the load at rest."""
    rest = axle_of(run, axle).tyre_load_rest_n
    return lowest(run, axle) / rest if rest > 0.0 else nan


def highest(run: Run, axle: str) -> float:
    """Return the highest load of an axle's tyres [N]."""
    return float(axle_of(run, axle).tyre_load_n.max())


def variation(run: Run, axle: str) -> float:
    """Return the coefficient of variation of the load: standard deviation over mean."""
    load = axle_of(run, axle).tyre_load_n
    mean = time_mean(load, run.time_s)
    if not mean > 0.0:
        return nan
    return sqrt(time_mean((load - mean) ** 2, run.time_s)) / mean


def _of(axle: str) -> tuple[Measure, ...]:
    label = f"{axle.capitalize()} tyre load"
    return (
        Measure(
            f"{axle}_tyre_off_ground", f"{axle.capitalize()} tyres: time off the ground", "percent",
            "less", partial(off_ground, axle=axle),
            "Share of the run's time, to within a sample at each lift-off and touch-down.",
        ),
        Measure(
            f"{axle}_tyre_load_lowest", f"{label}: lowest", "force", "more",
            partial(lowest, axle=axle), "Of all tyres of the axle.",
        ),
        Measure(
            f"{axle}_tyre_load_lowest_share", f"{label}: lowest, share of rest", "percent", "more",
            partial(lowest_share, axle=axle),
            "Of the load where this set-up stands.",
        ),
        Measure(
            f"{axle}_tyre_load_highest", f"{label}: highest", "force", "less",
            partial(highest, axle=axle), "Of all tyres of the axle.",
        ),
        Measure(
            f"{axle}_tyre_load_variation", f"{label}: variation", "percent", "less",
            partial(variation, axle=axle),
            "Coefficient of variation over the whole run: standard deviation over mean.",
        ),
    )  # fmt: skip


def measures(run: Run) -> tuple[Measure, ...]:
    """Return the measures of this family for a run."""
    return tuple(measure for axle in AXLES for measure in _of(axle))
