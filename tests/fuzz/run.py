"""Mutated files by the thousand: `python -m tests.fuzz.run --files 100000`; prints figures, keeps files that fail.

Each process is watched: one that is at a file for too many seconds of the processor hangs; it is ended, and the file is kept.
"""

import argparse
import multiprocessing
import re
import resource
import shutil
import tempfile
import time
from collections import Counter
from math import nan
from multiprocessing.connection import Connection, wait
from pathlib import Path

import psutil

from tests.fuzz.mutations import mutated

SCENARIOS = Path(__file__).parents[2] / "scenarios"
SHIPPED = sorted(path.relative_to(SCENARIOS) for path in SCENARIOS.rglob("*") if path.suffix in (".yaml", ".csv"))
"""Every shipped file that is read."""

HANG_S, RUN_S = 35.0, 200.0
"""Seconds of the processor for reading a file, with what a process takes to begin, and for running what it describes besides."""

WAITS_S = 900.0
"""Seconds by the clock, which on a loaded machine says little: a process that waits for something takes no processor time."""


def one(folder: Path, seed: int) -> Path:
    """Write the mutated file of a seed into a copy of the scenarios; return its path.

    Parameters
    ----------
    folder : Path
        The copy.
    seed : int
        Which file and which changes.
    """
    name = SHIPPED[seed % len(SHIPPED)]
    raw = (SCENARIOS / name).read_bytes()
    path = folder / name.parent / f"mutated_{name.stem}{name.suffix}"
    path.write_bytes(mutated(raw.decode("utf-8"), seed))
    return path


def _commanded(path: Path) -> str:
    return "check" if path.suffix == ".yaml" else "road"


def _works(first: int, step: int, last: int, pipe: Connection, runs: bool) -> None:
    from functools import cache

    from sim import cli, machine
    from sim.machine.memory import give_back

    # One process reads thousands: compiled code is loaded once, and the parser of the command line is built once.
    machine.OWN_PROCESS, cli._parser = True, cache(cli._parser)
    from tests.fuzz.judging import judged

    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "scenarios"
        if runs:
            from tests.fuzz.ran import ready

            ready()
        shutil.copytree(SCENARIOS, folder)
        for seed in range(first, last, step):
            path = one(folder, seed)
            if path.suffix != ".yaml":
                path = _asks_for(path, folder)
            pipe.send(("begins", seed, time.process_time()))
            verdict = judged(path)
            if runs and verdict.code in (0, 3) and not verdict.fault:
                from tests.fuzz.ran import ran

                verdict = verdict._replace(fault=ran(path))
                pipe.send(("ran", seed, 0))
                give_back()  # as a command does by ending
            most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3
            pipe.send(("judged", seed, (verdict, most)))
    pipe.send(("ends", 0, 0))


def _asks_for(path: Path, folder: Path) -> Path:
    """Return a YAML file that names a table: a vehicle with it as a damper's test, or a course with it as a surveyed road."""
    if path.parent.name == "dampers":
        source = (SCENARIOS / "as_ordered_or_returned.yaml").read_text(encoding="utf-8")
        asking = folder / "asking.yaml"
        asking.write_text(source.replace("front_returned.csv", path.name), encoding="utf-8")
        return asking
    source = (SCENARIOS / "courses" / "upper_track.yaml").read_text(encoding="utf-8")
    asking = path.parent / "asking.yaml"
    asking.write_text(source.replace("stream_crossing.csv", path.name), encoding="utf-8")
    return asking


class Watched:
    """A process at work, and since when it is at its file."""

    def __init__(self, first: int, step: int, last: int, runs: bool) -> None:
        self.step, self.last, self.runs = step, last, runs
        self.begin(first)

    def begin(self, first: int) -> None:
        """Start, or start again past a file that hangs."""
        self.pipe, theirs = multiprocessing.Pipe(False)
        self.process = multiprocessing.get_context("spawn").Process(
            target=_works, args=(first, self.step, self.last, theirs, self.runs), daemon=True
        )
        self.process.start()
        theirs.close()
        self.seed, self.since, self.used, self.started = first - self.step, time.monotonic(), 0.0, False

    def took(self) -> float:
        """Return the processor time that it has taken [s]; nan if it has ended."""
        try:
            return sum(psutil.Process(self.process.pid).cpu_times()[:2])
        except psutil.Error:
            return nan

    def hangs(self) -> bool:
        """Whether it is at one file for too long."""
        allowed = HANG_S + (RUN_S if self.runs else 0.0)
        return self.started and (time.monotonic() - self.since > WAITS_S or self.took() - self.used > allowed)


