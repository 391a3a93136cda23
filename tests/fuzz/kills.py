"""Kills at random moments: `python -m tests.fuzz.kills --times 100`; the answer after it must be that of an undisturbed command.

Three kinds for a sweep and for a tuning each: the whole command is killed and begun again, one of its workers is killed and the
command goes on, a worker of a Dask cluster is killed and the command goes on. The files are compared byte by byte, and nothing
else may be left in the folder of results.
"""

import argparse
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path
from typing import NamedTuple

from tests.study.tuning.cases import written

ROOT = Path(__file__).parents[2]

SWEEP = [
    "sweep", str(ROOT / "scenarios" / "push_on_the_bumper.yaml"),
    "--vary", "front.springs.coil.rate", "30 N/mm", "42 N/mm", "120", "--precision", "double",
]  # fmt: skip

KINDS = ("command", "worker", "cluster")

GIVEN_UP_S = 900.0

WORKERS = 2
"""Of a cluster."""


class Ended(NamedTuple):
    """How a command ended.

    Attributes
    ----------
    code : int
        Its exit code.
    hit : bool
        Whether it was still at work when the kill came.
    words : str
        What it said of errors.
    """

    code: int
    hit: bool
    words: str


def contents(folder: Path) -> dict[str, bytes]:
    """Return every file below a folder with its bytes."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


def started(arguments: list[str], outputs: Path) -> "subprocess.Popen[str]":
    """Start a command in a group of processes that can be killed at once."""
    return subprocess.Popen(
        [sys.executable, "-m", "sim", *arguments, "--outputs", str(outputs)],
        cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, start_new_session=True,
    )  # fmt: skip


def children(number: int) -> list[int]:
    """Return the processes below one, the watcher of shared resources left out: it does no work."""
    below: list[int] = []
    with suppress(OSError):
        for thread in Path(f"/proc/{number}/task").iterdir():
            for child in (thread / "children").read_text(encoding="utf-8").split():
                below += [int(child), *children(int(child))]
    return [child for child in below if b"resource_tracker" not in _command_line(child)]


def _command_line(number: int) -> bytes:
    try:
        return Path(f"/proc/{number}/cmdline").read_bytes()
    except OSError:
        return b""


def disturbed(arguments: list[str], outputs: Path, kind: str, moment: float, workers: list[int]) -> Ended:
    """Start a command, kill at a moment, let it go on or begin it again; return how it ended.

    Parameters
    ----------
    arguments : list of str
        The command.
    outputs : Path
        Its folder of results.
    kind : str
        One of `KINDS`.
    moment : float
        Seconds after the start.
    workers : list of int
        The cluster's workers; none are there without one.
    """
    process = started(arguments, outputs)
    try:
        time.sleep(moment)
        hit = process.poll() is None
        if kind == "command":
            with suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGKILL)
            process.communicate()
            process = started(arguments, outputs)
        elif victims := workers or children(process.pid):
            with suppress(ProcessLookupError):
                os.kill(random.choice(victims), signal.SIGKILL)
        else:
            hit = False
        words = process.communicate(timeout=GIVEN_UP_S)[1]
        return Ended(process.returncode, hit, words)
    finally:
        with suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)


@contextmanager
def cluster(place: Path, wanted: bool) -> Iterator[tuple[list[str], "object"]]:
    """Give the words that name a cluster of this machine, and the cluster; none of either if none is wanted."""
    if not wanted:
        yield [], None
        return
    import dask
    import distributed

    started_as = {"n_workers": WORKERS, "threads_per_worker": 1, "processes": True, "dashboard_address": None}
    with (
        dask.config.set({"temporary-directory": str(place)}),
        distributed.LocalCluster(**started_as, env={"PYTHONPATH": str(ROOT)}) as here,
    ):
        yield ["--cluster", here.scheduler_address], here


def _workers(here: object) -> list[int]:
    """Return the processes of a cluster's workers that are at work; none without one."""
    if here is None:
        return []
    return [worker.pid for worker in here.workers.values() if worker.pid and worker.status.name == "running"]  # type: ignore[attr-defined]


def tried(command: str, kind: str, times: int, place: Path) -> list[str]:
    """Kill that often; print a line of figures, and return what must not be."""
    arguments = SWEEP if command == "sweep" else ["tune", str(written(place, generations=6)), "--no-plots"]
    faults, hits = [], 0
    with ExitStack() as clusters:
        named, here = clusters.enter_context(cluster(place, kind == "cluster"))
        for _ in range(2):  # the first may have to compile, and lasts longer than those that are killed
            begun = time.monotonic()
            first = started(arguments + (named or ["--workers", "2"]), place / "undisturbed")
            words = first.communicate(timeout=GIVEN_UP_S)[1]
            lasts = time.monotonic() - begun
            assert first.returncode == 0, words
        whole = contents(place / "undisturbed")
        for number in range(times):
            outputs = place / f"{kind}{number}"
            moment = random.uniform(0.0, lasts)
            if kind == "cluster" and len(_workers(here)) < WORKERS:
                # One that is killed while it starts is given up for good by what watches it: that is the cluster's, not the command's.
                clusters.close()
                named, here = clusters.enter_context(cluster(place, True))
            ended = disturbed(arguments + (named or ["--workers", "2"]), outputs, kind, moment, _workers(here))
            hits += ended.hit
            after = contents(outputs)
            differing = sorted(name for name in {*whole, *after} if whole.get(name) != after.get(name))
            if ended.code or "Traceback" in ended.words or differing:
                faults.append(
                    f"{command}, {kind} killed after {moment:.2f} s: exit code {ended.code}, differing: {differing}\n{ended.words[-2000:]}"
                )
    print(
        f"{command}, {kind} killed: {times} times over {lasts:.1f} s, {hits} of them at work, {len(faults)} wrong",
        flush=True,
    )
    return faults


def main() -> int:
    """Kill, print what came of it, and return 1 if anything must not be."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=100)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--commands", nargs="+", default=["sweep", "tune"])
    parser.add_argument("--kinds", nargs="+", default=KINDS, choices=KINDS)
    options = parser.parse_args()
    random.seed(options.seed)
    faults = []
    for command in options.commands:
        for kind in options.kinds:
            with tempfile.TemporaryDirectory() as place:
                faults += tried(command, kind, options.times, Path(place))
    for fault in faults:
        print(fault)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
