"""Measure: damping ratio of the body's free decay, from successive peaks."""

from functools import partial
from math import log, nan, pi, sqrt

from sim.integrate.result import Run
from sim.measure.free_motion import SIGNALS, Signal, decay_of, lobes
from sim.measure.measure import Measure

USABLE = 0.01
"""Peaks below this share of the largest excursion are not used.

With it a damping ratio above about 0.45 has no second peak. That is where a phone on the floor
stops being of use, too (common practice, no source).
"""


def damping_ratio(run: Run, signal: Signal) -> float:
    """Return the damping ratio by the logarithmic decrement of successive same-sign peaks.

    delta = mean of ln(x_i / x_(i+1)) over all pairs a full cycle apart, of both sides;
    zeta = delta / sqrt(4 pi² + delta²) (any vibration text, e.g. S. S. Rao, Mechanical Vibrations,
    "logarithmic decrement"; from memory). nan with fewer than two usable peaks of one sign, or if
    the peaks grow: then two motions beat and there is no one decrement.
    """
    decay = decay_of(run, signal)
    if decay is None:
        return nan
    # where it was let go and where the record ends it may not have turned
    inside = range(1, decay.x.size - 1)
    swings = [turn for turn in lobes(decay.x, USABLE * decay.size) if turn in inside]
    peaks = [float(decay.x[turn]) for turn in swings]
    # Two apart, as sides alternate: a final value a little off would spoil ratios across the middle.
    falls = [log(one / two) for one, two in zip(peaks, peaks[2:], strict=False)]
    delta = sum(falls) / len(falls) if falls else nan
    return delta / sqrt(4.0 * pi**2 + delta**2) if delta > 0.0 else nan  # nan is not more than zero either


def measures(run: Run) -> tuple[Measure, ...]:
    """Return the measures of this family for a run."""
    return tuple(
        Measure(
            f"{signal.name}_damping_ratio",
            f"{signal.label}: damping ratio",
            "number",
            None,
            partial(damping_ratio, signal=signal),
            "By logarithmic decrement of same-sign peaks down to 1 % of the largest. Dry friction "
            "makes it look better than the dampers are; above about 0.45 there is no second peak.",
            "lane",
        )
        for signal in SIGNALS
    )