def main() -> int:
    """Run, print what came of it, and return 1 if anything must not be."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--files", type=int, default=10_000)
    parser.add_argument("--first", type=int, default=0, help="first seed")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument(
        "--keep", type=Path, default=Path(tempfile.gettempdir()) / "jounce-fuzz", help="folder for files that fail"
    )
    parser.add_argument(
        "--run", action="store_true", help="also run what is accepted, and look for numbers that are none"
    )
    parser.add_argument("--kinds", type=int, default=15, help="kinds of messages without a line or a value to list")
    options = parser.parse_args()
    begun = time.monotonic()
    last = options.first + options.files
    watched = [Watched(options.first + k, options.processes, last, options.run) for k in range(options.processes)]
    codes: Counter[int] = Counter()
    faults: dict[str, list[int]] = {}
    totals, mute = Counter[str](), Counter[str]()
    most = 0.0
    while watched:
        for pipe in wait([one.pipe for one in watched], timeout=0.5):
            of = next(one for one in watched if one.pipe is pipe)
            try:
                kind, seed, what = of.pipe.recv()
            except EOFError:
                faults.setdefault("the process died", []).append(of.seed)
                of.begin(of.seed + of.step)
                continue
            if kind == "ends":
                watched.remove(of)
                continue
            of.seed, of.since, of.started = seed, time.monotonic(), True
            if kind == "begins":
                of.used = what  # of the processor, by its own clock
            totals["ran"] += kind == "ran"
            if kind == "judged":
                verdict, memory = what
                codes[verdict.code] += 1
                totals["files"] += 1
                totals["problems"] += verdict.problems
                totals["without line"] += len(verdict.without_line)
                totals["without value"] += len(verdict.without_value)
                mute.update("no line: " + _kind(line) for line in verdict.without_line)
                mute.update("no value: " + _kind(line) for line in verdict.without_value)
                most = max(most, memory)
                if verdict.fault:
                    known = verdict.words.strip().splitlines()[-1][:150] if "Traceback" in verdict.words else ""
                    where = [line.strip() for line in verdict.words.splitlines() if line.strip().startswith("File ")]
                    faults.setdefault(
                        " | ".join(filter(None, (verdict.fault[:80], known, where[-1] if where else ""))), []
                    ).append(seed)
        for of in watched:
            if of.hangs():
                faults.setdefault("hangs", []).append(of.seed)
                of.process.kill()
                of.begin(of.seed + of.step)
    _reported(totals, codes, faults, most, time.monotonic() - begun)
    for kind, count in mute.most_common(options.kinds):
        print(f"{count:6d}  {kind}")
    _kept(faults, options.keep)
    return 1 if faults else 0


def _kind(line: str) -> str:
    """Return a message without its place and its names, so that those of one kind count together."""
    return re.sub(r"'[^']*'|[\d.]+", "…", re.sub(r"^\S+?: ", "", line))[:100]


def _reported(
    totals: Counter[str], codes: Counter[int], faults: dict[str, list[int]], most: float, seconds: float
) -> None:
    print(f"{totals['files']} files in {seconds:.0f} s, largest process {most:.0f} MB")
    if totals["ran"]:
        print(f"{totals['ran']} of them accepted, and run")
    print("exit codes:", ", ".join(f"{code}: {count}" for code, count in sorted(codes.items())))
    share = 100 * totals["without line"] / max(totals["problems"], 1)
    other = 100 * totals["without value"] / max(totals["problems"], 1)
    print(f"{totals['problems']} problems said: {share:.1f} % without a line, {other:.1f} % without what was given")
    for fault, seeds in sorted(faults.items(), key=lambda entry: -len(entry[1])):
        print(f"{len(seeds):6d}  {fault}   seeds {seeds[:5]}")


def _kept(faults: dict[str, list[int]], folder: Path) -> None:
    """Write the first files of every fault, to be looked at and put into the corpus."""
    for number, seeds in enumerate(faults.values()):
        for seed in seeds[:2]:
            place = folder / f"{number}_{seed}"
            shutil.copytree(SCENARIOS, place, dirs_exist_ok=True)
            one(place, seed)


if __name__ == "__main__":
    raise SystemExit(main())
