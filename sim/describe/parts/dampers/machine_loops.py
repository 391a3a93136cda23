"""Whole loops of a test machine: their speed, and the two branches that each speed has."""

from dataclasses import dataclass
from math import nan

import numpy as np
import numpy.typing as npt

from sim.describe.parts.dampers.machine_csv import Machine

Array = npt.NDArray[np.float64]

LOOP_ROWS = 60
"""Fewest rows that are taken as loops when speeds alone are given; fewer are points."""

BINS = 24
"""Speeds at which loops are read, each way, closer together at low speed."""

SLOWEST = 0.02
"""Share of the greatest speed below which a loop's branches cannot be told from its turning round."""


@dataclass(frozen=True)
class Loops:
    """A record of loops, in the order of time.

    Attributes
    ----------
    speed, force : (n,) array
        As the file has them [m/s, N].
    rising : (n,) array of bool
        Where the machine is getting faster, whichever way it moves.
    position : (n,) array or None
        [m].
    words : str
        How speed was found.
    """

    speed: Array
    force: Array
    rising: npt.NDArray[np.bool_]
    position: Array | None
    words: str

    @property
    def turns(self) -> npt.NDArray[np.int64]:
        """Rows after which the speed changes its sign."""
        inwards = self.speed >= 0.0
        return np.flatnonzero(inwards[1:] != inwards[:-1])

    @property
    def force_at_turns(self) -> float:
        """Mean force [N] where the slowest loops turn round, of both ends of the stroke alike.

        Oil and hoses give, so force lags behind speed; the slowest loop lags least.
        """
        at = self.turns
        # The lag has opposite signs at the two ends of the stroke, so one end alone would show lag for gas.
        if at.size < 2:
            return nan
        halves = np.split(np.abs(self.speed), at + 1)
        peaks = np.array([float(half.max()) for half in halves])
        # A turn is a slow one only if both strokes beside it are slow.
        beside = np.maximum(peaks[:-1], peaks[1:])
        loops = beside >= SLOWEST * beside.max()  # less is the noise of standing still
        at = at[loops & (beside <= 1.2 * beside[loops].min())]
        if at.size < 2 or np.all(self.speed[at] >= 0.0) or np.all(self.speed[at] < 0.0):
            return nan
        share = self.speed[at] / (self.speed[at] - self.speed[at + 1])  # seldom a row at speed 0
        force = self.force[at] + share * (self.force[at + 1] - self.force[at])
        inwards = self.speed[at] >= 0.0
        # Both ends weigh alike, however many turns each has, so that their lags cancel.
        return float(0.5 * (force[inwards].mean() + force[~inwards].mean()))

    @property
    def energy(self) -> float:
        """Energy [J] that the largest loop encloses, nan without positions; gas at rest, being constant, encloses none."""
        if self.position is None:
            return nan
        at = self.turns
        pieces = np.diff(self.position) * (self.force[1:] + self.force[:-1]) / 2.0  # by trapezoids
        # A loop is a stroke each way: from a turn to the next but one.
        loops = [abs(float(np.sum(pieces[a:c]))) for a, c in zip(at[:-2], at[2:], strict=True)]
        return max(loops, default=nan)


def speeds_of(machine: Machine) -> Loops | None:
    """Return the loops of a file, None if it holds single points.

    Raises
    ------
    ValueError
        If it has positions but neither speed nor time.
    """
    values = machine.values
    force, position, time = values["force"], values.get("position"), values.get("time")
    if "speed" in values:
        speed, how = values["speed"], "loops, speed as written"
        # Points are few, or in order of speed; loops swing to and fro.
        turning = np.count_nonzero(np.diff(np.sign(np.diff(speed))))
        if position is None and (len(speed) < LOOP_ROWS or turning < 2):
            return None
    elif position is not None and time is not None:
        speed, how = _derived(position, time, machine.shown), "loops, speed from position and time"
    else:
        raise ValueError(f"{machine.shown}: positions alone tell no speed: add a column of time, or of speed")
    magnitude = np.abs(speed)
    # A 60th of a cycle, odd so that it has a middle: noise must not put a row on the other branch.
    width = max(3, _cycle(speed) // 60) | 1
    rising = np.gradient(_mean(magnitude, width)) > 0.0
    return Loops(speed, force, rising, position, how)


def _derived(position: Array, time: Array, shown: str) -> Array:
    """Return the speed by a sliding cubic (A. Savitzky, M. J. E. Golay, Anal. Chem. 36, 1964, as SciPy has it)."""
    from scipy.signal import savgol_filter  # half a second that most files do not need

    steps = np.diff(time)
    if np.any(steps <= 0.0):
        row = int(np.argmax(steps <= 0.0)) + 2
        raise ValueError(f"{shown}: time does not rise at row {row} of the data: keep one record a file, in order")
    # The filter needs even steps, and machines' clocks do not keep them.
    even = np.linspace(time[0], time[-1], len(time))
    level = np.interp(even, time, position)
    # A 40th of a cycle: enough rows against noise, too short to flatten the greatest speed.
    width = min(max(5, _cycle(level - level.mean()) // 40) | 1, (len(level) - 1) | 1)
    if width < 5 or len(level) < 2 * width:
        raise ValueError(f"{shown}: {len(level)} rows are too few to tell speed from position")
    speed = savgol_filter(level, width, 3, deriv=1, delta=float(even[1] - even[0]))
    return np.interp(time, even, speed)


def _cycle(signal: Array) -> int:
    """Return about how many rows a cycle has: twice the distance between changes of sign."""
    changes = np.flatnonzero(np.diff(np.sign(signal)) != 0)
    # The median, because noise about zero adds changes that are close together.
    return 2 * int(np.median(np.diff(changes))) if changes.size > 2 else len(signal)


def _mean(signal: Array, width: int) -> Array:
    padded = np.pad(signal, width // 2, mode="edge")
    return np.convolve(padded, np.full(width, 1.0 / width), mode="valid")


def branches(speed: Array, force: Array, loops: Loops) -> tuple[Array, Array, Array]:
    """Return speeds (n,) [m/s] of one direction, and the forces [N] there while getting faster and while getting slower.

    Parameters
    ----------
    speed, force : array
        Signed so that the direction wanted is positive.
    """
    top = float(np.max(speed, initial=0.0))
    if top <= 0.0:
        return np.empty(0), np.empty(0), np.empty(0)
    # Closer together at low speed, where valves open and curves bend most.
    edges = top * np.linspace(SLOWEST**0.6, 1.0, BINS + 1) ** (1 / 0.6)
    means = []
    for branch in (loops.rising, ~loops.rising):
        inside = branch & (speed >= edges[0])
        bins = np.clip(np.searchsorted(edges, speed[inside], side="right") - 1, 0, BINS - 1)
        counts = np.bincount(bins, minlength=BINS)
        full = counts > 0
        mean = [np.bincount(bins, weights=w[inside], minlength=BINS)[full] / counts[full] for w in (speed, force)]
        means.append(mean)
    (fast_v, fast_f), (slow_v, slow_f) = means
    if not fast_v.size or not slow_v.size:
        return np.empty(0), np.empty(0), np.empty(0)
    # Only where both branches are known: beyond, the mean would be that of one.
    low, high = max(fast_v[0], slow_v[0]), min(fast_v[-1], slow_v[-1])
    at = np.unique(np.concatenate([fast_v[(fast_v >= low) & (fast_v <= high)], [low, high]]))
    return at, np.interp(at, fast_v, fast_f), np.interp(at, slow_v, slow_f)
