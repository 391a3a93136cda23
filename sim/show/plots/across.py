"""What runs along the bottom of a history: distance on a course, else time."""

from dataclasses import dataclass

from sim.integrate.traces import Array
from sim.measure.comparison import Comparison
from sim.show.plots.scale import LEAST_SPAN, Along, Scale


@dataclass(frozen=True)
class Across:
    """The x axis of a page of histories.

    Attributes
    ----------
    values : dict of str to (n,) array
        By set-up [m] or [s].
    scale : Scale
        Holds them all.
    label : str
        What it is.
    """

    values: dict[str, Array]
    scale: Scale
    label: str


def across(comparison: Comparison) -> Across:
    """Return distance driven if every run drives, else time."""
    # One run on the spot, at speed zero, and metres would mean nothing: then time is what all have in common.
    if comparison.runs and all(run.speed_m_per_s > 0.0 for run in comparison.runs.values()):
        values = {name: run.distance_m for name, run in comparison.runs.items()}
        return Across(values, _from_zero(values, "distance"), "Distance driven")
    return over_time(comparison)


def over_time(comparison: Comparison) -> Across:
    """Return time."""
    values = {name: run.time_s for name, run in comparison.runs.items()}
    return Across(values, _from_zero(values, "time"), "Time")


def _from_zero(values: dict[str, Array], quantity: str) -> Scale:
    # Runs may end at different times, so the longest one sets the scale.
    longest = max((float(line[-1]) for line in values.values() if line.size), default=0.0)
    return Along(0.0, max(longest, LEAST_SPAN[quantity]), quantity, about=9)


def released(comparison: Comparison) -> float | None:
    """Return the time from which all move freely [s]; None if that is not within every run."""
    ends = [run.time_s[-1] for run in comparison.runs.values() if run.time_s.size]
    times = [run.released_s for run in comparison.runs.values()]
    # A line at either end of the picture would be taken for its frame.
    if not ends or not times or not 0.0 < max(times) < min(ends):
        return None
    return max(times)
