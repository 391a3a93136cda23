"""The folders of a tuning: one of the search, and one of each case with before and after side by side, written on all cores."""

import argparse
from collections.abc import Callable, Iterable, Sequence
from functools import partial
from hashlib import sha256
from pathlib import Path
from shutil import copytree
from typing import TYPE_CHECKING, Any

from sim.cli.units import told_in_both

if TYPE_CHECKING:
    from sim.cli.folders import Results
    from sim.describe.files.scenario import Scenario
    from sim.describe.shown import System
    from sim.study.doubt.study import Doubted
    from sim.study.endurance.history import Endured
    from sim.study.tuning.confirming import Confirmed
    from sim.study.tuning.session import Answer


def confirmed_and_written(
    scenario: "Scenario", answer: "Answer", results: "Results", options: argparse.Namespace
) -> "tuple[dict[str, Confirmed], dict[str, Doubted]]":
    """Return before and after of every case in full precision, and what is in doubt of them; write all folders."""
    from sim.cli.endure import stems_of
    from sim.cli.hours import endured
    from sim.describe.shown import as_now
    from sim.machine.beside import done_beside
    from sim.machine.scratch import scratch
    from sim.show.report.write import written
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

        plots = not options.no_plots
        ahead = kept / "tuned"
        ahead.mkdir()
        # The folder of the search itself waits for none of the cases: it is filled while they are run, and put in its place with theirs.
        filling = partial(_filled, scenario, answer, name, results.folder, command, plots, ahead)
        with done_beside(filling, options.workers, as_now()):
            # Before and after in double precision, tracks in full: the table is of these runs, not of the search's.
            compared = confirmed(scenario, answer.tuning, answer.changes, name, driven=driven)
            doubts = {} if options.no_doubt else _doubts(compared, [one.name for one in answer.judge.measures])
            # Nothing is written before all has been computed: a stopped search leaves earlier results whole.
            _each(_parts(compared, doubts, results, command, plots, kept), options.workers)
        written(results.folder, partial(copytree, ahead, dirs_exist_ok=True), of=results.of)
    return compared, doubts


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


def _histories(kept: Path, pair: "Scenario") -> Path:
    """Return where the histories of a case are kept; cases have names of their own."""
    # Names of cases are a person's words, which may hold what no file name can.
    return kept / sha256(pair.name.encode()).hexdigest()


def _each(parts: Sequence[Callable[[], object]], workers: int | None) -> None:
    """Write folders, side by side on several cores: drawing takes as long as the search."""
    from sim.describe.shown import as_now
    from sim.machine.spread import Spread

    # Once: a folder is begun by one process only. What a killed one had is written again, over what it left.
    with Spread(_Written(), workers, within=as_now(), once=True) as spread:
        for _ in spread.each(parts):
            pass


class _Written:
    """The work of other processes that write folders."""

    def solved(self, part: Callable[[], object]) -> None:
        """Write one."""
        part()


def folders(results: "Results", cases: Iterable[str]) -> "dict[str, Results]":
    """Return the folder of each case."""
    from sim.cli.folders import beside, distinct

    # The name of each folder comes from its case, whatever letters that has; of the same question as the tuning's own
    # folder, so that both are replaced together.
    return {case: beside(results, f"_{stem}", case) for case, stem in distinct(cases).items()}


def _parts(
    compared: "dict[str, Confirmed]",
    doubts: "dict[str, Doubted]",
    results: "Results",
    command: str,
    plots: bool,
    kept: Path,
) -> list[Callable[[], object]]:
    """Return what writes the folder of each case."""
    from sim.cli.showing import with_doubt
    from sim.cli.showing import written as compared_written
    from sim.measure.comparison import Comparison
    from sim.show.report.write import written

    parts: list[Callable[[], object]] = []
    places = folders(results, compared)
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
    for draws in write_sheets(into, name, f"{scenario.name}: {used}", {name: fitted}, stand(vehicle), problems):
        draws()
