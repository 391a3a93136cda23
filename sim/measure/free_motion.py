"""The free motion after release, of the body as a whole and of its ends.

People push one end and watch that end, so the height of the body over each axle is a signal of its
own beside bounce and pitch.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, partial
from typing import Any
from weakref import ref

import numpy as np

from sim.integrate.result import Run
from sim.integrate.traces import Array
from sim.kernel.swings import excursions, stays_outside, turns_of
from sim.measure.signals import AXLES, axle_of

BAND = 0.05
"""Share of the largest excursion within which the body counts as settled."""

LEAST_SHARE_STILL = 2e-4
"""A tail that moves by less than this share of the whole motion has come to rest."""

SWINGS_ON = 1.5
"""A motion that has not turned for this many of its half swings swings no longer."""


@dataclass(frozen=True)
class Signal:
    """One motion of the body whose free decay is judged.

    Attributes
    ----------
    name, label : str
        Start of the measures' names, and what people read.
    of : callable
        The motion of a run from a sample on (n - first,), [m] or [rad], zero where the set-up stood.
    least : float
        Motion too small to be judged [m] or [rad].
    """

    name: str
    label: str
    of: Callable[[Run, int], Array]
    least: float


def bounce(run: Run, first: int = 0) -> Array:
    """Return the rise of the centre of gravity [m]."""
    return run.bounce_m[first:]


def pitch(run: Run, first: int = 0) -> Array:
    """Return the nose-up pitch [rad]."""
    return run.pitch_nose_up_rad[first:]


def body_over_axle(run: Run, first: int = 0, *, axle: str) -> Array:
    """Return the rise of the body over an axle [m]: that of the hub less its jounce."""
    return axle_of(run, axle).body_rise_m(first)


LEAST_LENGTH_M, LEAST_ANGLE_RAD = 0.5e-3, 3.5e-4  # half a millimetre; the same over 1.5 m

SIGNALS: tuple[Signal, ...] = (
    Signal("bounce", "Bounce", bounce, LEAST_LENGTH_M),
    Signal("pitch", "Pitch", pitch, LEAST_ANGLE_RAD),
    *(
        Signal(
            f"{axle}_body",
            f"Body over {axle} axle",
            partial(body_over_axle, axle=axle),
            LEAST_LENGTH_M,
        )
        for axle in AXLES
    ),
)


@dataclass(frozen=True)
class Decay:
    """A free motion about its final value.

    Attributes
    ----------
    time_s : (n,) array
        Time since release [s].
    x : (n,) array
        Excursion from the final value; the largest is positive.
    largest : int
        Sample of the largest excursion.
    away : (n,) array
        How far it is from the final value, either way.
    """

    time_s: Array
    x: Array
    largest: int
    away: Array

    @property
    def size(self) -> float:
        """Largest excursion."""
        return float(self.x[self.largest])

    def last_outside(self, edge: float) -> int | None:
        """Return the last sample at which it is farther than `edge` from the final value, None if it has not settled.

        It has once it stays inside for as long as its last half swing took: a swing that the end of
        the record catches on its way through the middle is no rest. `edge` is less than the largest excursion.
        """
        if edge not in self._outside:
            self._outside[edge] = self._last_outside(edge)
        return self._outside[edge]

    @cached_property
    def _outside(self) -> dict[float, int | None]:
        return {}

    def _last_outside(self, edge: float) -> int | None:
        turns, last = _stays(self.x, edge)
        # Without a second lobe it has crept back, and no half swing has to be waited for.
        half_swing = float(self.time_s[turns[-1]] - self.time_s[turns[-2]]) if len(turns) > 1 else 0.0
        inside = float(self.time_s[-1] - self.time_s[last])
        return None if last == self.x.size - 1 or inside < half_swing else last


Decays = dict[Signal, Decay | None]

_nobody: Any = lambda: None  # noqa: E731  # as the reference to a run that is gone
_lately: tuple[Any, Decays] = (_nobody, {})
"""The run that was last asked, and its decays by signal: half a dozen measures ask for the same one after the other."""


def decay_of(run: Run, signal: Signal) -> Decay | None:
    """Return a motion after release, None if there is too little of it to be judged."""
    global _lately
    asked, known = _lately
    if asked() is not run:
        # One assignment: who measures beside it in another thread sees the one pair or the other.
        known = {}
        _lately = ref(run), known
    if signal not in known:
        known[signal] = _decay_of(run, signal)
    return known[signal]


def _decay_of(run: Run, signal: Signal) -> Decay | None:
    # a release on a sample is that sample, rounding or not
    first = int(np.searchsorted(run.time_s, run.released_s - 1e-9))
    # Of a block's lane what came before the release is not worked out: on a track that is most of it.
    moved = np.require(signal.of(run, first), np.float64, ["C", "W"])
    if moved.size < 3:
        return None
    x, away = np.empty(moved.size), np.empty(moved.size)
    # Turned round so that the largest is positive, whichever way the body was pushed.
    largest = excursions(moved, final_value(moved), x, away)
    # Written as "not more", so that nan of a run that blew up is too little as well.
    if not away[largest] >= signal.least:
        return None
    return Decay(run.time_s[first:] - run.released_s, x, largest, away)


def final_value(x: Array) -> float:
    """Return where a motion (n,) comes to rest, even if it is cut off before that.

    If its last tenth is still, the mean of that. Else, if it still swings, from the last three
    turning points by Aitken's formula (p₁ p₃ - p₂²) / (p₁ + p₃ - 2 p₂), exact for a swing that
    shrinks by the same factor each time (any numerical analysis text, e.g. A. C. Aitken,
    Proc. Royal Society of Edinburgh 46 (1926) 289). Else it creeps, and the last sample is nearest.
    """
    whole = float(np.ptp(x))
    tail = x[-max(x.size // 10, 1) :]
    if np.ptp(tail) <= LEAST_SHARE_STILL * whole:
        return float(tail.mean())
    # A fifth of what the tail still does: smaller turns are ripple on the swing.
    turns = turning_points(x, 0.2 * float(np.ptp(tail)))
    swings_on = len(turns) > 2 and x.size - turns[-1] < SWINGS_ON * (turns[-1] - turns[-2])
    if not swings_on:
        return float(x[-1])
    one, two, three = (float(x[turn]) for turn in turns[-3:])
    # from the middle one, so that nothing large cancels
    return two + (one - two) * (three - two) / ((one - two) + (three - two))


def lobes(x: Array, least: float) -> list[int]:
    """Return the farthest sample of each stay outside ±`least`; the sides of the stays alternate.

    A stay lasts until the motion (n,) is outside on the other side, so a faster ripple on a swing
    does not cut it in two.
    """
    return _stays(x, least)[0]


def _stays(x: Array, least: float) -> tuple[list[int], int]:
    """Return the farthest sample of each stay outside ±`least`, and the last sample outside, -1 if there is none."""
    out = np.empty(x.size + 1, np.int64)
    count = stays_outside(np.require(x, np.float64, ["C", "W"]), float(least), out)
    return out[:count].tolist(), int(out[count])


def turning_points(x: Array, least_swing: float) -> list[int]:
    """Return the samples at which a motion (n,) turns.

    A turn counts if the motion has gone into it and come back from it by `least_swing`, so that
    ripple on a slow swing is no turn, nor are the motion's ends.
    """
    out = np.empty(x.size, np.int64)
    count = turns_of(np.require(x, np.float64, ["C", "W"]), float(least_swing), out)
    turns: list[int] = out[:count].tolist()
    return turns[1:] if turns and np.ptp(x[: turns[0] + 1]) < least_swing else turns
