"""`jounce sweep SCENARIO --vary PATH FROM TO POINTS`: one or two inputs through their range, all set-ups at every point."""

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli import answer
from sim.cli.flagging import say_flag
from sim.cli.progress import closing, lines, working
from sim.cli.progress import console as progress_console
from sim.cli.units import told_in_both
from sim.cli.workers import add_workers
from sim.describe.shown import System
from sim.errors import InputError

if TYPE_CHECKING:
    from sim.cli.folders import Results
    from sim.describe.files.scenario import Scenario
    from sim.study.sweep.axes import Axis
    from sim.study.sweep.doubted import Told
    from sim.study.sweep.ends import Ends
    from sim.study.sweep.sweep import Swept

# As many as one page shows large enough to read.
MOST_MEASURES = 4


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    parser.add_argument("scenario", type=Path, help="scenario file")
    parser.add_argument(
        # Four words, not one with signs between: paths have points in them, and values blanks before their unit.
        "--vary", nargs=4, action="append", metavar=("PATH", "FROM", "TO", "POINTS"),
        help="an input as in a set-up, or of the run, and its range: run.speed '10 km/h' '60 km/h' 26; give --vary twice for a map; "
        "several paths with commas between move together (default: what the scenario's `sweep` asks for)",
    )  # fmt: skip
    parser.add_argument(
        "--measure",
        action="append",
        metavar="NAME",
        help="a measure by its name in --json (default: the scenario's, else ride, tyres, travel)",
    )
    parser.add_argument("--setup", action="append", help="only this set-up (may be given again; default: all)")
    add_workers(parser)
    parser.add_argument(
        "--cluster", metavar="ADDRESS", help="a Dask scheduler whose workers do the runs: tcp://host:8786"
    )
    steps = parser.add_mutually_exclusive_group()
    steps.add_argument(
        "--coarse", action="store_const", const=True, default=None, dest="coarse",
        help="the longest step that set-ups bear: nearly half the time, errors of some 1e-4 (default: from 400 points on, where some "
        "points run at both steps say that it suits)",
    )  # fmt: skip
    steps.add_argument(
        "--fine", action="store_const", const=False, dest="coarse", help="half of that step, whatever it gains"
    )
    parser.add_argument(
        "--precision", choices=("single", "double"), default="single",
        help="of the numbers in the sweep: single (default) takes half the time and is off by some 1e-5; best and worst are run "
        "again in double either way",
    )  # fmt: skip
    parser.add_argument("--no-doubt", action="store_true", help="take every number at its central value: no bands")
    parser.add_argument("--outputs", type=Path, default=Path("outputs"), help="folder for results (default: outputs)")


