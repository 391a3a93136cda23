"""What is kept of a run that comes in pieces: sums, extremes, counts; never its histories."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from math import inf, nan, sqrt
from pathlib import Path

import numpy as np
import numpy.typing as npt

from sim.integrate.result import Run
from sim.integrate.traces import Array, AxleTrace
from sim.kernel.filters import sum_of_second_orders
from sim.kernel.turning import turning_points
from sim.measure.hits import collapsed, extended
from sim.measure.signals import contacts
from sim.measure.weighting import WK, discrete

LEAST_M = 1e-3
"""Smallest travel that is counted [m]: below is noise, and far below what wears anything."""

CLASS_M = 5e-3
"""Width of the classes of travel [m]."""


READ_AT_ONCE = 1 << 14
"""Turning points that are counted at once."""


@dataclass
class PointTally:
    """Upward acceleration of one point of the body.

    Attributes
    ----------
    samples : int
        How many.
    squares, weighted_squares, weighted_fourths : float
        Sums of a², a_w² and a_w⁴, by Wk of ISO 2631-1.
    """

    samples: int = 0
    squares: float = 0.0
    weighted_squares: float = 0.0
    weighted_fourths: float = 0.0

    def add(self, acceleration: Array, weighted: Array) -> None:
        """Add the next samples (n,) [m/s²], and the same weighted."""
        squares = weighted * weighted
        self.samples += acceleration.size
        # Plain sums: hours at a kilohertz are some 1e7 samples, of which double precision loses nothing that shows.
        self.squares += float(np.sum(acceleration * acceleration))
        self.weighted_squares += float(np.sum(squares))
        self.weighted_fourths += float(np.sum(squares * squares))

    @property
    def rms(self) -> float:
        """RMS [m/s²]."""
        return sqrt(self.squares / self.samples) if self.samples else nan

    @property
    def weighted_rms(self) -> float:
        """RMS weighted by Wk [m/s²]."""
        return sqrt(self.weighted_squares / self.samples) if self.samples else nan

    def dose(self, step_s: float) -> float:
        """Return the vibration dose value [m/s^1.75]."""
        return float((self.weighted_fourths * step_s) ** 0.25)


@dataclass
class AxleTally:
    """Travel, contacts and load of one axle."""

    samples: int = 0
    airborne: int = 0
    jounce_most: float = -inf
    jounce_least: float = inf
    stop_hits: int = 0
    damper_end_hits: int = 0
    left_to_stop: float = nan
    _memory: Array | None = None

    def add(self, trace: AxleTrace, time_s: Array, points: Path, fresh: bool) -> None:
        """Add the next piece; its first sample is the last one of the piece before, unless `fresh`.

        Turning points of the jounce are added to the file `points`, as floats [m].
        """
        new = slice(0 if fresh else 1, None)
        jounce = np.ascontiguousarray(trace.jounce_m[new])  # the compiled counter reads one block of memory
        self.samples += jounce.size
        self.airborne += int(np.count_nonzero(trace.tyre_load_n[new] <= 0.0))
        self.jounce_most = max(self.jounce_most, float(jounce.max()))
        self.jounce_least = min(self.jounce_least, float(jounce.min()))
        # With the shared sample: a contact that begins at the seam is seen, one that goes on does not begin anew.
        self.stop_hits += _begun(trace.stop_force_n > 0.0, time_s)
        for damper in trace.dampers.values():
            self.damper_end_hits += _begun(collapsed(damper), time_s) + _begun(extended(damper), time_s)
        if trace.jounce_at_stop_m is not None:
            self.left_to_stop = trace.jounce_at_stop_m - self.jounce_most
        # The last extreme and the way it was going, from which the next piece goes on.
        if self._memory is None:
            self._memory = np.array([jounce[0], 0.0])
        out = np.empty(jounce.size)
        count = turning_points(jounce, LEAST_M, self._memory, out)
        # To a file: hours of driving have more turning points than should be held in memory, for every set-up at once.
        with points.open("ab") as file:
            out[:count].tofile(file)

    def close(self, points: Path) -> None:
        # Half a cycle to the end of the run is as real as the others.
        """Add the last extreme, which nothing has followed."""
        if self._memory is not None:
            with points.open("ab") as file:
                self._memory[:1].tofile(file)


def _begun(touching: npt.NDArray[np.bool_], time_s: Array) -> int:
    # In most pieces nothing touches.
    return contacts(touching, time_s) if touching.any() else 0


@dataclass
class DamperTally:
    """Work and speed of one damper of a set."""

    work: float = 0.0
    compression_speed: float = 0.0
    rebound_speed: float = 0.0
    compression_force: float = 0.0
    rebound_force: float = 0.0


@dataclass
class Tally:
    """All of it for one set-up."""

    points: dict[str, PointTally] = field(default_factory=dict)
    axles: dict[str, AxleTally] = field(default_factory=lambda: {"front": AxleTally(), "rear": AxleTally()})
    dampers: dict[tuple[str, str], DamperTally] = field(default_factory=dict)
    seconds: float = 0.0
    _filters: Array | None = None

    def add(self, run: Run, folder: Path, fresh: bool) -> None:
        """Add the next piece of a run, whose first sample is the last one of the piece before unless `fresh`."""
        step = float(run.time_s[1] - run.time_s[0])
        self.seconds += float(run.time_s[-1] - run.time_s[0])
        # The sample at a seam belongs to two pieces and counts once.
        new = slice(0 if fresh else 1, None)
        felt = np.array([values[new] for values in run.acceleration_m_per_s2.values()])
        for name, acceleration, weighted in zip(
            run.acceleration_m_per_s2, felt, self._weighted(felt, step), strict=True
        ):
            self.points.setdefault(name, PointTally()).add(acceleration, weighted)
        for name, axle in run.axles:
            self.axles[name].add(axle, run.time_s, folder / f"{name}.points", fresh)
            for damper in axle.dampers.values():
                tally = self.dampers.setdefault((name, damper.name), DamperTally())
                tally.compression_speed = max(tally.compression_speed, float(damper.speed_m_per_s.max()))
                tally.rebound_speed = max(tally.rebound_speed, -float(damper.speed_m_per_s.min()))
                tally.compression_force = max(tally.compression_force, float(damper.force_n.max()))
                tally.rebound_force = max(tally.rebound_force, -float(damper.force_n.min()))

    def _weighted(self, felt: Array, step_s: float) -> Array:
        """Return accelerations of all points (points, n) [m/s²] weighted by Wk."""
        above, below = discrete(WK, step_s)
        if self._filters is None:
            # At rest before the first sample, as `Weighting.filtered` has it; from piece to piece they go on, so that a seam leaves no jolt.
            self._filters = np.zeros((2, len(below), len(felt)))
        signals = np.ascontiguousarray(felt.T)
        weighted = np.zeros_like(signals)
        sum_of_second_orders(signals, above, below, self._filters, weighted)
        return np.ascontiguousarray(weighted.T)


def _read(points: Path) -> Iterator[Array]:
    with points.open("rb") as file:
        while True:
            part = np.fromfile(file, count=READ_AT_ONCE)  # some at a time, never the file as a whole
            if not part.size:
                return
            yield part


def travel_counts(points: Path) -> dict[int, float]:
    """Return how many cycles of travel fell into each class: class n is of ranges from n to n + 1 times CLASS_M.

    Rainflow counting of ASTM E1049-85, 5.4.4: small cycles within larger ones by arrays, what is left by the `rainflow` package, which
    takes the turning points one by one.
    """
    from rainflow import extract_cycles  # loaded where something is counted, after hours of driving

    counts: dict[int, float] = {}
    left = np.empty(0)
    for part in _read(points):
        left, closed = _cycles_within(np.concatenate([left, part]))
        for number, count in enumerate(np.bincount((closed / CLASS_M).astype(np.int64))):
            if count:
                counts[number] = counts.get(number, 0.0) + float(count)
    # The last one twice, which is no movement: of two points alone the package finds none.
    for size, _, count, _, _ in extract_cycles([*left.tolist(), *left[-1:].tolist()]):
        number = int(size / CLASS_M)
        # Half cycles count a half (E1049), so numbers of cycles are floats.
        counts[number] = counts.get(number, 0.0) + count
    return dict(sorted(counts.items()))


def _cycles_within(points: Array) -> tuple[Array, Array]:
    """Take out of turning points the ranges that lie between a larger one and one no smaller; return what is left, and the ranges.

    Each is a whole cycle whatever stands before and after: when the next range is reached it is counted (E1049, 5.4.4, step 4), and it does
    not begin with the first point, as the range before it, being larger, was not counted until then. Without both of its points the
    others are counted as they were. Two neighbours never are such ranges at once.
    """
    closed: list[Array] = []
    while True:
        ways = np.diff(points)
        ranges, turns = np.abs(ways), ways[1:] * ways[:-1] < 0.0
        inner = (ranges[1:-1] < ranges[:-2]) & (ranges[1:-1] <= ranges[2:]) & turns[:-1] & turns[1:]
        first = np.flatnonzero(inner) + 1
        if not first.size:
            return points, np.concatenate([np.empty(0), *closed])
        closed.append(ranges[first])
        points = np.delete(points, np.concatenate([first, first + 1]))


def level_crossings(points: Path) -> dict[int, int]:
    """Return how often travel crossed each level: level n is n times CLASS_M from the measured height, jounce positive.

    Level-crossing counting of ASTM E1049-85, 5.1: on the way up at and above the reference, here the measured height, on the way
    down below it. Movements of less than LEAST_M are left out, as the standard allows.
    """
    counts: dict[int, int] = {}
    last = np.empty(0)
    for part in _read(points):
        levels = np.concatenate([last, part / CLASS_M])
        last = levels[-1:]
        one, other = levels[:-1], levels[1:]
        up = other > one
        # Reached, not touched from the other side: each level once a movement. Those from `first` on, `after` left out.
        first = np.where(up, np.maximum(np.floor(one) + 1.0, 0.0), np.ceil(other)).astype(np.int64)
        after = np.where(up, np.floor(other) + 1.0, np.minimum(np.ceil(one), 0.0)).astype(np.int64)
        crossed = after > first
        if not crossed.any():
            continue
        first, after = first[crossed], after[crossed]
        lowest, number = int(first.min()), int(after.max() - first.min()) + 1
        begun = np.bincount(first - lowest, minlength=number) - np.bincount(after - lowest, minlength=number)
        for level, count in enumerate(np.cumsum(begun).tolist(), lowest):
            if count:
                counts[level] = counts.get(level, 0) + count
    return dict(sorted(counts.items()))
