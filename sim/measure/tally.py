"""What is kept of a run that comes in pieces: sums, extremes, counts; never its histories."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from math import inf, nan, sqrt
from pathlib import Path

import numpy as np

from sim.describe.lowered import Lowered
from sim.integrate.channels import AXLES, felt
from sim.integrate.ridden import Ridden, line_channel
from sim.integrate.traces import Array
from sim.kernel import layout as at
from sim.kernel.kept import SUMS, add_up_felt
from sim.kernel.sums import HELD
from sim.kernel.turning import turning_points
from sim.machine.jit import FEW
from sim.measure.signals import contacts
from sim.measure.weighting import WK

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

    def add(self, samples: int, squares: float, weighted_squares: float, weighted_fourths: float) -> None:
        """Add the sums of the next samples."""
        self.samples += samples
        # Plain sums: hours at a kilohertz are some 1e7 samples, of which double precision loses nothing that shows.
        self.squares += squares
        self.weighted_squares += weighted_squares
        self.weighted_fourths += weighted_fourths

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

    def add(self, setup: Lowered, name: str, ridden: Ridden, time_s: Array, points: Path, fresh: bool) -> None:
        """Add the next piece of an axle; its first sample is the last one of the piece before, unless `fresh`.

        Turning points of the jounce are added to the file `points`, as floats [m].
        """
        index, part = AXLES.index(name), dict(setup.vehicle.axles)[name]
        new = slice(0 if fresh else 1, None)
        at_jounce, at_load, at_stop = at.JOUNCE + 2 * index, at.TRACE_TYRE + index, at.TRACE_STOP + index
        jounce = ridden.channel(at_jounce)[new]
        self.samples += jounce.size
        if ridden.least(at_load) <= 0.0:
            self.airborne += int(np.count_nonzero(ridden.channel(at_load)[new] <= 0.0))
        # The shared sample of a seam is in the piece before too, so both extremes are those of the new ones.
        self.jounce_most = max(self.jounce_most, ridden.most(at_jounce))
        self.jounce_least = min(self.jounce_least, ridden.least(at_jounce))
        # With the shared sample: a contact that begins at the seam is seen, one that goes on does not begin anew.
        # In most pieces nothing touches.
        if ridden.most(at_stop) > 0.0:
            self.stop_hits += contacts(ridden.channel(at_stop) > 0.0, time_s)
        for number, line in enumerate(setup.lines):
            if line.axle == name and line.role == "damper":
                length, damper = line_channel(number, at.LINE_LENGTH), part.dampers[line.name]
                least, most = damper.length_collapsed, damper.length_extended
                if least is not None and ridden.least(length) < least:
                    self.damper_end_hits += contacts(ridden.channel(length) < least, time_s)
                if most is not None and ridden.most(length) > most:
                    self.damper_end_hits += contacts(ridden.channel(length) > most, time_s)
        if part.stop is not None:
            self.left_to_stop = part.stop.gap - self.jounce_most
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
    _filters: list[Array] = field(default_factory=list)

    def add(self, setup: Lowered, ridden: Ridden, time_s: Array, folder: Path, fresh: bool) -> None:
        """Add the next piece of a ride at times (n,) [s], whose first sample is the last one of the piece before unless `fresh`."""
        self.seconds += float(time_s[-1] - time_s[0])
        # The sample at a seam belongs to two pieces and counts once.
        self._felt(setup, ridden, float(time_s[1] - time_s[0]), 0 if fresh else 1)
        for name in AXLES:
            self.axles[name].add(setup, name, ridden, time_s, folder / f"{name}.points", fresh)
        for number, line in enumerate(setup.lines):
            if line.role == "damper":
                tally = self.dampers.setdefault((line.axle, line.name), DamperTally())
                speed, force = line_channel(number, at.LINE_SPEED), line_channel(number, at.LINE_FORCE)
                tally.compression_speed = max(tally.compression_speed, ridden.most(speed))
                tally.rebound_speed = max(tally.rebound_speed, -ridden.least(speed))
                tally.compression_force = max(tally.compression_force, ridden.most(force))
                tally.rebound_force = max(tally.rebound_force, -ridden.least(force))

    def _felt(self, setup: Lowered, ridden: Ridden, step_s: float, first: int) -> None:
        """Add what is felt at every named point of the body, from a sample on."""
        rising, pitch, speed, turning = (
            ridden.channel(channel)
            for channel in (
                at.TRACE_RATE + at.Z, at.PITCH, at.COORDINATES + at.PITCH, at.TRACE_RATE + at.PITCH,
            )
        )  # fmt: skip
        each = list(felt(setup, rising, pitch, speed, turning).items())
        factors = WK.sections(step_s)
        for number, begin in enumerate(range(0, len(each), FEW)):
            some = each[begin : begin + FEW]
            if number == len(self._filters):
                # At rest before the first sample, as `Weighting.filtered` has it; from piece to piece they go on, so that a seam leaves no jolt.
                self._filters.append(np.zeros(((HELD + SUMS), FEW)))
            memory = self._filters[number]
            signals = np.zeros((len(ridden), FEW))
            for lane, (_, acceleration) in enumerate(some):
                signals[:, lane] = acceleration()
            memory[HELD:] = 0.0
            add_up_felt(signals, first, factors, memory.reshape(-1))
            for (name, _), sums in zip(some, memory[HELD:].T.tolist(), strict=False):
                self.points.setdefault(name, PointTally()).add(len(ridden) - first, *sums)


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