def run(options: argparse.Namespace) -> int:
    """Sweep, show the best and the worst, write plot, CSV and record."""
    from sim.cli.compiling import is_driven, ready_for_a_run
    from sim.cli.folders import place, slug
    from sim.cli.notices import caution, note, notices
    from sim.describe.files.scenario import load_scenario
    from sim.describe.old_words import new_measure, new_path
    from sim.study.notes import let_go, name_of
    from sim.study.sweep.ends import WATCHED, best_place, confirmed, rear_hits

    scenario = load_scenario(options.scenario)
    notices(scenario)
    options.vary = [[_new_word("--vary", path, new_path), *ends] for path, *ends in options.vary or ()]
    options.measure = [_new_word("--measure", name, new_measure) for name in options.measure or ()]
    scenario = _with_setups(scenario, options.setup)
    axes = _axes(scenario, options.vary)
    # Its measures hold with --vary too: they say what the scenario is about, whatever is moved.
    asked = scenario.sweep.measures if scenario.sweep else ()
    # Another input is another question: its results stand beside these, and do not replace them.
    after = "_".join(["", "by", *(slug(a.called or a.path.rpartition(".")[2]) for a in axes)])
    results = place(options.outputs, options.scenario, after, *(a.path for a in axes))
    notes: list[Path] = []

    def noted(key: str) -> Path:
        notes.append(options.outputs / name_of(results.folder.name, key, "points"))
        return notes[-1]

    # For the one run that finds the measures; blocks are compiled once it is known that they are needed.
    ready_for_a_run(driven=is_driven(scenario.run))
    wanted = options.measure or list(asked)
    measures = _measures(scenario, axes, wanted)
    watched = [WATCHED] if not wanted and scenario.run.held_speed is not None else []
    swept = _swept(scenario, axes, measures, watched, options, noted)
    # The best and the worst once more in double precision, by which the error of the whole sweep is known.
    swept, ends = confirmed(scenario, swept, measures, best_place)
    told, said = ([], []) if options.no_doubt else _doubts(scenario, swept, measures, options)
    found = _found(swept, measures, told)
    _written(swept, ends, measures, results, scenario, _command(options, measures), told, said)
    # Only now: killed while writing, the command would still find every point again.
    for file in notes:
        let_go(file)
    from sim.cli.swept_table import printed

    printed(swept, ends, measures, found)
    for text in said:
        print(text)
    for text in rear_hits(swept, measures):
        note(f"NOTICE: {text}")
    flagged = _printed_flags(swept)
    if answer.wanted():
        answer.wrote(results.folder)
        from sim.cli.answers.sweep import parts

        answer.add(**parts(scenario, swept, ends, measures, [found, *said]))
    caution(scenario.run.caution)
    _said(swept, results.folder, flagged)
    return 3 if flagged else 0


def _with_setups(scenario: "Scenario", names: list[str] | None) -> "Scenario":
    """Return the scenario with these set-ups only, if some are named."""
    from dataclasses import replace

    unknown = [name for name in names or () if name not in scenario.setups]
    if unknown:
        raise InputError(f"there is no set-up '{unknown[0]}'; there is: {', '.join(scenario.setups)}")
    return replace(scenario, setups={name: scenario.setups[name] for name in names}) if names else scenario


def _new_word(option: str, word: str, new_of: "Callable[[str], str]") -> str:
    """Return a word that was typed, or the one that it has now, and say that one."""
    from sim.cli.notices import note
    from sim.describe.old_words import said

    new = new_of(word)
    if new != word:
        note(f"NOTICE: {option}: {said(word, new)}")
    return new


def _axes(scenario: "Scenario", vary: list[list[str]] | None) -> "list[Axis]":
    """Return the inputs that are moved: those typed, which take the place of all of the file's `sweep`, or else the file's."""
    from sim.study.sweep.axes import asked_axes, axis, check_asked, check_paths

    # A map has two axes; a third input would need a picture for each of its values.
    if vary and len(vary) > 2:
        raise InputError("at most two inputs can be varied at once: give --vary once or twice")
    axes = [axis(*words) for words in vary] if vary else asked_axes(scenario)
    # A path that leads nowhere is said before anything is swept, at its line where the file asks for it.
    if vary:
        check_paths(scenario, axes)
    else:
        check_asked(scenario)
    if not axes:
        raise InputError(
            "what is to be moved? Give e.g. --vary run.speed '10 km/h' '60 km/h' 26, or write a `sweep` into the scenario"
        )
    return list(axes)


def _said(swept: "Swept", folder: Path, flagged: bool) -> None:
    """Say beside the table which points have no value, the cautions, and what to look at."""
    from sim.cli.notices import caution
    from sim.study.sweep.axes import caveats

    # A corner of a map that cannot stand has hundreds; all of them are in the record.
    for text in swept.failed[:5]:
        print(f"no value: {text}", file=sys.stderr)
    for text in caveats(swept.axes):
        caution(text)
    closing(
        f"\nWrote {len(list(folder.iterdir()))} files to {folder}; look at {folder / 'swept.png'} first.\n"
        + (
            "Points were flagged: see FLAGGED above. Take a best that is not, or mend what is at fault and sweep again."
            if flagged
            else "Next: put the best value into a set-up, then compare."
        )
    )


