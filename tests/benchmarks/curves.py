"""What work costs as it grows, each beside the machine's own limit; writes the tables of docs/speed.md.

python -m tests.benchmarks.curves                  # all curves, some minutes
python -m tests.benchmarks.curves --only workers   # curves with that word; the others stay as they are

Limits, measured in the same minutes by one core: operations at all of the peak of fused multiply-adds (peak.py), operations
counted from the kernel's own text (operations.py); bytes at the speed at which one core copies memory. A curve is near its limit
where the last column is near one, and fair where it does not move along the curve. Times are of the processor, least of some rounds;
of workers they are by the clock, as several work at once.
"""

import argparse
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

import sim
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import AnyRun
from sim.integrate.given import sampled
from sim.integrate.single import with_plan
from sim.kernel import layout as at
from sim.kernel.integrate import narrow_block, run_single
from sim.lower.lowering import lower
from sim.lower.packed import UNWATCHED, pack
from sim.lower.rest import rest
from sim.machine.jit import BLOCK
from sim.machine.spread import Spread
from sim.study.many import Track
from tests.benchmarks.operations import FLOPS, count
from tests.benchmarks.peak import peak

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "docs" / "speed.md"
COUNTED_STEPS = 200
ROUNDS = 5
MEASURES = ("ride_wk_driver", "front_tyre_load_variation")


@dataclass(frozen=True)
class Limits:
    """Of one core.

    Attributes
    ----------
    double, single : float
        Operations a second in each precision.
    bytes_a_second : float
        Read and written, of arrays far larger than any cache.
    """

    double: float
    single: float
    bytes_a_second: float

    @classmethod
    def measured(cls) -> "Limits":
        """Measure them."""
        loops = peak(np.float64), peak(np.float32)
        double, single = (max(loop() for _ in range(10)) for loop in loops)
        here, there = np.ones(25_000_000), np.empty(25_000_000)
        spent = _least(lambda: np.copyto(there, here))
        return cls(double, single, 2.0 * here.nbytes / spent)


@dataclass(frozen=True)
class Curve:
    """One table.

    Attributes
    ----------
    title : str
        What grows.
    head : tuple of str
        Of its columns.
    rows : list of tuples of str
    """

    title: str
    head: tuple[str, ...]
    rows: list[tuple[str, ...]]

    @property
    def text(self) -> str:
        """The table, as Markdown."""
        lines = [f"| {' | '.join(cells)} |" for cells in (self.head, ("---",) * len(self.head), *self.rows)]
        return "\n".join([f"**{self.title}**", "", *lines])


