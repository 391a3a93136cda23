"""`jounce tune SCENARIO`: search the values that the scenario lets move for its goals, within its limits."""

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli.answer import add, wanted, wrote
from sim.cli.flagging import say_flag
from sim.cli.progress import closing, console, lines
from sim.cli.workers import add_workers
from sim.errors import InputError, OutputError, Problem

if TYPE_CHECKING:
    from sim.describe.files.scenario import Scenario
    from sim.study.doubt.study import Doubted
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
    from sim.cli.tuned_folders import confirmed_and_written, folders
    from sim.describe.files.scenario import load_scenario
    from sim.show.report.tuning_table import broken_in_full, printed
    from sim.study.notes import let_go, name_of

    scenario = load_scenario(options.scenario)
    notices(scenario)
    tuning = _tuning(scenario, options)
    results = place(options.outputs, options.scenario, "_tuned")
    folder = results.folder
    # Notes lie beside the folder and are hidden: the folder itself is not there before all is done.
    answer, notes = _answered(tuning, lambda key: options.outputs / name_of(folder.name, key, "tried"), options)
    compared, doubts = confirmed_and_written(scenario, answer, results, options)
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

        wrote(folder, *(place.folder for place in folders(results, compared).values()))
        add(**parts(scenario, answer, compared, in_doubt))
    # Of every kind of run that the cases have, each once.
    for text in dict.fromkeys(run.caution for run in (scenario.run, *scenario.case_runs.values())):
        caution(text)
    first = f"; look at {folder / 'trade_off.png'} first" if answer.front and not options.no_plots else ""
    closing(
        f"\nWrote {folder}, and {len(compared)} folder{'s' if len(compared) != 1 else ''} {folder}_… with before and after side by side{first}.\n"
        f"Next: jounce {scenario.run.command} {folder / 'tuned.yaml'}, and measure what the builder sends before it is fitted."
    )
    # A goal that cannot be reached is a finding, not an error: all is written, the nearest set-up too.
    return 3 if flags or not answer.reached or broken_in_full(answer, compared) else 0


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


def _answered(tuning: Any, notes: Callable[[str], Path], options: argparse.Namespace) -> "tuple[Answer, Path]":
    """Return what was found, and the file of its notes."""
    from rich.progress import Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

    from sim.cli.compiling import is_driven, ready_for_a_run
    from sim.cli.notices import cluster_ready
    from sim.machine.spread import begun
    from sim.study.many import goes_in_blocks
    from sim.study.tuning.search import blocks_of
    from sim.study.tuning.session import Session
    from sim.study.tuning.trials import Trials

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
            # Not before what is asked has been understood: to end them again takes as long as to begin them.
            if options.cluster is None:
                begun(options.workers, len(tuning.cases) * blocks_of(tuning), Trials.__module__)
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


def _doubts_said(
    answer: "Answer", compared: "dict[str, Confirmed]", doubts: "dict[str, Doubted]", switched_off: bool
) -> list[str]:
    """Return the band of what the tuning brings, by case, in sentences."""
    from sim.describe.doubtful import any_in_doubt

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
        elif one.of_hours and any_in_doubt(one.pair.setups.values()):
            said.append(f"in doubt, case '{case}': hours of track are run at central values; no band is known.")
    return said
