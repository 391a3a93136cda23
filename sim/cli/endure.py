"""`jounce endure SCENARIO`: every set-up through a track of hours, with the heat of its dampers."""

import argparse
import sys
from math import isnan
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli import answer
from sim.cli.progress import closing
from sim.cli.units import told_in_both
from sim.cli.workers import add_workers
from sim.describe.shown import System
from sim.errors import InputError

if TYPE_CHECKING:
    from sim.describe.files.scenario import Scenario
    from sim.study.endurance.history import Endured

# Words of its own, not `record.ASSUMES`: heat has assumptions that no short run has.
ASSUMES = (
    "Half-car at a held speed. Each damper's heat in two parts, oil and metal; air at a share of the road speed, film coefficients "
    "of a bare cylinder; no mud, no spray, no sun, no exhaust beside it. Tyres, springs and gas pressure as when cold. It "
    "compares set-ups and approves nothing."
)


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    parser.add_argument("scenario", type=Path, help="scenario file whose run is a track")
    parser.add_argument("--setup", action="append", help="only this set-up (may be given again; default: all)")
    parser.add_argument("--all", action="store_true", help="show every figure, not only those that decide most")
    add_workers(parser, ", each with one set-up")
    parser.add_argument("--outputs", type=Path, default=Path("outputs"), help="folder for results (default: outputs)")


def run(options: argparse.Namespace) -> int:
    """Run, write histories as they come, then figures and plots; show the table."""
    from dataclasses import replace

    from sim.cli.folders import place
    from sim.cli.hours import endured
    from sim.cli.notices import caution, notices
    from sim.describe.files.messages import nearest
    from sim.describe.files.scenario import load_scenario
    from sim.show.plots import heat_history, heat_settled
    from sim.show.plots.side_by_track import GIVE_A_TUBE, NO_TUBE, Side
    from sim.show.report.endured import BURNS, behind, printed
    from sim.show.report.estimated import at_central_values
    from sim.show.report.write import written
    from sim.study.notes import let_go, name_of

    scenario = load_scenario(options.scenario)
    notices(scenario)
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
    notes: list[Path] = []

    def noted(key: str) -> Path:
        notes.append(options.outputs / name_of(folder.name, key, "through"))
        return notes[-1]

    def fill(into: Path) -> None:
        # Histories go straight into the folder that is being built: hours of rows never stand in memory.
        paths = {name: into / f"{stem}.csv" for name, stem in stems.items()}
        runs.update(endured(scenario, paths, options.workers, noted))
        fill_folder(scenario, runs, stems, into, f"jounce endure {options.scenario.name}")

    written(folder, fill, results.of)
    # Only now: killed while writing, the command would still find every set-up that is through.
    for file in notes:
        let_go(file)
    if answer.wanted():
        answer.wrote(folder)
        answer.add(name=scenario.name, question=scenario.question, setups=as_json(runs))
    # After the files: hours of runs are safe whatever becomes of the terminal.
    side = Side(runs, {})
    # How hot, and whether that is too hot: a question may be of either. Without a tube both say the same.
    first = list(dict.fromkeys(page.title(side) for page in (heat_history, heat_settled)))
    # What was asked is mostly whether it fades, of which a temperature alone says nothing.
    first += [text] if (text := heat_history.fade(side)) else []
    first += [text] if (text := behind(runs)) else []
    first = [f"{one}; {GIVE_A_TUBE}" if one == NO_TUBE else one for one in first]
    answer.add(verdict=first)
    printed(scenario.name, scenario.question, ". ".join(first), runs, sys.stdout, options.all)
    if guessed := at_central_values(scenario.setups.values(), scenario.run):
        print(guessed)
    flagged = any(one.flags for one in runs.values())
    caution(BURNS)
    closing(
        f"\nWrote {len(list(folder.iterdir()))} files to {folder}; look at {folder / 'heat.png'} first.\n"
        + (
            "A set-up left its limits: see FLAGGED above. Change its tube, count or valving, or the speed, and try again."
            if flagged
            # On paint: bare metal shines, and such a thermometer reads it far too cold.
            else "Next: read the tubes' temperature after ten minutes on the real track (infrared thermometer on paint), and compare."
        )
    )
    return 3 if flagged else 0


def stems_of(scenario: "Scenario") -> dict[str, str]:
    """Return file names for the histories of set-ups, without their ends."""
    from sim.cli.folders import distinct

    # The history of a set-up that is called `summary` would be written over by the file of figures.
    return distinct(scenario.setups, ("summary", "travel_counts", "level_crossings"))


def fill_folder(
    scenario: "Scenario", made: "dict[str, Endured]", stems: dict[str, str], into: Path, command: str, plots: bool = True
) -> None:  # fmt: skip
    """Write figures, counts, record and pictures into a folder that already holds the histories."""
    from sim.show.plots import heat_history, heat_settled, travel_counts
    from sim.show.plots.save import saved
    from sim.show.plots.side_by_track import Side
    from sim.show.report import record
    from sim.show.report.endured import read_history, write_counts, write_crossings, write_figures
    from sim.show.report.write import MARKER

    # Figures before pictures: they are what a script waits for.
    write_figures(made, into / "summary.csv")
    write_counts(made, into / "travel_counts.csv")
    write_crossings(made, into / "level_crossings.csv")
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
    _reported(scenario, made, into)


@told_in_both
def _reported(units: System, scenario: "Scenario", made: "dict[str, Endured]", into: Path) -> None:
    from sim.describe.shown import show_numbers, unit_names
    from sim.integrate.status import in_words
    from sim.show.pages.report.told import Told, write
    from sim.show.plots import heat_history
    from sim.show.plots.side_by_track import Side
    from sim.show.report.endured import BURNS, behind, chosen

    rows = [["", *made]]
    # As on the screen without --all; summary.csv beside the page has every figure.
    for figure in chosen(made, False):
        values = [figure.of(one) for one in made.values()]
        cells = ["–" if isnan(value) else show_numbers(value, figure.quantity) for value in values]
        rows.append([f"{figure.label} {unit_names(figure.quantity)}", *cells])
    flags = [f"{name}: {flag.sentence}" for name, one in made.items() for flag in one.flags]
    said = [f"“{name}”: {in_words(one.flags)}" for name, one in made.items() if one.flags]
    told = Told(
        scenario.question or scenario.name, (scenario.name, scenario.run.words), [f"{text}." for text in (heat_history.fade(Side(made, {})), behind(made)) if text], {"Figures": rows}, {"Left its limits": said},
        ("heat", "settled", "travel"), scenario.setups, BURNS, flags,
    )  # fmt: skip
    write(into, told, units)


def as_json(made: "dict[str, Endured]") -> dict[str, Any]:
    """Return figures in SI and flags, by set-up."""
    from sim.study.endurance.measures import figures

    return {
        name: {
            "measures": {figure.name: answer.number(figure.of(one), figure.quantity) for figure in figures(one)},
            "flags": [answer.flag_of(name, flag) for flag in one.flags],
        }
        for name, one in made.items()
    }
