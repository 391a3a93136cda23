"""Hours of track with several set-ups at once, each in a process of its own, and bars that show how far they are."""

from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn, TimeRemainingColumn

from sim.cli.progress import console, lines
from sim.describe.shown import as_now, show_parts
from sim.errors import RunError

if TYPE_CHECKING:
    from rich.console import RenderableType

    from sim.describe.files.scenario import Scenario
    from sim.describe.runs import Track
    from sim.machine.shared import Shared
    from sim.study.endurance.history import Endured, Moment


@dataclass(frozen=True)
class Hours:
    """What each process gets: the set-ups, where their histories go, and where it says how far it is.

    Attributes
    ----------
    scenario : Scenario
        Its run is a track.
    paths : dict of str to Path
        File of the history of each set-up.
    clock : Path
        Simulated seconds of each set-up, in the order of `paths`: doubles in a file that all processes have open.
    laps : Shared, optional
        Laps of road that one process rolls over for all.
    """

    scenario: "Scenario"
    paths: dict[str, Path]
    clock: Path
    laps: "Shared | None" = None

    def solved(self, part: str) -> "Endured":
        """Return a set-up's track, its history written while it is driven.

        Raises
        ------
        RunError
            With the name of the set-up, if it cannot be run.
        """
        from sim.show.report.endured import HistoryFile
        from sim.study.endurance.drive import endure

        vehicle = self.scenario.setups[part]
        # Written by the process that drives: rows need not travel between processes.
        file = HistoryFile(self.paths[part], vehicle)
        clock = np.memmap(self.clock, dtype=float, mode="r+")
        number = list(self.paths).index(part)

        def note(moment: "Moment") -> None:
            file.add(moment)
            clock[number] = moment.time_s

        try:
            return endure(vehicle, self.scenario.run, part, note, shared=self.laps)  # type: ignore[arg-type]
        except RunError as error:
            raise RunError(f"set-up '{part}': {error}") from error
        finally:
            file.close()


class Bars(Progress):
    """A bar for each set-up, as far as the clock says whenever the screen is drawn: nobody has to wait in order to move them."""

    def __init__(self, hours: Hours) -> None:
        columns = (TextColumn("{task.description}"), BarColumn(), TaskProgressColumn(), TimeRemainingColumn())
        self.clock = np.memmap(hours.clock, dtype=float, mode="r")
        # Before the bars are set up, which draws them once.
        self.run, self.line = hours.scenario.run, lines()
        # On standard error: standard output may be JSON for a script.
        super().__init__(*columns, console=console(), transient=True)
        for name in hours.paths:
            self.add_task(name, total=self.run.seconds)  # type: ignore[attr-defined]

    def get_renderables(self) -> "Iterator[RenderableType]":
        """Yield the bars."""
        # Rich also draws once while it is being set up, before there is a bar.
        for task, seconds in zip(self.task_ids, self.clock, strict=False):
            self.update(task, completed=float(seconds))
        # Rich asks for them without a terminal too, and draws nothing then.
        self.line(far(self.run, [float(seconds) for seconds in self.clock]))  # type: ignore[arg-type]
        yield from super().get_renderables()


def far(run: "Track", seconds: list[float]) -> str:
    """Return how far set-ups have come, all of them together: `48 of 160 km (30 of 99 mi) of track are driven`.

    Parameters
    ----------
    run : Track
    seconds : list of float
        Simulated time of each set-up [s].
    """
    done, whole = sum(map(run.metres_at, seconds), 0.0), run.metres * len(seconds)
    # A track of a kilometre or two would read as nothing of one until it is through.
    decimals = 0 if whole >= SHORT_TRACK_M else 1
    said = [
        f"{one:.{decimals}f} of {all_of:.{decimals}f} {unit}"
        for (one, unit), (all_of, _) in zip(show_parts(done, "travelled"), show_parts(whole, "travelled"), strict=True)
    ]
    return f"{said[0]}{f' ({said[1]})' if len(said) > 1 else ''} of track are driven, {len(seconds)} set-ups together"


SHORT_TRACK_M = 20e3
"""A shorter track is said to a tenth [m]."""


def endured(
    scenario: "Scenario", paths: dict[str, Path], workers: int | None, notes: "Callable[[str], Path]"
) -> "dict[str, Endured]":
    """Run the set-ups of a scenario through its track, and write their histories.

    Set-ups that a stopped command has noted as through are not driven again.

    Parameters
    ----------
    scenario : Scenario
    paths : dict of str to Path
        File of the history of each set-up.
    workers : int, optional
        Processes; all cores by default.
    notes : callable
        Names the file for what is through, by the key of what is asked. It is left there.

    Raises
    ------
    RunError
        If one of them cannot be run.
    OutputError
        If another command is at the very same track with these notes.
    """
    from sim.cli.compiling import ready_for_a_run
    from sim.cli.notices import note
    from sim.machine.scratch import scratch
    from sim.machine.shared import Shared
    from sim.machine.spread import Spread
    from sim.study.endurance.noted import entry, key_of, known
    from sim.study.notes import Notes

    ready_for_a_run()  # here, or each process would compile for itself
    key = key_of(scenario)
    file = notes(key)
    runs: dict[str, Endured] = {}
    with scratch() as folder, Notes(file, key) as noted:
        for name, (run, history) in known(noted.entries, scenario).items():
            runs[name] = run
            paths[name].write_text(history, encoding="utf-8", newline="\n")
        left = [name for name in paths if name not in runs]
        # In full: processes are kept, and may have been begun in another folder.
        hours = Hours(
            scenario, {name: path.absolute() for name, path in paths.items()}, folder / "clock", Shared(folder) if len(left) > 1 else None
        )  # fmt: skip
        np.array([scenario.run.seconds if name in runs else 0.0 for name in paths]).tofile(hours.clock)  # type: ignore[attr-defined]
        try:
            # This process only waits: a set-up drives its hours in one go, and one that has ended should not have to wait for it.
            with Bars(hours), Spread(hours, workers, along=False, note=note, within=as_now()) as spread:
                for number, run in spread.each(left):
                    name = left[number]
                    runs[name] = run
                    noted.add(entry(name, run, paths[name].read_text(encoding="utf-8")))
                    noted.flush()
        finally:
            if not runs:
                # Nothing in it that anyone could go on from. Windows keeps a file that is open.
                with suppress(OSError):
                    file.unlink()
    # In the scenario's order, not in that in which they ended: tables and colours go by it.
    return {name: runs[name] for name in paths}
