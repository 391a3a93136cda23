"""`jounce endure SCENARIO`: every set-up through a track of hours, with the heat of its dampers."""

import argparse
import json
import sys
from dataclasses import dataclass
from math import isnan
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.errors import InputError, RunError

if TYPE_CHECKING:
    from concurrent.futures import Future

    from sim.describe.files.scenario import Scenario
    from sim.study.endurance.history import Endured

ASSUMES = (
    "Half-car at a held speed. Each damper's heat in two parts, oil and metal; air at a share of the road speed, film coefficients "
    "of a bare cylinder; no mud, no spray, no sun, no exhaust beside it. Tyres, springs and gas pressure as when cold. It "
    "compares set-ups and licenses nothing."
)

KILLED = "A process was killed, for want of memory most often: its set-ups are run again, fewer at a time."


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    parser.add_argument("scenario", type=Path, help="scenario file whose run is a track")
    parser.add_argument("--setup", action="append", help="only this set-up (may be given again; default: all)")
    parser.add_argument("--all", action="store_true", help="show every figure, not only those that decide most")
    parser.add_argument("--json", action="store_true", help="print figures and flags as JSON, for scripts")
    parser.add_argument("--workers", type=int, help="number of processes, each with one set-up (default: one a core)")
    parser.add_argument("--outputs", type=Path, default=Path("outputs"), help="folder for results (default: outputs)")


def run(options: argparse.Namespace) -> int:
    """Run, write histories as they come, then figures and plots; show the table."""
    from dataclasses import replace

    from sim.cli.folders import place
    from sim.describe.files.messages import nearest
    from sim.describe.files.scenario import load_scenario
    from sim.show.report.endured import printed
    from sim.show.report.write import written

    scenario = load_scenario(options.scenario)
    if scenario.run.way != "hours":
        raise InputError(
            f"{options.scenario}: its run is a {scenario.run.kind}, not a track of stages; run it with: "
            f"jounce {scenario.run.command}"
        )
    for name in options.setup or ():
        if name not in scenario.setups:
            hint = nearest(name, list(scenario.setups))
            raise InputError(
                f"there is no set-up '{name}'; there is: {', '.join(scenario.setups)}" + (f"; {hint}" if hint else "")
            )
    if options.setup:
        scenario = replace(scenario, setups={name: scenario.setups[name] for name in options.setup})
    # File names first: set-ups that differ only in what no file name can hold must not share a history.
    stems = stems_of(scenario)
    results = place(options.outputs, options.scenario, "_endured")
    folder = results.folder
    runs: dict[str, Endured] = {}

    def fill(into: Path) -> None:
        # Histories go straight into the folder that is being built: hours of rows never stand in memory.
        runs.update(endured(scenario, {name: into / f"{stem}.csv" for name, stem in stems.items()}, options.workers))
        fill_folder(scenario, runs, stems, into, f"jounce endure {options.scenario.name}")

    written(folder, fill, results.of)
    if options.json:
        print(json.dumps(as_json(runs), indent=2, ensure_ascii=False))
    else:
        printed(scenario.name, scenario.question, runs, sys.stdout, options.all)
    flagged = any(one.flags for one in runs.values())
    print(
        f"\nWrote {len(list(folder.iterdir()))} files to {folder}; look at {folder / 'heat.png'} first.\n"
        + (
            "A set-up left its limits: see FLAGGED above. Change its tube, count or valving, or the speed, and try again."
            if flagged
            else "Next: feel the tubes after ten minutes on the real track (infrared thermometer on paint), and compare."
        ),
        file=sys.stderr,
    )
    return 3 if flagged else 0


def stems_of(scenario: "Scenario") -> dict[str, str]:
    """Return file names for the histories of set-ups, without their ends."""
    from sim.cli.folders import distinct

    # The history of a set-up that is called `summary` would be written over by the file of figures.
    return distinct(scenario.setups, ("summary", "travel_counts"))


def fill_folder(
    scenario: "Scenario", made: "dict[str, Endured]", stems: dict[str, str], into: Path, command: str, plots: bool = True
) -> None:  # fmt: skip
    """Write figures, counts, record and pictures into a folder that already holds the histories."""
    from sim.show.plots import heat_history, heat_settled, travel_counts
    from sim.show.plots.save import saved
    from sim.show.plots.side_by_track import Side
    from sim.show.report import record
    from sim.show.report.endured import read_history, write_counts, write_figures
    from sim.show.report.write import MARKER

    # Figures before pictures: they are what a script waits for.
    write_figures(made, into / "summary.csv")
    write_counts(made, into / "travel_counts.csv")
    # Read back from the files, as they were not kept: what is drawn is what is written.
    side = Side(made, {name: read_history(into / f"{stems[name]}.csv") for name in made})
    if plots:
        saved(heat_history.figure(side), into / "heat")
        saved(heat_settled.figure(side), into / "settled")
        saved(travel_counts.figure(side), into / "travel")
    entries = record.origin(scenario, command) | {
        "flags": record.flags_by_setup(side),
        # Both balances of the whole track: hours would show a drift that a short run hides.
        "energy left open, share": {name: run.energy_open_share for name, run in made.items()},
        "heat left open, share": {name: run.heat_open_share for name, run in made.items()},
        "assumes": ASSUMES,
    }
    record.save(entries, into / MARKER)


