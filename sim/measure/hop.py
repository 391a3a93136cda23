"""Measures: whether an axle hops under power or brakes: swings of its wind-up that follow one another, how far, how often and how long.

Steady wind-up, however far, is no hop: the housing turns once and stays. Hop is that it swings to and fro by a degree and more, three times
and more with no rest between (rules of ours; half a degree to either side is the least that a person notices).
"""

from dataclasses import dataclass
from functools import partial
from math import nan

import numpy as np

from sim.integrate.result import Run
from sim.integrate.traces import Array
from sim.measure.driving import TREND_S, Swings, swings_of, trend
from sim.measure.measure import Carries, Measure, Shown, placed
from sim.measure.noticed import NOTICED
from sim.measure.signals import AXLES, axle_of

LEAST = NOTICED["angle"].floor
"""Swings to either side [rad] from which on they count as hop."""

TIMES = 3.0
"""So many swings to and fro, one after the other, are hop."""

LEAST_HZ = 1.0 / TREND_S
"""Slower motion [Hz] is wind-up that follows the engine, and is taken out with the trend."""


@dataclass(frozen=True)
class Hop:
    """The longest stretch of swings.

    Attributes
    ----------
    swing_rad : float
        The farthest from one turn to the next [rad].
    frequency_hz : float
        How often a second it swings to and fro: the strongest of its motion [Hz].
    time_s : float
        From the first to the last swing of LEAST [s].
    """

    swing_rad: float
    frequency_hz: float
    time_s: float


def hop_of(time_s: Array, wind_up_rad: Array) -> Hop | None:
    """Return how an axle hops by its wind-up (n,); None where it does not."""
    swings = swings_of(time_s, wind_up_rad)
    first, last = _longest(swings)
    if last <= first:
        return None
    start, end = swings.time_s[first], swings.time_s[last]
    inside = (time_s >= start) & (time_s <= end)
    frequency = _strongest(time_s[inside], (wind_up_rad - trend(time_s, wind_up_rad))[inside])
    # What turns there and back a second time within a swing is ripple on it: counted by the strongest motion, not by turns.
    if not frequency * (end - start) >= TIMES:
        return None
    turns = np.interp(swings.time_s[first : last + 1], time_s, wind_up_rad)
    return Hop(float(np.abs(np.diff(turns)).max()), frequency, float(end - start))


def _longest(swings: Swings) -> tuple[int, int]:
    """Return the first and the last turn of the longest stretch without a rest; the same number twice where there is none."""
    large = np.flatnonzero(swings.size_rad >= LEAST)
    if large.size < 2:
        return 0, 0
    # A rest: no large turn for as long as the trend is taken over, in which two swings of the slowest hop would fit.
    cuts = np.flatnonzero(np.diff(swings.time_s[large]) > TREND_S) + 1
    stretches = np.split(large, cuts)
    longest = max(stretches, key=lambda stretch: float(swings.time_s[stretch[-1]] - swings.time_s[stretch[0]]))
    return int(longest[0]), int(longest[-1])


def _strongest(time_s: Array, swing: Array) -> float:
    """Return the frequency [Hz] of the strongest motion of a swing (n,), by its spectrum; nan where it is too short for one."""
    if time_s.size < 10:
        return nan
    step = float(time_s[1] - time_s[0])
    # Eight times as long, filled with nothing: the peak is then read to an eighth of what the stretch itself resolves.
    size = 8 * swing.size
    power = np.abs(np.fft.rfft((swing - swing.mean()) * np.hanning(swing.size), size))
    frequencies = np.fft.rfftfreq(size, step)
    power[frequencies < LEAST_HZ] = 0.0
    return float(frequencies[int(np.argmax(power))])


def _hop(run: Run, axle: str) -> Hop | None:
    return hop_of(run.time_s, axle_of(run, axle).wind_up_rad)


def hop_time(run: Run, axle: str) -> float:
    """Return how long an axle hops [s]; 0 if it does not."""
    hop = _hop(run, axle)
    return hop.time_s if hop else 0.0


def hop_swing(run: Run, axle: str) -> float:
    """Return how far the pinion swings from one turn to the next while it hops [rad]; 0 if it does not."""
    hop = _hop(run, axle)
    return hop.swing_rad if hop else 0.0


def hop_frequency(run: Run, axle: str) -> float:
    """Return how often a second it swings to and fro [Hz]; nan if it does not hop."""
    hop = _hop(run, axle)
    return hop.frequency_hz if hop else nan


WAY = "driven"
"""How a run must be run to have these measures."""

WANTED = "hop needs a case whose run is a launch or a brake"
"""What is said where one of them is asked of another run."""

NAMED = ("_hop_time", "_hop_swing", "_hop_frequency")
"""How their names end."""

SHOWN = {
    "rear_hop_time": Shown(key_driven=15, table_driven=32),
    "rear_hop_swing": Shown(table_driven=34),
    "rear_hop_frequency": Shown(table_driven=36),
}


def _carried(axle: str, place: int) -> dict[str, Carries]:
    hops = f"hops its {axle} axle for {{to}}, not {{of}}"
    swings = f"swings its {axle} pinion to and fro {{share}}"
    return {
        f"{axle}_hop_swing": Carries(
            "wind-up",
            20 + place,
            ("launch", "stop"),
            f"{swings} less",
            f"{swings} more",
            called=f"{axle} hop, how far",
            none=f"does not hop its {axle} axle",
        ),
        f"{axle}_hop_time": Carries(
            "wind-up", 30 + place, ("launch", "stop"), hops, hops, called=f"{axle} hop, how long"
        ),
    }


CARRIED = {**_carried("front", 0), **_carried("rear", 1)}


def measures(run: Run) -> tuple[Measure, ...]:
    """Return the measures of this family for a run; none where it is held at a speed."""
    if run.drive is None:
        return ()
    whole = []
    for axle in AXLES:
        label = axle.capitalize()
        whole += [
            Measure(f"{axle}_hop_time", f"{label} hop: how long", "time", "less", partial(hop_time, axle=axle),
                    "From the first to the last swing of half a degree to either side, without a rest; 0: it does not hop."),
            Measure(f"{axle}_hop_swing", f"{label} hop: swing to and fro", "angle", "less",
                    partial(hop_swing, axle=axle), "From one turn to the next, the farthest; 0: it does not hop."),
            Measure(f"{axle}_hop_frequency", f"{label} hop: swings a second", "rate", None,
                    partial(hop_frequency, axle=axle), "Of the strongest motion, by its spectrum."),
        ]  # fmt: skip
    return placed(whole, SHOWN, CARRIED)
