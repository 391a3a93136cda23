"""`jounce tune SCENARIO`: search the values that the scenario lets move for its goals, within its limits."""

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.errors import InputError, OutputError, Problem

if TYPE_CHECKING:
    from sim.comparison import Comparison
    from sim.files.scenario import Scenario
    from sim.tuning.session import Answer, Session


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    parser.add_argument("scenario", type=Path, help="scenario file with a tune section")
    parser.add_argument("--seed", type=int, help="another seed than the file's")
    parser.add_argument("--workers", type=int, help="processes (default: all cores)")
    parser.add_argument("--cluster", metavar="ADDRESS", help="a Dask scheduler whose workers do it: tcp://host:8786")
    parser.add_argument("--outputs", type=Path, default=Path("outputs"), help="folder for results (default: outputs)")
    parser.add_argument("--no-plots", action="store_true", help="write YAML, CSV and the record only")


def run(options: argparse.Namespace) -> int:
    """Tune, confirm in full precision, tell, write everything."""
    from dataclasses import replace

    from sim.cli.showing import slug
    from sim.files.scenario import load_scenario
    from sim.report.tuning_table import printed
    from sim.tuning.session import TUNED, confirmed

    scenario = load_scenario(options.scenario)
    if scenario.tuning is None:
        raise InputError(
            Problem(
                "this scenario has no tune section", str(options.scenario), where="tune",
                suggestion="see scenarios/tune_for_the_track.yaml, and docs/files.md for what it may hold",
            )
        )  # fmt: skip
    tuning = scenario.tuning
    if options.seed is not None:
        if options.seed < 0:
            raise InputError(f"--seed: a whole number from 0; given was {options.seed}")
        tuning = replace(tuning, asked=tuning.asked.model_copy(update={"seed": options.seed}))
    if options.workers is not None and options.workers < 1:
        raise InputError(f"--workers: a whole number from 1; given was {options.workers}")
    stem = f"{slug(options.scenario.stem)}_tuned"
    notes = options.outputs / f".{stem}.tried"
    answer = _answered(tuning, notes, options)
    name = TUNED if answer.reached else "nearest"
    while name in scenario.setups:
        name += " again"
    compared = confirmed(scenario, tuning, answer.changes, name)
    folder = options.outputs / stem
    command = f"jounce tune {options.scenario.name}" + (f" --seed {options.seed}" if options.seed is not None else "")
    _written(scenario, answer, compared, name, folder, command, not options.no_plots)
    notes.unlink(missing_ok=True)
    printed(answer, compared, sys.stdout)
    flagged = any(run_.flags for comparison in compared.values() for run_ in comparison.runs.values())
    if flagged:
        print("A run left what the model is valid for: see FLAGGED in its plots.", file=sys.stderr)
    first = f"; look at {folder / 'trade_off.png'} first" if answer.front and not options.no_plots else ""
    print(
        f"\nWrote {folder}, and {len(compared)} folder(s) {folder}_… with before and after side by side{first}.\n"
        f"Next: jounce compare {folder / 'tuned.yaml'}, and measure what the builder sends before it is fitted.",
        file=sys.stderr,
    )
    return 3 if flagged or not answer.reached else 0


def _answered(tuning: Any, notes: Path, options: argparse.Namespace) -> "Answer":
    from rich.console import Console
    from rich.progress import Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

    from sim.cli.compiling import say_if_it_compiles
    from sim.many.measured import goes_in_blocks
    from sim.tuning.session import Session

    say_if_it_compiles(single=any(goes_in_blocks(case.run) for case in tuning.cases))
    session: Session | None = None
    columns = (SpinnerColumn("line"), TextColumn("{task.description}"), TimeElapsedColumn())
    try:
        with Progress(*columns, console=Console(stderr=True), transient=True) as progress:
            task = progress.add_task("Starting", total=None)

            def tell(what: str, tried: int, best: float) -> None:
                words = f"Tuning{f' ({what})' if what else ''}: {tried} set-ups tried"
                if best == best:
                    words += f", best {100 * best:.4g} % of now" if best < 1e3 else ", none yet within all limits"
                progress.update(task, description=words)

            session = Session(tuning, notes, options.workers, options.cluster, tell)
            return session.answer()
    except KeyboardInterrupt:
        _stopped(session)
        raise
    except OSError as error:
        raise OutputError(f"{options.outputs}: what was tried cannot be noted: {error.strerror or error}") from None


def _stopped(session: "Session | None") -> None:
    """Tell the best so far, and that the same command goes on."""
    import yaml

    search = session.search if session is not None else None
    if session is None or search is None or search.best is None:
        return
    changes = yaml.safe_dump(session.changes(search.best), sort_keys=False, width=120)
    print(
        f"\nStopped. All {len(search.trying.known)} set-ups tried are kept: the same command goes on from there.\n"
        f"Best so far, as changes to '{session.tuning.start}':\n{changes}",
        file=sys.stderr,
    )


def _written(
    scenario: "Scenario",
    answer: "Answer",
    compared: "dict[str, Comparison]",
    name: str,
    folder: Path,
    command: str,
    plots: bool,
) -> None:
    from sim.cli.showing import slug
    from sim.cli.showing import written as compared_written
    from sim.report import record, tuned
    from sim.report.tuning_table import told
    from sim.report.write import MARKER, written

    def fill(into: Path) -> None:
        tuned.write_scenario(scenario, answer, name, folder, into / "tuned.yaml")
        tuned.write_tables(answer, into)
        made = record.origin(scenario, command) | {
            "changes": answer.changes, "from": answer.tuning.start, "keeps every limit": answer.reached,
            "seed": answer.tuning.asked.seed, "tried": answer.tries, "told": told(answer), "assumes": record.ASSUMES,
        }  # fmt: skip
        record.save(made, into / MARKER)
        if plots:
            _sheets(scenario, answer, name, into)
            _pictures(answer, name, into)

    written(folder, fill)
    taken: set[str] = set()
    for case, comparison in compared.items():
        stem = slug(case)
        while stem in taken:
            stem += "_"
        taken.add(stem)
        compared_written(comparison, folder.with_name(f"{folder.name}_{stem}"), command, plots)


def _pictures(answer: "Answer", name: str, into: Path) -> None:
    from sim.plots import holding, single_changes, trade_off
    from sim.plots.save import saved

    if answer.front:
        saved(trade_off.figure(answer, name), into / "trade_off")
    if answer.singles:
        saved(single_changes.figure(answer), into / "single_changes")
    if answer.drawn:
        saved(holding.figure(answer, name), into / "holding")


def _sheets(scenario: "Scenario", answer: "Answer", name: str, into: Path) -> None:
    from sim.cli.sheet import write_sheets
    from sim.fit import fits
    from sim.standing import stand

    vehicle = scenario.setups[answer.tuning.start].changed(answer.changes)
    found = fits(vehicle)
    problems = {fit.name + fit.axle: [*fit.problems, *fit.notes] for fit in found}
    used = "; ".join(case.name for case in answer.tuning.cases)
    write_sheets(into, name, f"{scenario.name}: {used}", {name: found}, stand(vehicle), problems)
