"""Measure: damping ratio of the body's free decay, with dry friction apart, and of which peaks it is."""

from dataclasses import dataclass
from functools import partial
from math import log, nan, pi, sqrt

import numpy as np

from sim.integrate.result import Run
from sim.integrate.traces import Array
from sim.measure.free_motion import SIGNALS, Decay, Signal, decay_of, lobes
from sim.measure.measure import Measure

USABLE = 0.01
"""Peaks below this share of the largest excursion are not used.

With it a damping ratio above about 0.42 has no third peak. That is where a phone on the floor
stops being of use, too (common practice, no source).
"""

LEAST_PEAKS = 3
"""Peaks after that from which the decay starts: damping each way and friction are three unknowns."""

STUCK = 0.8
"""A half swing that is shorter than this share of the first one is another motion: the leaves stick, and the truck moves on its tyres."""

MOVES_ON = 0.1
"""Let go at a speed of less than this share of the swing's own, the motion starts from a peak."""


ALONE = 0.01
"""A decay that has no more viscous damping than this share a cycle, either way, has none."""


@dataclass(frozen=True)
class Fit:
    """What a decay's peaks say.

    Attributes
    ----------
    peaks : int
        Usable ones after that from which the decay starts.
    ratio : float
        Damping ratio of the viscous part; nan if there are too few peaks or they do not shrink.
    friction : float
        Excursion [m or rad] at which the springs just overcome the dry friction; nan with the ratio.
    largest, smallest : float
        First and last excursion that was used [m or rad].
    """

    peaks: int
    ratio: float = nan
    friction: float = nan
    largest: float = nan
    smallest: float = nan


def fit(run: Run, signal: Signal) -> Fit | None:
    """Return what the peaks of a motion say, None if it moves too little to be judged.

    With straight damping and dry friction F on a spring k each half swing leaves x' = r x - (1 + r) F/k of an excursion x, r = exp(-pi
    zeta / sqrt(1 - zeta²)): exact for one degree of freedom (J. W. Liang, B. F. Feeny, Nonlinear Dynamics 16 (1998) 337-347, from
    memory). Dampers differ in bump and rebound, so r is one number for half swings up and another for those down, and zeta is that of
    their product over a whole cycle. The place about which it swings may be off by e, as far as friction lets it: then (F/k + e) stands on one
    side and (F/k - e) on the other, and each side is a straight line of its own. With three half swings e is taken as zero.
    """
    decay = decay_of(run, signal)
    if decay is None:
        return None
    turns = usable(decay)
    x = np.abs(decay.x[turns])
    found = _sides(x)
    # What is smaller than friction's own excursion hardly slips; the first of them is still where a whole half swing ended.
    small = [] if found is None else np.flatnonzero(x < found[1]).tolist()
    if len(small) > 1:
        x = x[: small[0] + 1]
        found = _sides(x)
    peaks = max(x.size - 1, 0)
    if not found:
        return Fit(peaks)
    left, friction = found
    # Friction alone leaves all but rounding of what it does not take itself.
    left = min(left, 1.0) if friction > 0.0 and left < 1.0 + ALONE else left
    # Else they must shrink: two motions that beat have no one decrement.
    if not (0.0 < left < 1.0 or (left == 1.0 and friction > 0.0)):
        return Fit(peaks)
    delta = -log(left)
    return Fit(peaks, delta / sqrt(4.0 * pi**2 + delta**2), friction, float(x[0]), float(x[-1]))


def _sides(x: Array) -> tuple[float, float] | None:
    """Return what a cycle leaves of an excursion and friction's excursion, from peaks (n,) without sign; None if too few."""
    if x.size <= LEAST_PEAKS:
        return None
    one, other = (_line(x[side:-1:2], x[side + 1 :: 2]) for side in (0, 1))
    if x.size == LEAST_PEAKS + 1:  # the other side has one half swing alone: friction is that of the first side
        friction = max(_excursion(one), 0.0)
        other = ((x[2] + friction) / (x[1] - friction), 0.0)
    else:
        friction = 0.5 * (_excursion(one) + _excursion(other))
    if friction <= 0.0:  # rather stronger damping of large swings: no friction is seen
        friction = 0.0
        one, other = ((_through_zero(x[side:-1:2], x[side + 1 :: 2]), 0.0) for side in (0, 1))
    # two slopes below zero would look like one cycle that shrinks
    return (one[0] * other[0] if one[0] > 0.0 else nan), friction


