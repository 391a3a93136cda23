"""`jounce tune SCENARIO`: search the values that the scenario lets move for its goals, within its limits."""

import argparse
import sys
from collections.abc import Callable, Iterable, Sequence
from functools import partial
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli.answer import add, wanted, wrote
from sim.cli.flagging import say_flag
from sim.cli.progress import closing, console, lines
from sim.cli.units import told_in_both
from sim.cli.workers import add_workers
from sim.errors import InputError, OutputError, Problem

if TYPE_CHECKING:
    from sim.cli.folders import Results
    from sim.describe.files.scenario import Scenario
    from sim.describe.shown import System
    from sim.study.doubt.study import Doubted
    from sim.study.endurance.history import Endured
    from sim.study.tuning.cases import Tuning
    from sim.study.tuning.confirming import Confirmed
    from sim.study.tuning.session import Answer, Session


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    parser.add_argument("scenario", type=Path, help="scenario file with a tune section")
    parser.add_argument("--seed", type=int, help="seed of the search (default: the file's)")
    add_workers(parser)
    parser.add_argument(
        "--cluster", metavar="ADDRESS", help="a Dask scheduler whose workers do the runs: tcp://host:8786"
    )
    parser.add_argument("--outputs", type=Path, default=Path("outputs"), help="folder for results (default: outputs)")
    parser.add_argument("--no-plots", action="store_true", help="write YAML, CSV and the record only")
    parser.add_argument("--no-doubt", action="store_true", help="take every number at its central value: no bands")


def run(options: argparse.Namespace) -> int:
    """Tune, confirm in full precision, show and write everything."""
    from sim.cli.folders import place
    from sim.cli.notices import caution, notices
    from sim.describe.files.scenario import load_scenario
    from sim.show.report.tuning_table import printed
    from sim.study.notes import let_go, name_of

    scenario = load_scenario(options.scenario)
    notices(scenario)
    tuning = _tuning(scenario, options)
    results = place(options.outputs, options.scenario, "_tuned")
    folder = results.folder
    # Notes lie beside the folder and are hidden: the folder itself is not there before all is done.
    answer, notes = _answered(tuning, lambda key: options.outputs / name_of(folder.name, key, "tried"), options)
    compared, doubts = _confirmed_and_written(scenario, answer, results, options)
    # Only now: killed while drawing, the same command finds its search finished.
    let_go(notes)
    printed(answer, compared, sys.stdout)
    in_doubt = _doubts_said(answer, compared, doubts, options.no_doubt)
    for text in in_doubt:
        print(text)
    flags = [f"case '{case}', {text}" for case, one in compared.items() for text in one.flags]
    for text in flags:
        say_flag(text)
    if wanted():
        from sim.cli.answers.tune import parts

        wrote(folder, *(place.folder for place in _folders(results, compared).values()))
        add(**parts(scenario, answer, compared, in_doubt))
    # Of every kind of run that the cases have, each once.
    for text in dict.fromkeys(run.caution for run in (scenario.run, *scenario.case_runs.values())):
        caution(text)
    first = f"; look at {folder / 'trade_off.png'} first" if answer.front and not options.no_plots else ""
    closing(
        f"\nWrote {folder}, and {len(compared)} folder(s) {folder}_… with before and after side by side{first}.\n"
        f"Next: jounce {scenario.run.command} {folder / 'tuned.yaml'}, and measure what the builder sends before it is fitted."
    )
    # A goal that cannot be reached is a finding, not an error: all is written, the nearest set-up too.
    return 3 if flags or not answer.reached else 0


def _tuning(scenario: "Scenario", options: argparse.Namespace) -> "Tuning":
    """Return what the scenario and the command line ask for.

    Raises
    ------
    InputError
        If the scenario has no tune section, or an argument is out of its range.
    """
    from dataclasses import replace

    from sim.study.tuning.ready import tuning_of

    if scenario.tune is None:
        raise InputError(
            Problem(
                "this scenario has no tune section", str(options.scenario), where="tune",
                suggestion="see scenarios/tune_for_the_track.yaml, and docs/files.md for what it may hold",
            )
        )  # fmt: skip
    tuning = tuning_of(scenario)
    if options.workers is not None and options.workers < 1:
        raise InputError(f"--workers: a whole number from 1; given was {options.workers}")
    if options.seed is None:
        return tuning
    if options.seed < 0:
        raise InputError(f"--seed: a whole number from 0; given was {options.seed}")
    # Into the question itself, as the seed is part of what the notes of a search are kept for.
    return replace(tuning, asked=tuning.asked.model_copy(update={"seed": options.seed}))


