"""What `simulate` and `compare` share: run, tell, write, and name what comes next."""

import argparse
import json
import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from shutil import which
from typing import TYPE_CHECKING, Any

from sim.cli import answer
from sim.cli.folders import Results, distinct, place, slug
from sim.cli.notices import caution, note, notices, of_springs
from sim.cli.progress import closing, working
from sim.cli.units import told_in_both
from sim.describe.files.standard_input import is_given
from sim.describe.shown import System
from sim.errors import InputError, OutputError
from sim.measure.comparison import Comparison

if TYPE_CHECKING:
    from sim.machine.ahead import Put
    from sim.study.doubt.study import Doubted


REPORT = "report.html"
"""The page to hand over, in every folder of results."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of both commands."""
    parser.add_argument("scenario", type=Path, help="scenario file")
    parser.add_argument("--outputs", type=Path, default=Path("outputs"), help="folder for results (default: outputs)")
    parser.add_argument("--all", action="store_true", help="show every measure, not only those that decide most")
    parser.add_argument(
        "--no-plots", action="store_true", help="without pictures: CSV, the record and a report of words and numbers"
    )
    parser.add_argument(
        "--no-doubt", action="store_true", help="take every number at its central value: no bands, a little sooner"
    )
    parser.add_argument(
        "--gif", action="store_true", help="also the trucks in motion as moving.gif, to send in a message"
    )
    parser.add_argument("--movie", action="store_true", help="also the whole run as moving.mp4; needs ffmpeg")


def run(options: argparse.Namespace, only: str | None) -> int:
    """Run a scenario, or one set-up of it, show the table and write everything."""
    from sim.cli.compiling import is_driven, ready_for_a_run
    from sim.cli.setups import notices_of_measured
    from sim.cli.side_by_side import histories_ahead, loaded, ran
    from sim.describe.files.scenario import load_scenario

    films = _films(options)
    scenario = load_scenario(options.scenario)
    notices(scenario)
    # How machines' files were understood comes before the runs: a wrong sign there makes all of them wrong.
    for text in notices_of_measured(scenario.setups.values()):
        note(text)
    # One set-up alone has a folder of its own: it must not replace the comparison of all.
    results = place(options.outputs, options.scenario, f"-{slug(only)}" if only is not None else "", only or "")
    command = f"jounce {options.command} {options.scenario.name}" + (f" --setup '{only}'" if only is not None else "")
    load = partial(loaded, draws=not options.no_plots)
    ready_for_a_run(load, driven=is_driven(scenario.run))
    runs, packed = ran(scenario, only, load)
    from sim.study.compare import measured

    # Measured and said here while a copy writes the time histories, which hang on neither.
    with histories_ahead(runs) as put:
        comparison = measured(scenario, runs)
        doubted = None if options.no_doubt else doubt_of(comparison, scenario, options.all)
        comparison = with_doubt(comparison, doubted)
        # The answer before the pictures, which take longer than all else; not with --json, where nobody sees it.
        unsaid = None if answer.wanted() else _shown(comparison, scenario, doubted, options)
        folder = written(comparison, results, command, not options.no_plots, doubted, films, packed, put)
    if unsaid is not None:
        raise unsaid
    if answer.wanted():
        answer.wrote(folder)
        answer.add(**as_json(comparison, doubted))
    of_springs({name: scenario.setups[name] for name in comparison.runs})
    flagged = any(run.flags for run in comparison.runs.values())
    caution(scenario.run.caution)
    unsound = any(not flag.is_event for run in comparison.runs.values() for flag in run.flags)
    _next(options, scenario, folder, flagged, unsound)
    return 3 if flagged else 0


def _shown(
    comparison: Comparison, scenario: Any, doubted: "Doubted | None", options: argparse.Namespace
) -> OutputError | None:
    """Print the answer, its table and what numbers in doubt leave open; return why that cannot be, to be said when all is written."""
    from sim.show.report.table import printed

    try:
        printed(comparison, sys.stdout, options.all)
        if doubted is not None:
            from sim.show.report.doubt import printed as doubt_printed

            doubt_printed(comparison, doubted, sys.stdout, options.all)
        # Without bands a verdict looks surer than it is where numbers are estimates.
        elif options.no_doubt:
            from sim.show.report.estimated import switched_off

            if off := switched_off((scenario.setups[name] for name in comparison.runs), scenario.run):
                print(f"\n{off}")
        sys.stdout.flush()  # a pipe or a file has it now too
    except OutputError as error:
        return error
    return None


def _films(options: argparse.Namespace) -> list[str]:
    """Return the names of the moving pictures that are wanted.

    Raises
    ------
    InputError
        If the system has no program that makes films: said before anything is run.
    """
    if options.movie and which("ffmpeg") is None:
        raise InputError(
            "--movie: films are made by the program ffmpeg, and there is none on this system. Install it as the system installs "
            "programs, or ask for --gif."
        )
    return [f"moving.{end}" for end, wanted in (("gif", options.gif), ("mp4", options.movie)) if wanted]