def usable(decay: Decay) -> list[int]:
    """Return the samples between which a decay is judged: where it starts, and every usable peak after it."""
    from_largest = decay.x[decay.largest :]
    turns = [decay.largest + turn for turn in lobes(from_largest, USABLE * decay.size)]
    # where the record ends it may not have turned
    turns = [turn for turn in turns if turn < decay.x.size - 1]
    if len(turns) > 1 and turns[0] == 0 and not _starts_at_rest(decay, turns[1]):
        turns = turns[1:]
    lengths = np.diff(decay.time_s[turns])
    stuck = np.flatnonzero(lengths < STUCK * lengths[0]) if lengths.size else lengths
    return turns[: int(stuck[0]) + 1] if stuck.size else turns


def _starts_at_rest(decay: Decay, next_turn: int) -> bool:
    # The swing's own speed: its excursion times pi over the half swing.
    speed = abs(float(decay.x[1] - decay.x[0])) / float(decay.time_s[1] - decay.time_s[0])
    return speed < MOVES_ON * decay.size * pi / float(decay.time_s[next_turn] - decay.time_s[0])


def _line(before: Array, after: Array) -> tuple[float, float]:
    """Return slope and drop of the straight line after = slope x before - drop, least squares."""
    if before.size < 2:
        return nan, nan
    centre = before - before.mean()
    slope = float(np.sum(centre * after) / np.sum(centre * centre))
    return slope, float(slope * before.mean() - after.mean())


def _excursion(line: tuple[float, float]) -> float:
    slope, drop = line
    return drop / (1.0 + slope)


def _through_zero(before: Array, after: Array) -> float:
    return float(np.sum(before * after) / np.sum(before * before))


def damping_ratio(run: Run, signal: Signal) -> float:
    """Return the damping ratio of the viscous part of a free decay; nan with fewer than three usable peaks (`fit`)."""
    return _part("ratio", run, signal)


def _part(name: str, run: Run, signal: Signal) -> float:
    found = fit(run, signal)
    return nan if found is None else float(getattr(found, name))


def _of(signal: Signal) -> tuple[Measure, ...]:
    kind = "angle" if signal.name == "pitch" else "length"
    return (
        Measure(
            f"{signal.name}_damping_ratio", f"{signal.label}: damping ratio", "number", None,
            partial(damping_ratio, signal=signal),
            "Of the viscous part of the decay, dry friction apart, over the excursions of the rows below; it needs three peaks. With a "
            "knee it is that of those speeds: what a digressive damper gives below its knee counts as friction.", "lane",
        ),
        Measure(
            f"{signal.name}_decay_peaks", f"{signal.label}: peaks of the decay", "number", None,
            partial(_part, "peaks", signal=signal),
            "Peaks down to 1 % of the largest and before the leaves stick. Fewer than three: no damping ratio.", "lane",
        ),
        Measure(
            f"{signal.name}_decay_friction", f"{signal.label}: friction of the decay", kind, None,
            partial(_part, "friction", signal=signal),
            "Excursion at which the springs just overcome the dry friction: each half swing loses that much and the next one's share.", "lane",
        ),
        Measure(
            f"{signal.name}_decay_largest", f"{signal.label}: decay judged from", kind, None,
            partial(_part, "largest", signal=signal), "Largest excursion of which the damping ratio is.", "lane",
        ),
        Measure(
            f"{signal.name}_decay_smallest", f"{signal.label}: decay judged down to", kind, None,
            partial(_part, "smallest", signal=signal), "Smallest excursion of which the damping ratio is.", "lane",
        ),
    )  # fmt: skip


def measures(run: Run) -> tuple[Measure, ...]:
    """Return the measures of this family for a run."""
    return tuple(measure for signal in SIGNALS for measure in _of(signal))