def _least(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    """Return the least processor time [s] of some rounds."""
    spent = np.inf
    for _ in range(rounds):
        begin = time.process_time()
        work()
        spent = min(spent, time.process_time() - begin)
    return float(spent)


def _demo() -> sim.Scenario:
    scenario = sim.load(ROOT / "scenarios" / "two_or_four.yaml")
    assert isinstance(scenario, sim.Scenario)
    return scenario


def _over(seconds: float) -> tuple[Vehicle, AnyRun]:
    """Return the demo's "two front", and a run of about so many seconds over gravel."""
    scenario = _demo()
    run = scenario.run
    with tempfile.TemporaryDirectory() as place:
        path = Path(place) / "gravel.yaml"
        road = f"{{kind: random, iso_class: C, length: {seconds * run.speed:.1f} m, seed: 5}}"
        path.write_text(f"kind: course\nname: Gravel\nitems:\n  - {road}\n", encoding="utf-8")
        course = sim.load(path)
    return scenario.setups["two front"], run.model_copy(update={"course": course, "settle": 0.0})


class Solved:
    """A single run and a block of the same set-up over the same road, ready to be solved again and again."""

    def __init__(self, vehicle: Vehicle, run: AnyRun, watched: int = 3) -> None:
        lowered = lower(vehicle)
        plan = run.plan(lowered)
        self.setup = with_plan(lowered, plan)
        self.given = sampled(vehicle, plan, 1e-3, 1)
        self.start = rest(self.setup).state
        self.steps = self.given.steps
        self.watched = np.arange(at.SCRATCH, at.SCRATCH + watched)
        self.trace = np.empty((self.steps + 1, at.TRACE_LINES + at.LINE_CHANNELS * len(self.setup.lines)))
        self.out = np.empty((watched, self.steps + 1, BLOCK), np.float32)
        self._single, self._wide = pack([self.setup], 1), pack([self.setup] * BLOCK, BLOCK, np.float32)
        self._road, self._push = self.given.road.astype(np.float32), self.given.push.astype(np.float32)

    def operations(self) -> float:
        """Operations of one set-up over its whole run, as written."""
        counts = count(self.setup, self.start, self.given, COUNTED_STEPS)
        return self.steps * sum(n for (_, kind), n in counts.items() if kind in FLOPS)

    def single(self) -> None:
        """Run it once by itself, all channels written."""
        packed, given = self._single, self.given
        packed.memory[: at.STATES] = self.start
        run_single(
            packed.memory, packed.lines, packed.lines_front, packed.kinds, packed.knots, packed.first_group, given.road,
            given.nominal, given.speed_m_per_s, given.push, given.step_s, given.steps, given.every, self.trace, UNWATCHED,
            packed.bush_memory(),
        )  # fmt: skip

    def block(self) -> None:
        """Run it in a block of single precision, the watched rows written."""
        packed, given, kind = self._wide, self.given, np.float32
        rows = packed.rows()
        rows[: at.STATES] = self.start[:, None]
        rows[at.CARRY : at.CARRY + at.MOTION] = (self.start[: at.MOTION] - self.start[: at.MOTION].astype(kind))[
            :, None
        ]
        narrow_block()(
            packed.memory, packed.lines, packed.lines_front, packed.kinds, packed.knots, packed.first_group, self._road,
            given.nominal, kind(given.speed_m_per_s), self._push, kind(given.step_s), self.steps, 1, self.out, self.watched,
            packed.bush_memory(),
        )  # fmt: skip

    def row(self, limits: Limits) -> tuple[str, ...]:
        """Return times of both a set-up, and each over its limit: operations or bytes, whichever takes longer."""
        self.single()
        self.block()
        operations, lanes = self.operations(), BLOCK
        alone, each = _least(self.single), _least(self.block) / lanes
        bound = max(operations / limits.double, self.trace.nbytes / limits.bytes_a_second)
        wide = max(operations / limits.single, self.out.nbytes / lanes / limits.bytes_a_second)
        return f"{alone * 1e3:.2f} ms", f"{alone / bound:.1f}", f"{each * 1e3:.3f} ms", f"{each / wide:.1f}"


COLUMNS = ("single run", "times its limit", "a set-up in a block", "times its limit")


def seconds(limits: Limits) -> Curve:
    """Seconds of course."""
    rows = []
    for asked in (2.5, 5.0, 10.0, 20.0, 40.0, 80.0, 160.0):
        solved = Solved(*_over(asked))
        rows.append((f"{solved.steps * 1e-3:.0f} s", *solved.row(limits)))
    return Curve("Seconds of course", ("course", *COLUMNS), rows)


def dampers(limits: Limits) -> Curve:
    """Damper sets of both axles together."""
    vehicle, run = _over(10.0)
    rows = []
    for sets in (0, 1, 2, 4, 8):
        changed = vehicle.model_copy(
            update={
                axle: getattr(vehicle, axle).model_copy(
                    update={"dampers": _copies(getattr(vehicle, axle).dampers, sets)}
                )
                for axle in ("front", "rear")
            }
        )
        rows.append((str(2 * sets), *Solved(changed, run).row(limits)))
    return Curve("Damper sets, both axles together, 10 s of course", ("sets", *COLUMNS), rows)


def _copies(dampers: dict[str, object], sets: int) -> dict[str, object]:
    one = next(iter(dampers.values()))
    return {f"set {number + 1}": one for number in range(sets)}


def outputs(limits: Limits) -> Curve:
    """Rows that a block writes each millisecond."""
    vehicle, run = _over(10.0)
    rows = []
    for watched in (1, 3, 6, 12, 24):
        solved = Solved(vehicle, run, watched)
        solved.block()
        operations, each = solved.operations(), _least(solved.block) / BLOCK
        written = solved.out.nbytes / BLOCK
        computed, copied = operations / limits.single, written / limits.bytes_a_second
        rows.append(
            (str(watched), f"{each * 1e3:.3f} ms", f"{written / 1e6:.2f} MB", f"{copied * 1e3:.3f} ms", f"{each / max(computed, copied):.1f}")
        )  # fmt: skip
    head = (
        "outputs a millisecond",
        "a set-up in a block",
        "written a set-up",
        "that by memory's speed",
        "times its limit",
    )
    return Curve("Outputs, 10 s of course", head, rows)


def _varied(count: int) -> list[Vehicle]:
    """Return so many set-ups whose front valving differs."""
    vehicle = _demo().setups["two front"]
    axle = vehicle.front
    name, damper = next(iter(axle.dampers.items()))
    made = []
    for factor in np.linspace(0.5, 2.0, count):
        one = damper.model_copy(update={"valving": damper.valving.scaled(float(factor))})
        made.append(
            vehicle.model_copy(update={"front": axle.model_copy(update={"dampers": {**axle.dampers, name: one}})})
        )
    return made


def setups(limits: Limits) -> Curve:
    """Set-ups, described to measured."""
    scenario = _demo()
    # The demo's course and this truck: its operations are those of every one of them.
    solved = Solved(scenario.setups["two front"], scenario.run)
    # A set-up's answer comes of two parts a millisecond (docs/decisions/steps.md).
    bound = 2.0 * solved.operations() / limits.single
    track = Track(scenario.run, MEASURES, fine=True, precision="single")
    track.outcomes(_varied(BLOCK))
    rows = []
    for many in (1, 4, 16, 64, 256, 1024, 4096):
        vehicles = _varied(many)
        spent = _least(lambda: track.outcomes(vehicles), 1 if many > 256 else 3)  # noqa: B023
        rows.append((str(many), f"{spent:.3f} s", f"{spent / many * 1e3:.2f} ms", f"{spent / many / bound:.1f}"))
    head = "set-ups", "processor time", "each", "times its limit"
    return Curve("Set-ups over the demo's course, from their description to two measures, one core", head, rows)


def memory(limits: Limits) -> Curve:
    """Most memory of a process that makes a run, or a thousand."""
    rows = []
    for what, text in (
        ("nothing: libraries and the kernel", ""),
        ("one run of 10 s, all channels, with its coarser twin", "kept = simulate(*_over(10.0))"),
        ("one run of 40 s", "kept = simulate(*_over(40.0))"),
        ("one run of 160 s", "kept = simulate(*_over(160.0))"),
        ("a sweep's 64 set-ups", "swept(64)"),
        ("a sweep's 1024 set-ups", "swept(1024)"),
        ("a sweep's 4096 set-ups", "swept(4096)"),
    ):
        script = (
            f"from tests.benchmarks.curves import _over, swept\nfrom sim.integrate.simulation import simulate\n{text}\n"
        )
        script += "from tests.benchmarks.curves import most_memory_mb\nprint(most_memory_mb())"
        made = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=True)
        rows.append((what, f"{float(made.stdout.split()[-1]):.0f} MB"))
    return Curve("Memory of one process at most", ("what it does", "memory"), rows)