def _doubts(
    scenario: "Scenario", swept: "Swept", measures: list[Any], options: argparse.Namespace
) -> "tuple[list[Told], list[str]]":
    """Return the band of each best against the truck as it is and the next best set-up, and in sentences; none without doubt."""
    from sim.describe.doubtful import any_in_doubt

    if not any_in_doubt(scenario.setups.values(), scenario.run):
        return [], []
    # Draws need a library that takes a while to load; a file without doubt does without.

    from sim.cli.compiling import ready_for_a_run
    from sim.show.report.doubt import between
    from sim.study.many import goes_in_blocks
    from sim.study.sweep.doubted import NOW, doubts
    from sim.study.sweep.ends import where

    # In single precision, whatever the sweep was in: a band is not known to its last digits.
    ready_for_a_run(blocks="single" if goes_in_blocks(scenario.run) else None)
    with working("Drawing the numbers in doubt"):
        unknowns, told = doubts(scenario, swept, measures, options.workers)
    said = []
    for one in told:
        other = f"'{one.setup}' {NOW}" if one.against == NOW else f"'{one.against}' at its best"
        said.append(
            f"in doubt: {one.measure.label}, best '{one.setup}' at {where(swept, one.place)} against {other}: {between(one.band, one.measure)}"
        )
    return told, [*said, f"Bands hold 95 times in 100, of {len(unknowns)} numbers in doubt."] if said else []


def _printed_flags(swept: "Swept") -> bool:
    """Tell every fault of every set-up once; return whether there was one."""
    from sim.study.sweep.ends import flagged_lines

    lines = flagged_lines(swept)
    for text in lines:
        say_flag(text)
    return bool(lines)


def _command(options: argparse.Namespace, measures: list[Any]) -> str:
    """Return the command as a person would write it to have the same again."""
    return " ".join(
        [
            f"jounce sweep {options.scenario.name}",
            *(f"--vary '{a[0]}' '{a[1]}' '{a[2]}' {a[3]}" for a in options.vary or ()),
            *(f"--setup '{setup}'" for setup in options.setup or ()),
            # Those that were taken by default too: a default may change, what the record repeats may not.
            *(f"--measure '{m.name}'" for m in measures),
            *([] if options.coarse is None else ["--coarse"] if options.coarse else ["--fine"]),
            *([f"--precision {options.precision}"] if options.precision != "single" else []),
        ]
    )


def _measures(scenario: "Scenario", axes: "list[Axis]", names: list[str] | None) -> list[Any]:
    """Return the measures asked for, found by one run at the first point that can be run."""
    from sim.describe.files.messages import nearest
    from sim.errors import RunError
    from sim.integrate.simulation import simulate
    from sim.measure import measures_for

    known: dict[str, Any] = {}
    refusal: RunError | None = None
    for vehicle in scenario.setups.values():
        # Of every set-up: one may have a damper set, and so measures, that the others have not.
        try:
            known |= {m.name: m for m in measures_for(simulate(vehicle, scenario.run))}
        # One that cannot stand has a flag at each of its points; the others are swept all the same.
        except RunError as error:
            refusal = refusal or error
    if not known and refusal is not None:
        raise refusal
    if names:
        for name in names:
            if name not in known:
                hint = nearest(name, list(known))
                raise InputError(f"there is no measure '{name}'" + (f"; nearest is '{hint}'" if hint else ""))
        return [known[name] for name in names]
    first: dict[int, Any] = {}
    for measure in known.values():
        if measure.shown.sweep is not None:
            # One of each place: of several points of the body, say, only the first that the file names.
            first.setdefault(measure.shown.sweep, measure)
    # Something is always drawn, even of a run that has none of the usual measures.
    return [first[place] for place in sorted(first)][:MOST_MEASURES] or list(known.values())[:1]