def doubt_of(
    comparison: Comparison, scenario: Any, everything: bool = False, also: Iterable[str] = ()
) -> "Doubted | None":
    """Return what the numbers in doubt leave open, of the measures that are shown or named, or of all; None if there is nothing to say."""
    from sim.describe.doubtful import any_in_doubt, assumed
    from sim.measure.references import reference_of, references_of

    setups = {name: scenario.setups[name] for name in comparison.runs}
    if not any_in_doubt(setups.values(), scenario.run):
        nothing = {one.path: one for vehicle in setups.values() for one in assumed(vehicle)}
        if not nothing:
            return None
        # Without draws, so that nothing more is loaded: only what nobody gave is said.
        from sim.study.doubt.study import Doubted

        return Doubted((), tuple(nothing.values()), reference_of(comparison), 0)
    from sim.cli.compiling import ready_for_a_run
    from sim.show.report.doubt import banded
    from sim.study.doubt.study import doubted
    from sim.study.many import goes_in_blocks

    measures = banded(comparison, scenario.run, everything, also)
    ready_for_a_run(blocks="single" if goes_in_blocks(scenario.run, measures) else None)

    with working("Drawing the numbers in doubt") as status:
        return doubted(
            setups, scenario.run, [one.name for one in measures], reference_of(comparison),
            tell=lambda done, of: status(f"Drawing the numbers in doubt: {done} of {of}"),
            judged_by=references_of(comparison), band=comparison.runs[reference_of(comparison)].rests_within,
        )  # fmt: skip


def with_doubt(comparison: Comparison, doubted: "Doubted | None") -> Comparison:
    """Return a comparison that knows the bands of its differences: its verdict weighs them."""
    return comparison if doubted is None else replace(comparison, doubt=doubted.differences)


def written(
    comparison: Comparison, results: Results, command: str, plots: bool, doubted: "Doubted | None" = None,
    films: Sequence[str] = (), packed: Callable[[], str | None] | None = None, put_history: "Put | None" = None,
) -> Path:  # fmt: skip
    """Write a comparison into a folder: time histories, measures, record, report, and plots and films if wanted.

    What the page runs again by itself is packed here, or comes from whoever has packed it meanwhile (`packed`); so do time histories
    (`put_history`, by the number of the set-up).
    """
    from sim.show.report import placed, record, series_csv, summary_csv, verdict_csv
    from sim.show.report.write import MARKER
    from sim.show.report.write import written as swapped_in

    def histories(into: Path) -> list[Callable[[], object]]:
        # A set-up may be called `summary` or `verdict`; those files are the tables'.
        stems = distinct(comparison.runs, ("summary", "verdict", "doubt", "influence", "usual", "report"))
        paths = {setup: into / f"{stems[setup]}.csv" for setup in comparison.runs}
        if put_history is not None:
            return [partial(put_history, number, path) for number, path in enumerate(paths.values())]
        return [partial(series_csv.write, comparison.runs[setup], path) for setup, path in paths.items()]

    def drawn(into: Path, name: str) -> None:
        from sim.show.plots.save import pictures

        pictures(comparison, into, [name])

    def numbers(into: Path) -> None:
        summary_csv.write(comparison, into / "summary.csv")
        if comparison.placed:
            placed.write(comparison.placed, into / "usual.csv")
        # One alone is judged against nothing.
        if len(comparison.runs) > 1:
            verdict_csv.write(comparison, into / "verdict.csv")
        if doubted is None:
            record.write(comparison, into / MARKER, command)
            return
        from sim.show.report import doubt

        # Empty where nothing is in doubt but what nobody gave: that has no bands.
        if doubted.unknowns:
            doubt.write(comparison, doubted, into / "doubt.csv")
            if doubted.influence:
                doubt.write_influence(comparison, doubted, into / "influence.csv")
        record.save(
            record.record(comparison, command) | {"doubt": doubt.recorded(doubted, doubt.deciding(comparison))},
            into / MARKER,
        )

    def fill(into: Path) -> None:
        from sim.machine.copies import shared_out
        from sim.show.asked_plots import asked

        names = asked(comparison) if plots else []
        # Pictures from the first on in a copy, histories here; the copy first: no process is copied while the thread of the
        # spinner runs.
        pieces: list[Callable[[], object]] = [*(partial(drawn, into, name) for name in names), *histories(into)]
        with shared_out(pieces) as own_share, working("Drawing and writing" if plots else "Writing"):
            numbers(into)
            put = _page(comparison, command, into, doubted, packed)
            own_share()
        # Only now that all pictures are drawn.
        with working("Writing the report"):
            put([into / f"{name}.svg" for name in names])

    def filled(into: Path) -> None:
        fill(into)
        if films:
            # On request alone: films load a part of the plotting library that nothing else needs.
            from sim.show.plots import moving

            with working("Drawing the trucks in motion"):
                for name in films:
                    moving.written(comparison, into / name)

    return swapped_in(results.folder, filled, results.of)