def _confirmed_and_written(
    scenario: "Scenario", answer: "Answer", results: "Results", options: argparse.Namespace
) -> "tuple[dict[str, Confirmed], dict[str, Doubted]]":
    """Return before and after of every case in full precision, and what is in doubt of them; write all folders."""
    from sim.cli.endure import stems_of
    from sim.cli.hours import endured
    from sim.machine.scratch import scratch
    from sim.study.tuning.confirming import TUNED, confirmed

    # Never called tuned if it breaks a limit: a name is read where no warning stands.
    name = TUNED if answer.reached else "nearest"
    while name in scenario.setups:
        name += " again"
    command = f"jounce tune {options.scenario.name}" + (f" --seed {options.seed}" if options.seed is not None else "")
    # Histories of hours come before the folders exist in which they end, and are copied there later.
    with scratch() as kept:

        def driven(pair: "Scenario") -> "dict[str, Endured]":
            histories = _histories(kept, pair)
            histories.mkdir()
            paths = {key: histories / f"{one}.csv" for key, one in stems_of(pair).items()}
            return endured(pair, paths, options.workers, lambda key: kept / f"{key}.through")

        # Before and after in double precision, tracks in full: the table is of these runs, not of the search's.
        compared = confirmed(scenario, answer.tuning, answer.changes, name, driven=driven)
        doubts = {} if options.no_doubt else _doubts(compared, [one.name for one in answer.judge.measures])
        parts = _parts(scenario, answer, compared, doubts, name, results, command, not options.no_plots, kept)
        # Nothing is written before all has been computed: a stopped search leaves earlier results whole.
        _each(parts, options.workers)
    return compared, doubts


def _answered(tuning: Any, notes: Callable[[str], Path], options: argparse.Namespace) -> "tuple[Answer, Path]":
    """Return what was found, and the file of its notes."""
    from rich.progress import Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

    from sim.cli.compiling import is_driven, ready_for_a_run
    from sim.cli.notices import cluster_ready
    from sim.study.many import goes_in_blocks
    from sim.study.tuning.session import Session

    runs = [case.run for case in tuning.cases]
    # Once, before the workers start, or each of them would compile for itself.
    ready_for_a_run(blocks="single" if any(map(goes_in_blocks, runs)) else None, driven=any(map(is_driven, runs)))
    cluster_ready(options.cluster)
    # Known outside the `try`: stopped by hand, what it has so far is reported.
    session: Session | None = None
    columns = (SpinnerColumn("line"), TextColumn("{task.description}"), TimeElapsedColumn())
    try:
        line = lines()
        with Progress(*columns, console=console(), transient=True) as progress:
            task = progress.add_task("Starting", total=None)

            def tell(what: str, tried: int, best: float) -> None:
                words = f"Tuning{f' ({what})' if what else ''}: {tried} set-ups tried"
                # nan while a trade-off is searched, which has no single best.
                if best == best:
                    # Costs from a thousand on mean that a limit is still broken (`judge.BROKEN`).
                    words += f", best {100 * best:.4g} % of now" if best < 1e3 else ", none yet within all limits"
                progress.update(task, description=words)
                line(words)

            session = Session(tuning, notes, options.workers, options.cluster, tell)
            return session.answer(), session.notes
    except KeyboardInterrupt:
        _stopped(session)
        raise
    except OSError as error:
        raise OutputError(f"{options.outputs}: what was tried cannot be noted: {error.strerror or error}") from None


