"""Measures: how the body comes to rest after release: overshoot, swings, and the time until it stays within a band about rest.

The band is 5 % of the largest swing: of set-ups that are compared that of the one they are judged against, so that all are asked for
the same rest; of a run by itself its own (`sim.measure.rest_band`).
"""

from functools import partial
from math import inf, isnan, log, nan

import numpy as np

from sim.integrate.result import Run
from sim.measure.free_motion import BAND, SIGNALS, Decay, Signal, decay_of, lobes
from sim.measure.measure import Carries, Measure, Shown, placed

SMALL = 0.2
"""Peaks below this share of the band are not looked at: ripple of the axles has such."""

BAND_WORDS = (
    "The band is 5 % of the largest swing after release: of set-ups that are compared that of the reference, the same for all; "
    "of a run by itself its own."
)
"""What the band is, for people."""


def overshoot(run: Run, signal: Signal) -> float:
    """Return the largest excursion to the other side as a share of the disturbance.

    The disturbance is the largest excursion after release, about the final rest value.
    """
    decay = decay_of(run, signal)
    if decay is None:
        return nan
    # the way to the largest excursion is no overshoot
    return max(-float(decay.x[decay.largest :].min()), 0.0) / decay.size


def settling_time(run: Run, signal: Signal) -> float:
    """Return the time from release until the swings have died away to the band about rest [s].

    The time at which their size, from peak to peak, comes down to it, or the last moment at which the motion itself is outside it,
    whichever is later. The second alone jumps by half a swing where a peak just clears the band; the two together do not. inf if it
    has not settled at the end; 0 if it never was outside.

    Between peaks the size is taken to shrink at one rate, as swings with straight damping do: for these the first is ln(20) / (damping
    ratio times natural frequency), "three time constants" (any vibration text, e.g. Thomson or Rao, "logarithmic decrement").
    """
    decay = decay_of(run, signal)
    if decay is None:
        return _too_little(run, signal)
    edge = edge_of(run, signal, decay)
    if decay.size <= edge:
        return 0.0
    last = decay.last_outside(edge)
    if last is None:
        return inf
    one, two = float(decay.away[last]), float(decay.away[last + 1])
    # The last sample is outside and the next one inside, so this never divides by zero.
    share = (one - edge) / (one - two)
    left = float(decay.time_s[last] + share * (decay.time_s[last + 1] - decay.time_s[last]))
    return max(left, _shrunk(decay, edge))


def edge_of(run: Run, signal: Signal, decay: Decay) -> float:
    """Return how far from rest a motion counts as at rest [m] or [rad]."""
    given = run.rests_within or {}
    # Where the one that all are judged against hardly moved, there is nothing of it to go by.
    return given.get(signal.name, BAND * decay.size)


def _too_little(run: Run, signal: Signal) -> float:
    """Return the settling time, or number of bobs, of a motion too small to be judged by itself: none if others are its measure."""
    # What blew up holds numbers that are none.
    known = signal.name in (run.rests_within or {}) and np.isfinite(signal.of(run, 0)).all()
    return 0.0 if known else nan


def _shrunk(decay: Decay, edge: float) -> float:
    """Return when the size of the swings comes down to `edge`, straight in its logarithm between peaks; 0 if no peak follows."""
    peaks = [decay.largest + peak for peak in lobes(decay.x[decay.largest :], SMALL * edge)]
    sizes = decay.away[peaks]
    before = int(np.flatnonzero(sizes > edge)[-1])
    # What follows at the record's end may not have turned.
    if before + 1 == len(peaks) or peaks[before + 1] == decay.x.size - 1:
        return 0.0
    (start, one), (end, other) = (_turn(decay, peak) for peak in peaks[before : before + 2])
    # The peak of a parabola may clear the edge where its highest sample does not, by next to nothing.
    if one <= other:
        return start
    share = min(max(log(one / edge) / log(one / other), 0.0), 1.0)
    return start + share * (end - start)