def most_memory_mb() -> float:
    """Return the most memory that this process has taken [MB]."""
    status = Path("/proc/self/status")
    if status.exists():
        # What the system says of resources keeps, on Linux, what the process that began this one had taken.
        return float(status.read_text(encoding="ascii").split("VmHWM:")[1].split()[0]) / 1e3
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1e6 if sys.platform == "darwin" else 1e3)


def swept(count: int) -> None:
    """Measure so many set-ups, as a sweep's process does."""
    Track(_demo().run, MEASURES, fine=True, precision="single").outcomes(_varied(count))


class Parts:
    """Set-ups a part, as a sweep sends them to a worker."""

    def __init__(self) -> None:
        self._track: Track | None = None

    def solved(self, part: int) -> float:
        """Measure a lot of set-ups, and give back the most memory that this process has taken [MB]."""
        if self._track is None:
            self._track = Track(_demo().run, MEASURES, fine=True, precision="single")
        self._track.outcomes(_varied(part))
        return most_memory_mb()

    def __getstate__(self) -> dict[str, None]:
        return {"_track": None}


LOTS, LOT = 128, 16


def workers(limits: Limits) -> Curve:
    """Workers of a Dask cluster on this machine, each a process with one thread.

    Past as many as there are cores they wait for each other; what is seen then is what a cluster's own work costs as it grows. Sixty-four were not
    through within five minutes on two cores.
    """
    from distributed import LocalCluster

    rows = []
    alone = 0.0
    for number in (1, 2, 4, 8, 16, 32):
        with LocalCluster(n_workers=number, threads_per_worker=1, processes=True, dashboard_address=None) as cluster, Spread(Parts(), cluster=cluster.scheduler_address) as spread:  # fmt: skip
            list(spread.each([LOT] * (2 * number)))  # every worker has loaded what it needs
            begin = time.perf_counter()
            most = max(size for _, size in spread.each([LOT] * LOTS))
            spent = time.perf_counter() - begin
        alone = alone or spent
        rows.append((str(number), f"{spent:.2f} s", f"{spent / alone:.2f}", f"{most:.0f} MB"))
    head = (
        f"workers on {_cores()} cores",
        f"{LOTS * LOT} set-ups, by the clock",
        "of one worker's",
        "memory of each at most",
    )
    return Curve("Workers of a cluster, all on this machine", head, rows)


def _cores() -> int:
    return os.cpu_count() or 1


CURVES = (seconds, setups, dampers, outputs, workers, memory)


def _marks(curve: Callable[[Limits], Curve]) -> tuple[str, str]:
    return f"<!-- {curve.__name__}: begin -->", f"<!-- {curve.__name__}: end -->"


def main() -> None:
    """Measure, show the tables, and put them into docs/speed.md."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--only", default="", help="curves with this word; the others stay as they are")
    options = parser.parse_args()
    limits = Limits.measured()
    said = (
        f"One core: {limits.double / 1e9:.0f} G operations a second in double precision, {limits.single / 1e9:.0f} G in single, "
        f"{limits.bytes_a_second / 1e9:.0f} GB a second to and from memory."
    )
    print(said)
    for curve in CURVES:
        if options.only not in curve.__name__:
            continue
        text = f"{curve(limits).text}\n\n{said}"
        print(f"\n{text}", flush=True)
        begin, end = _marks(curve)
        page = PAGE.read_text(encoding="utf-8")
        first, _, rest = page.partition(begin)
        PAGE.write_text(f"{first}{begin}\n{text}\n{end}{rest.partition(end)[2]}", encoding="utf-8")


if __name__ == "__main__":
    main()