def _swept(
    scenario: "Scenario",
    axes: "list[Axis]",
    measures: list[Any],
    beside: list[str],
    options: argparse.Namespace,
    notes: Callable[[str], Path],
) -> "Swept":
    from sim.cli.compiling import ready_for_a_run
    from sim.cli.notices import cluster_ready
    from sim.errors import OutputError
    from sim.study.many import goes_in_blocks
    from sim.study.sweep.sweep import sweep

    ready_for_a_run(blocks=options.precision if goes_in_blocks(scenario.run, measures) else None)
    # Before the bar begins: waiting for a worker has words of its own on the same line.
    cluster_ready(options.cluster)
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("Sweeping"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    line = lines()
    with Progress(*columns, console=progress_console(), transient=True) as progress:
        task = progress.add_task("sweep", total=None)

        def tell(done: int, of: int) -> None:
            progress.update(task, completed=done, total=of)
            line(f"Sweeping: {done} of {of} points")

        try:
            return sweep(
                scenario, axes, [*(m.name for m in measures), *beside], notes, options.workers,
                tell, options.cluster, options.coarse,
                options.precision,
            )  # fmt: skip
        # The runs themselves touch no files: it is the notes that cannot be written.
        except OSError as error:
            raise OutputError(f"{options.outputs}: points cannot be noted: {error.strerror or error}") from None
        # `sim.cli` says only that it was stopped; that nothing is lost is known here.
        except KeyboardInterrupt:
            print("\nStopped. What is finished is kept: the same command goes on from there.", file=sys.stderr)
            raise


def _written(
    swept: "Swept", ends: "Ends", measures: list[Any], results: "Results", scenario: "Scenario", command: str,
    told: "list[Told]", doubt: list[str],
) -> None:  # fmt: skip
    from sim.show.report import record
    from sim.show.report.swept_csv import tabulated
    from sim.show.report.write import MARKER, written
    from sim.study.sweep.axes import caveats
    from sim.study.sweep.ends import flagged_lines, recorded, step_in_words

    def fill(into: Path) -> None:
        with (into / "swept.csv").open("w", encoding="utf-8", newline="") as file:
            tabulated(swept, measures, file)
        # With the cautions of these inputs: a record is read long after the screen is gone.
        assumes = " ".join([record.ASSUMES, *caveats(swept.axes)])
        entries = record.origin(scenario, command) | {
            **({"step": said} if (said := step_in_words(swept, measures)) else {}),
            "best and worst": recorded(ends), "no value": list(swept.failed), "flags": flagged_lines(swept), "doubt": doubt,
            "assumes": assumes,
        }  # fmt: skip
        record.save(entries, into / MARKER)
        _drawn(swept, measures, told, into / "swept")
        _reported(swept, measures, scenario, into, doubt)

    written(results.folder, fill, results.of)


@told_in_both
def _reported(
    units: System, swept: "Swept", measures: list[Any], scenario: "Scenario", into: Path, doubt: list[str]
) -> None:
    from sim.show.pages.report.told import Told, write
    from sim.study.sweep.axes import caveats
    from sim.study.sweep.ends import best_and_worst, flagged_lines, rear_hits

    rows = [["measure", "set-up", "best", "worst", "flagged"]]
    for measure in measures:
        rows += [[measure.label, *row] for row in best_and_worst(swept, measure)]
    words = {
        "Too close to call, and what to measure next": doubt,
        "No value": swept.failed[:5],
        "Mind": [*caveats(swept.axes), *(text[0].upper() + text[1:] for text in rear_hits(swept, measures))],
    }
    question = scenario.question or scenario.name
    told = Told(
        question, (scenario.name, scenario.run.words), (), {"Best and worst": rows}, words, ("swept",), scenario.setups,
        scenario.run.caution, flagged_lines(swept),
    )  # fmt: skip
    write(into, told, units)


def _drawn(swept: "Swept", measures: list[Any], told: "list[Told]", stem: Path) -> None:
    from sim.show.plots.save import png, svg
    from sim.show.plots.swept import figure

    picture = figure(swept, measures, told)
    svg(picture, stem)
    png(picture, stem)


def _found(swept: "Swept", measures: list[Any], told: "list[Told]") -> str:
    """Return what the sweep comes to, a sentence: that of its picture."""
    from sim.show.plots.swept_title import bottoms, title

    return f"{bottoms(swept) or title(swept, measures, told)}."