def _turn(decay: Decay, peak: int) -> tuple[float, float]:
    """Return when a swing turns [s] and how large it is there, by the parabola through a peak's sample and its neighbours.

    A flat peak's highest sample moves by a whole step with the last digit of a motion; the parabola's does not.
    """
    size, time = decay.away, decay.time_s
    if not 0 < peak < size.size - 1:
        return float(time[peak]), float(size[peak])
    before, here, after = (float(one) for one in size[peak - 1 : peak + 2])
    bend = before - 2.0 * here + after
    off = 0.5 * (before - after) / bend if bend < 0.0 else 0.0
    off = min(max(off, -1.0), 1.0)
    step = float(time[peak + 1] - time[peak])
    return float(time[peak]) + off * step, here - 0.25 * (before - after) * off


def cycles(run: Run, signal: Signal) -> float:
    """Return how many swings, there and back, go outside the band about rest after the largest excursion.

    Counted in halves: a swing to the other side that leaves the band is half a cycle. inf if it
    has not settled at the end.
    """
    decay = decay_of(run, signal)
    if decay is None:
        return _too_little(run, signal)
    edge = edge_of(run, signal, decay)
    if decay.size <= edge:
        return 0.0
    if decay.last_outside(edge) is None:
        return inf
    # the first one is the disturbance itself
    return 0.5 * (len(lobes(decay.x[decay.largest :], edge)) - 1)


SHOWN = {
    "bounce_settling_time": Shown(key=80, table=90),
    "pitch_settling_time": Shown(key=90, table=100),
    "front_body_cycles": Shown(table=110),
    "rear_body_cycles": Shown(table=120),
}


def _of(signal: Signal) -> tuple[Measure, ...]:
    return (
        Measure(
            f"{signal.name}_overshoot", f"{signal.label}: overshoot", "percent", "less",
            partial(overshoot, signal=signal),
            "Largest excursion to the other side, as a share of the largest after release.", "lane",
        ),
        Measure(
            f"{signal.name}_cycles", f"{signal.label}: bobs", "number", "less",
            partial(cycles, signal=signal),
            f"Swings outside the band about rest, in halves. {BAND_WORDS} inf: not within the run.", "lane",
        ),
        Measure(
            f"{signal.name}_settling_time", f"{signal.label}: settling time", "time", "less",
            partial(settling_time, signal=signal),
            f"From release until its swings have died away to the band about rest, by their size from peak to peak. {BAND_WORDS} "
            "inf: not within the run.", "lane",
        ),
    )  # fmt: skip


def body_settling_time(run: Run) -> float:
    """Return the time from release until bounce and pitch have died away to the band about rest [s].

    The longer of both; of a motion too small to be judged nothing is asked. inf if it has not settled at the end.
    """
    times = [settling_time(run, signal) for signal in SIGNALS if signal.name in ("bounce", "pitch")]
    return max((time for time in times if not isnan(time)), default=nan)


BODY = Measure(
    "body_settling_time", "Body: settling time", "time", "less", body_settling_time,
    f"The longer of bounce and pitch, from release until the swings of each have died away to the band about rest. {BAND_WORDS} "
    "inf: not within the run.", "lane",
    carries=Carries(
        "settling", 10, ("course", "spot"), "settles in {pace}", "takes {pace} to settle", never="settle settles",
        called="settling time", alone="settles in {of}", alone_on=("course",),
    ),
)  # fmt: skip

# On the spot people count the bobs of the end that they watch: those come first.
CARRIED = {
    f"{axle}_body_cycles": Carries(
        "settling", place, ("spot",), f"bobs {{to}} times over the {axle} axle, not {{of}}",
        f"bobs {{to}} times over the {axle} axle, not {{of}}", never="stop_bobbing stops_bobbing", noticed="bobs",
        called=f"{axle} bobs", leads=True, alone=f"bobs {{of}} times over the {axle} axle",
    )
    for place, axle in ((5, "front"), (6, "rear"))
}  # fmt: skip


def measures(run: Run) -> tuple[Measure, ...]:
    """Return the measures of this family for a run."""
    return placed((*(measure for signal in SIGNALS for measure in _of(signal)), BODY), SHOWN, CARRIED)