@told_in_both
def _page(
    units: System,
    comparison: Comparison,
    command: str,
    into: Path,
    doubted: "Doubted | None",
    packed: Callable[[], str | None] | None,
) -> Callable[[Sequence[Path]], None]:
    """Lay out the page to hand over, from what lies in the folder by now; return what writes it, given its pictures."""
    from sim.show.pages.report import compared, render
    from sim.show.report.write import MARKER

    doubt = None
    if doubted is not None:
        from sim.show.pages.report.doubt import doubt as doubt_in_words

        doubt = doubt_in_words(comparison, doubted)
    # From the file itself: the page quotes what lies beside it.
    record = json.loads((into / MARKER).read_text(encoding="utf-8"))
    with_pictures = compared.report(comparison, command, record, doubt, packed)
    render.read_templates()

    @told_in_both
    def put(_: System, drawn: Sequence[Path]) -> None:
        render.write(replace(with_pictures(drawn), units=units), into / REPORT)

    return put


def _next(options: argparse.Namespace, scenario: Any, folder: Path, flagged: bool, unsound: bool) -> None:
    count = len(list(folder.iterdir()))
    # The overview first, where it was drawn: a scenario may ask for other plots only.
    plot = next(iter(sorted(folder.glob("verdict.png"))), None) or next(iter(sorted(folder.glob("*.png"))), None)
    closing(f"\nWrote {count} files to {folder}" + (f"; look at {plot} first." if plot else "."))
    closing(f"To hand over, print or send: {folder / REPORT} (one file, opens in any browser).")
    if flagged:
        what = "left what the model is valid for" if unsound else "did what breaks parts"
        closing(f"A run {what}: see FLAGGED above, and in the plots. Change that set-up, then compare again.")
    else:
        # There is no file to name: what was piped in is gone.
        if is_given(options.scenario):
            closing("Next: change a number in what was written into standard input, then run the same command.")
            return
        # What else the file asks comes before what a person may think of.
        more = "sweep" if scenario.sweep is not None else "tune" if scenario.tune is not None else ""
        closing(
            f"Next: jounce {more} {options.scenario}, which asks for it too."
            if more
            # The second source is the vehicle's file, where most of the numbers are.
            else f"Next: change a number in {options.scenario} or in {scenario.sources[1]}, then run the same command."
        )


def as_json(comparison: Comparison, doubted: "Doubted | None" = None) -> dict[str, Any]:
    """Return measures, flags, verdict and what is in doubt, in SI, as parts of an answer (`sim.cli.answer`)."""
    from sim.measure.verdict import verdict
    from sim.show.report.verdict_words import headline

    found = verdict(comparison)
    known = {measure.name: measure for measure in comparison.measures}
    return {
        "name": comparison.scenario.name,
        "question": comparison.scenario.question,
        "reference": found.reference,
        "verdict": [text for text in [headline(found)] if text],
        "setups": {
            setup: {
                "measures": {
                    key: answer.number(v.value, known[key].quantity, numerical_error=v.error, flagged=v.flagged)
                    for key, v in values.items()
                },
                "flags": [answer.flag_of(setup, flag) for flag in comparison.runs[setup].flags],
                "energy_residual_share": comparison.runs[setup].energy.residual_share,
                "judged_against": found.others[setup].reference if setup in found.others else None,
                "against_reference": _against(found, setup),
                "placed": [
                    {"what": one.label, "value": one.value, "called": one.word, "usual": one.is_usual}
                    for one in comparison.placed.get(setup, ())
                ],
            }
            for setup, values in comparison.values.items()
        },
        "doubt": None if doubted is None else _doubt_as_json(doubted),
    }


def _doubt_as_json(doubted: "Doubted") -> dict[str, Any]:
    def bands(of: Any) -> dict[str, Any]:
        return {
            setup: {key: [band.low, band.high] for key, band in by_measure.items()} for setup, by_measure in of.items()
        }

    return {
        "reference": doubted.reference,
        "draws": doubted.draws,
        "could_not_be_run": doubted.lost,
        "flagged": doubted.flagged,
        "numbers": {one.path: one.what.doubt.written for one in doubted.unknowns},
        "values": bands(doubted.values),
        "differences": bands(doubted.differences),
        "assumed_nothing": [one.path for one in doubted.assumed],
    }


def _against(found: Any, setup: str) -> dict[str, Any]:
    """Return what each block of a set-up comes to; nothing of the reference."""
    if setup not in found.others:
        return {}
    other = found.others[setup]
    return {block: {"outcome": part.outcome, "size": part.size} for block, part in other.parts.items()}