def _stopped(session: "Session | None") -> None:
    """Tell the best so far, and that the same command goes on."""
    from sim.describe.files.writer import as_yaml

    search = session.search if session is not None else None
    if session is None or search is None or search.best is None:
        return
    # As YAML, to be put into a scenario as it stands.
    changes = as_yaml(session.changes(search.best))
    print(
        f"\nStopped. All {len(search.trying.known)} set-ups tried are kept: the same command goes on from there.\n"
        f"Best so far, as changes to '{session.tuning.start}':\n{changes}",
        file=sys.stderr,
    )


def _doubts(compared: "dict[str, Confirmed]", measures: list[str]) -> "dict[str, Doubted]":
    """Return what the numbers in doubt leave open of each case that takes seconds; hours of track are not drawn."""
    from sim.cli.showing import doubt_of
    from sim.measure.comparison import Comparison

    found = {}
    for case, one in compared.items():
        if isinstance(one.made, Comparison):
            doubted = doubt_of(one.made, one.pair, also=measures)
            if doubted is not None:
                found[case] = doubted
    return found


def _doubts_said(
    answer: "Answer", compared: "dict[str, Confirmed]", doubts: "dict[str, Doubted]", switched_off: bool
) -> list[str]:
    """Return the band of what the tuning brings, by case, in sentences."""
    from sim.describe.doubtful import doubtful

    if switched_off:
        from sim.show.report.estimated import switched_off as off

        # The first case stands for all: of one truck it has the same numbers.
        pair = next(iter(compared.values())).pair
        return [text for text in (off(pair.setups.values(), pair.run),) if text]
    said: list[str] = []
    for case, one in compared.items():
        if case in doubts:
            from sim.show.report.doubt import differences, measure_next

            known = {measure.name: measure for measure in answer.judge.measures}
            said += [f"in doubt, case '{case}': {text}" for text in differences(doubts[case], known.values())]
            said += measure_next(doubts[case], list(known))[:1]
        elif one.of_hours and any(True for vehicle in one.pair.setups.values() for _ in doubtful(vehicle)):
            said.append(f"in doubt, case '{case}': hours of track are run at central values; no band is known.")
    return said


def _histories(kept: Path, pair: "Scenario") -> Path:
    """Return where the histories of a case are kept; cases have names of their own."""
    # Names of cases are a person's words, which may hold what no file name can.
    return kept / sha256(pair.name.encode()).hexdigest()


def _each(parts: Sequence[Callable[[], object]], workers: int | None) -> None:
    """Write all folders, side by side on several cores: drawing takes as long as a tenth of the search."""
    from sim.describe.shown import as_now
    from sim.machine.spread import Spread

    # Not along: a folder is begun by one process only. What a killed one had is written again, over what it left.
    with Spread(_Written(), workers, along=False, within=as_now()) as spread:
        for _ in spread.each(parts):
            pass


class _Written:
    """The work of other processes that write folders."""

    def solved(self, part: Callable[[], object]) -> None:
        """Write one."""
        part()


def _folders(results: "Results", cases: Iterable[str]) -> "dict[str, Results]":
    """Return the folder of each case."""
    from sim.cli.folders import beside, distinct

    # The name of each folder comes from its case, whatever letters that has; of the same question as the tuning's own
    # folder, so that both are replaced together.
    return {case: beside(results, f"_{stem}", case) for case, stem in distinct(cases).items()}


def _parts(
    scenario: "Scenario",
    answer: "Answer",
    compared: "dict[str, Confirmed]",
    doubts: "dict[str, Doubted]",
    name: str,
    results: "Results",
    command: str,
    plots: bool,
    kept: Path,
) -> list[Callable[[], object]]:
    """Return what writes each folder."""
    from sim.cli.showing import with_doubt
    from sim.cli.showing import written as compared_written
    from sim.measure.comparison import Comparison
    from sim.show.report.write import written

    parts: list[Callable[[], object]] = [
        partial(
            written,
            results.folder,
            # Partials of functions of this file, no lambdas: they go to other processes.
            partial(_filled, scenario, answer, name, results.folder, command, plots),
            of=results.of,
        )
    ]
    places = _folders(results, compared)
    for case, one in compared.items():
        into = places[case]
        # A case of hours has another report than a run of seconds.
        if isinstance(one.made, Comparison):
            parts.append(
                partial(
                    compared_written, with_doubt(one.made, doubts.get(case)), into, command, plots, doubts.get(case)
                )
            )
        else:
            parts.append(
                partial(
                    written,
                    into.folder,
                    partial(_endured_written, one, command, plots, _histories(kept, one.pair)),
                    of=into.of,
                )
            )
    return parts


