"""Measures: vertical acceleration at the named points of the body."""

from functools import partial
from math import nan

import numpy as np

from sim.integrate.result import Run
from sim.measure.measure import CENTRE, Measure, Shown, placed
from sim.measure.signals import mean_square, most, root


def peak(run: Run, point: str) -> float:
    """Return the largest acceleration either way at a point [m/s²], nan if there is no such point.

    The largest sample: a peak between samples is not guessed. At 1 kHz a 12 Hz swing is missed by
    0.07 % at most, and at a stop or at touch-down, where acceleration has a corner, a parabola
    through the samples would promise what it cannot keep.
    """
    if point not in run.acceleration_m_per_s2:
        return nan
    return most(np.abs(run.acceleration_m_per_s2[point]))


def rms(run: Run, point: str) -> float:
    """Return the root mean square of the acceleration at a point over the whole run [m/s²]."""
    if point not in run.acceleration_m_per_s2:
        return nan
    return root(mean_square(run.acceleration_m_per_s2[point], run.time_s))


def _of(point: str) -> tuple[Measure, ...]:
    return (
        Measure(
            f"acceleration_peak_{point}", f"Acceleration at {point}: peak", "acceleration", "less",
            partial(peak, point=point),
            "Largest upward or downward; gravity does not count.", "lanes",
        ),
        Measure(
            f"acceleration_rms_{point}", f"Acceleration at {point}: RMS", "acceleration", "less",
            partial(rms, point=point),
            "Over the whole run, unweighted. Compare it only between runs of the same length.", "lanes",
        ),
    )  # fmt: skip


def measures(run: Run) -> tuple[Measure, ...]:
    """Return the measures of this family for a run: two a point."""
    points = list(run.acceleration_m_per_s2)
    # Looked at first: the first point that the vehicle's file names, and the centre of gravity only if it names none.
    first = next((point for point in points if point != CENTRE), CENTRE)
    shown = {
        f"acceleration_peak_{point}": Shown(
            key=70 if point == first else None, table=60 if point != CENTRE else None
        )
        for point in points
    }  # fmt: skip
    return placed((measure for point in points for measure in _of(point)), shown)