def as_json(made: "dict[str, Endured]") -> dict[str, Any]:
    """Return figures in SI and flags by set-up."""
    from sim.study.endurance.measures import figures

    setups = {}
    for name, one in made.items():
        values = {figure.name: figure.of(one) for figure in figures(one)}
        setups[name] = {
            # JSON has no nan.
            "figures": {key: None if isnan(value) else value for key, value in values.items()},
            "flags": [{"kind": f.kind, "time_s": f.time_s, "part": f.part, "sentence": f.sentence} for f in one.flags],
        }
    return {"setups": setups}


@dataclass
class _Worker:
    """What a worker process was given at its start."""

    scenario: "Scenario"
    done: Any  # shared array: simulated seconds of each set-up; at last whether to stop


# Given once to each process at its start: a scenario with its roads is large, and every task would carry it.
_GIVEN: list[_Worker] = []


def _prepare(scenario: "Scenario", done: Any) -> None:
    _GIVEN[:] = [_Worker(scenario, done)]


def _one(number: int, name: str, path: Path) -> "Endured":
    from sim.show.report.endured import HistoryFile
    from sim.study.endurance.drive import endure
    from sim.study.endurance.history import Moment

    given = _GIVEN[0]
    vehicle = given.scenario.setups[name]
    # In the worker: rows need not travel between processes.
    file = HistoryFile(path, vehicle)

    def tell(moment: Moment) -> None:
        file.add(moment)
        given.done[number] = moment.time_s
        # Looked at between pieces of the track, as a process at work cannot be asked to stop otherwise.
        if given.done[-1]:
            raise RunError("stopped, as another set-up could not be run")

    try:
        return endure(vehicle, given.scenario.run, name, tell)  # type: ignore[arg-type]
    except RunError as error:
        raise RunError(f"set-up '{name}': {error}") from error
    finally:
        file.close()


def endured(scenario: "Scenario", paths: dict[str, Path], workers: int | None) -> "dict[str, Endured]":
    """Run the set-ups, each in a process of its own if there are several cores, and show how far they are.

    Set-ups whose process was killed are run again, with a process less each time, the last by this one.
    """
    import multiprocessing
    import os
    from concurrent.futures import ProcessPoolExecutor, wait
    from concurrent.futures.process import BrokenProcessPool

    from rich.console import Console
    from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn, TimeRemainingColumn

    from sim.cli.compiling import ready_for_a_run
    from sim.cli.notices import note

    ready_for_a_run()  # here, or each process would compile for itself
    # No more than set-ups: each drives its hours in one go, and cannot be divided.
    count = min(workers or os.cpu_count() or 1, len(paths))
    done = multiprocessing.Array("d", len(paths) + 1, lock=False)
    columns = (TextColumn("{task.description}"), BarColumn(), TaskProgressColumn(), TimeRemainingColumn())
    whole = scenario.run.seconds  # type: ignore[attr-defined]
    # On standard error: standard output may be JSON for a script.
    with Progress(*columns, console=Console(stderr=True), transient=True) as progress:
        tasks = [progress.add_task(name, total=whole) for name in paths]

        def show() -> None:
            for task, seconds in zip(tasks, done[:-1], strict=True):
                progress.update(task, completed=seconds)

        numbers = {name: number for number, name in enumerate(paths)}
        runs: dict[str, Endured] = {}
        # Those that ended stay; what is left is tried again with fewer at a time.
        while count > 1 and len(runs) < len(paths):
            left = {name: number for name, number in numbers.items() if name not in runs}
            with ProcessPoolExecutor(min(count, len(left)), initializer=_prepare, initargs=(scenario, done)) as pool:
                futures = {pool.submit(_one, number, name, paths[name]): name for name, number in left.items()}
                try:
                    waiting = set(futures)
                    while waiting:
                        finished, waiting = wait(waiting, timeout=0.2)
                        show()
                        for future in finished:
                            runs[futures[future]] = future.result()  # what went wrong is said at once
                # Every future that had not ended breaks with the one that was killed; which it was cannot be known.
                except BrokenProcessPool:
                    runs |= {name: future.result() for future, name in futures.items() if _is_whole(future)}
                    count -= 1  # what was killed wanted more memory than there is, most often
                    note(KILLED)
                except BaseException:
                    # The others would drive on for minutes, and this process waits for them before it ends.
                    done[-1] = 1.0
                    pool.shutdown(wait=False, cancel_futures=True)
                    raise
        # In this very process there is nobody else to move the bars.
        _prepare(scenario, _ShownSeconds(done, show))
        for name, number in numbers.items():
            if name not in runs:
                runs[name] = _one(number, name, paths[name])
        # In the scenario's order, not in that in which they ended: tables and colours go by it.
        return {name: runs[name] for name in paths}


def _is_whole(future: "Future[Endured]") -> bool:
    return future.done() and not future.cancelled() and future.exception() is None


class _ShownSeconds:
    """The shared array of a run in this very process: shown as it changes."""

    def __init__(self, done: Any, show: Any) -> None:
        self.done, self.show = done, show

    def __getitem__(self, number: int) -> float:
        return float(self.done[number])

    def __setitem__(self, number: int, seconds: float) -> None:
        self.done[number] = seconds
        self.show()