def _filled(
    scenario: "Scenario", answer: "Answer", name: str, folder: Path, command: str, plots: bool, into: Path
) -> None:  # fmt: skip
    from sim.show.report import record, tuned
    from sim.show.report.tuning_words import sentences
    from sim.show.report.write import MARKER

    # `folder`, not `into`: paths in it lead from where it will lie, not from where it is built.
    tuned.write_scenario(scenario, answer, name, folder, into / "tuned.yaml")
    tuned.write_tables(answer, into)
    entries = record.origin(scenario, command) | {
        "changes": answer.changes, "from": answer.tuning.start, "keeps every limit": answer.reached,
        "seed": answer.tuning.asked.seed, "tried": answer.tries, "in words": sentences(answer), "assumes": record.ASSUMES,
    }  # fmt: skip
    record.save(entries, into / MARKER)
    if plots:
        _sheets(scenario, answer, name, into)
        _pictures(answer, name, into)
    _reported(scenario, answer, name, into)


@told_in_both
def _reported(units: "System", scenario: "Scenario", answer: "Answer", name: str, into: Path) -> None:
    from sim.show.pages.report.told import Told, write
    from sim.show.report.tuning_table import first, move_rows
    from sim.show.report.tuning_words import sentences

    start = answer.tuning.start
    flagged = [answer.start.flagged] if answer.start.flagged else []
    told = Told(
        scenario.question or scenario.name, (scenario.name, "; ".join(case.name for case in answer.tuning.cases)), [first(answer)],
        {"What to set": move_rows(answer)},
        {"Why, and how sure": sentences(answer), "Before and after": [f"Each case has a folder of its own beside this one, with “{start}” and “{name}” side by side and a report."]},
        ("trade_off", "single_changes", "holding"),
        {start: scenario.setups[start], name: scenario.setups[start].changed(answer.changes)}, scenario.run.caution, flagged,
    )  # fmt: skip
    write(into, told, units)


def _endured_written(one: "Confirmed", command: str, plots: bool, histories: Path, into: Path) -> None:
    """Write what hours of track made of both set-ups, whose histories were kept beside."""
    from shutil import copyfile

    from sim.cli.endure import fill_folder, stems_of

    for history in histories.iterdir():
        # Not moved: the temporary folder may be on another disk, and is cleared as a whole.
        copyfile(history, into / history.name)
    runs: Any = one.made
    fill_folder(one.pair, runs, stems_of(one.pair), into, command, plots)


def _pictures(answer: "Answer", name: str, into: Path) -> None:
    from sim.show.plots import holding, single_changes, trade_off
    from sim.show.plots.save import saved

    # Pictures only of what the scenario asked for or the search had reason to study.
    if answer.front:
        saved(trade_off.figure(answer, name), into / "trade_off")
    if answer.singles:
        saved(single_changes.figure(answer), into / "single_changes")
    if answer.drawn:
        saved(holding.figure(answer, name), into / "holding")


def _sheets(scenario: "Scenario", answer: "Answer", name: str, into: Path) -> None:
    from sim.cli.order_sheets import write_sheets
    from sim.linear.standing import stand
    from sim.study.fit import fits

    # The scenario's own set-up with the tuned values: cases may add loads and changes of theirs.
    vehicle = scenario.setups[answer.tuning.start].changed(answer.changes)
    fitted = fits(vehicle)
    problems = {fit.name + fit.axle: [*fit.problems, *fit.notes] for fit in fitted}
    used = "; ".join(case.name for case in answer.tuning.cases)
    write_sheets(into, name, f"{scenario.name}: {used}", {name: fitted}, stand(vehicle), problems)
