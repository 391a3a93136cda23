"""`jounce lean SCENARIO ...`: which way, and how far, to lean the dampers of an axle against wind-up, and where to mount them."""

import argparse
import sys
from math import isnan, log
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli import answer
from sim.cli.angles import angle, length
from sim.cli.flagging import say_flag
from sim.cli.progress import closing, working
from sim.cli.units import told_in_both
from sim.cli.workers import add_workers
from sim.describe.shown import System
from sim.errors import InputError
from sim.show.report.table_csv import Table

if TYPE_CHECKING:
    from sim.cli.folders import Results
    from sim.describe.parts.slip import Relaxation
    from sim.study.lean import Change, Leaned, Leans, Moved, Tried

# Every place is a run, twice over for how grip follows load; 41 are 2 deg apart, finer than brackets are welded.
MOST = 41


CAUTION = (
    "brackets carry a damper's whole force and more: a qualified person designs and welds them; then turn the axle "
    "through its whole travel and steering lock by hand, and look at hoses, shafts and tyres, before it is driven."
)
"""What can hurt somebody who does this work."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    parser.add_argument(
        "scenario", type=Path, nargs="+", help="one or two scenario files whose run is a launch or a brake, with the same set-ups"
    )  # fmt: skip
    parser.add_argument("--axle", choices=("front", "rear"), default="rear", help="whose dampers (default: rear)")
    parser.add_argument(
        "--from", dest="low", default="-45 deg", metavar="ANGLE", help="first lean, back negative (default: '-45 deg')"
    )
    parser.add_argument(
        "--to", dest="high", default="45 deg", metavar="ANGLE", help="last lean, forward positive (default: '45 deg')"
    )
    parser.add_argument(
        "--reach", default="180 mm", metavar="LENGTH",
        help="how far ahead of and behind the axle's centre lower mounts are moved (default: '180 mm')",
    )  # fmt: skip
    parser.add_argument("--steps", type=int, default=9, help=f"how many places of each, 3 to {MOST} (default: 9)")
    add_workers(parser)
    parser.add_argument("--outputs", type=Path, default=Path("outputs"), help="folder for results (default: outputs)")


def run(options: argparse.Namespace) -> int:
    """Try the mounts, tell the best, write plot, CSV and record."""
    import numpy as np

    from sim.cli.compiling import ready_for_a_run
    from sim.cli.folders import place
    from sim.cli.notices import caution, notices
    from sim.describe.files.scenario import load_scenario
    from sim.study.lean_runs import lean_through

    if len(options.scenario) > 2:
        raise InputError(
            "lean: one or two scenarios fit side by side.\n    given: " + ", ".join(map(str, options.scenario))
        )
    # Past 60 deg less than a quarter of a damper's work reaches the wheel (cos²): nobody mounts one so.
    low, high = angle(options.low, "--from", -60.0, 60.0), angle(options.high, "--to", -60.0, 60.0)
    if low >= high:
        raise InputError(f"--from must be less than --to\n    given: {options.low} and {options.high}")
    # Bounds that no bracket needs to pass; ours, no source.
    reach = length(options.reach, "--reach", 10.0, 400.0)
    # Both ends and the middle at least: with two places a best one between them is never seen.
    if not 3 <= options.steps <= MOST:
        raise InputError(f"--steps: allowed is 3 to {MOST}\n    given: {options.steps}")
    scenarios = [load_scenario(path) for path in options.scenario]
    for scenario in scenarios:
        notices(scenario)
    # Before the spinner: while its thread runs this process is not copied to compile (`machine.copies`).
    ready_for_a_run(driven=True)
    lean_rad, ahead_m = (np.linspace(*ends, options.steps) for ends in ((low, high), (-reach, reach)))
    with working("Starting") as status:
        leans = lean_through(scenarios, options.axle, lean_rad, ahead_m, lambda text: status(text), options.workers)
    results = place(options.outputs, options.scenario[0], "_leaned")
    folder = results.folder
    # Files before the screen: minutes of runs are safe whatever the terminal does.
    _written(leans, results, scenarios, options)
    _printed(leans)
    flagged = _printed_flags(leans)
    if answer.wanted():
        answer.wrote(folder)
        answer.add(**_as_json(leans, scenarios[0]))
    caution(CAUTION)
    closing(f"\nWrote {len(list(folder.iterdir()))} files to {folder}; look at {folder / 'leans.png'} first.\n"
          f"Next: jounce tramp {options.scenario[0]} for where wind-up grows by itself.")  # fmt: skip
    return 3 if flagged else 0


def _as_json(leans: "Leans", scenario: Any) -> dict[str, Any]:
    """Return what moving the mounts changes, as parts of an answer; every place is in leans.csv."""
    from sim.show.plots.leans_told import paragraphs, title, turning

    seen = {
        (setup, flag.kind, flag.part): answer.flag_of(setup, flag)
        for *_, setup, row in _rows(leans)
        for flag in row.flags
    }
    return {
        "name": scenario.name, "question": scenario.question, "rows": {"changes": answer.rows_of(CHANGES, _change_rows(leans))},
        "verdict": [text for text in (title(leans), turning(leans), *paragraphs(leans)) if text], "flags": list(seen.values()),
    }  # fmt: skip


def _printed_flags(leans: "Leans") -> bool:
    """Tell every flag and every way of moving that cannot be done, once a reason; return whether a run was flagged."""
    from sim.study.mounts import MOVES

    # Dicts, to have each once and in order: the same end of stroke is met at many places of the mounts.
    flagged, left_out = dict[tuple[str, str, str], str](), dict[str, None]()
    for _, _, setup, row in _rows(leans):
        for flag in row.flags:
            flagged.setdefault((setup, flag.kind, flag.part), f"{setup}: {flag.sentence}")
        for move, moved in row.moves.items():
            # A way of moving that cannot be done at all; of places that do not fit the sentences on the screen speak.
            if moved.left_out:
                left_out[f"LEFT OUT {MOVES[move].label}: {moved.left_out}"] = None
    for text in flagged.values():
        say_flag(text)
    for text in left_out:
        print(text, file=sys.stderr)
    return bool(flagged)


def _rows(leans: "Leans") -> "list[tuple[Relaxation, str, str, Leaned]]":
    return [
        (relaxation, road, setup, row)
        for relaxation, roads in leans.roads.items()
        for road, setups in roads.items()
        for setup, row in setups.items()
    ]


def _written(leans: "Leans", results: "Results", scenarios: list[Any], options: argparse.Namespace) -> None:
    from sim.show.plots.leans import figure
    from sim.show.plots.save import saved
    from sim.show.report import record
    from sim.show.report.write import MARKER, written

    command = (
        f"jounce lean {' '.join(path.name for path in options.scenario)} --axle {options.axle} --from '{options.low}' "
        f"--to '{options.high}' --reach '{options.reach}' --steps {options.steps}"
    )

    def fill(into: Path) -> None:
        _csv(leans, into / "leans.csv")
        _changes_csv(leans, into / "lean_changes.csv")
        # Of two scenarios the first gives name and question; the sources of both are kept.
        entries = record.origin(scenarios[0], command) | {"scenarios": list(leans.roads[leans.relaxation])}
        for other in scenarios[1:]:
            entries["sources"] = record.origin(other, command)["sources"] | entries["sources"]
        record.save(entries | _recorded(leans) | {"assumes": record.ASSUMES}, into / MARKER)
        saved(figure(leans), into / "leans")
        _reported(leans, scenarios[0], into)

    written(results.folder, fill, results.of)


@told_in_both
def _reported(units: System, leans: "Leans", scenario: Any, into: Path) -> None:
    from sim.show.pages.report.told import Told, write
    from sim.show.plots.leans_told import paragraphs, title, turning
    from sim.study.lean import GRIP

    tables = {}
    for relaxation in leans.roads:
        rows = [cells for cells in _change_rows(leans) if cells[1] == relaxation]
        # The road, where there is more than one, the way of moving and what it brings; the file has the rest.
        road = slice(0, 1 if len({row[0] for row in rows}) > 1 else 0)
        tables[f"What moving the mounts changes: {GRIP[relaxation]}"] = [
            [*cells[road], *cells[2:6], *cells[8:11]] for cells in ([*CHANGES], *rows)
        ]
    flags = [f"{setup}: {flag.sentence}" for setup, row in leans.runs.items() for flag in row.flags]
    question = f"Which way and how far to lean the {leans.axle} dampers?"
    # The picture's title begins with the question, which is the page's own.
    verdict = [title(leans).removeprefix(question).strip(), turning(leans)]
    told = Told(
        question, (scenario.name,), verdict, tables,
        {"More": paragraphs(leans)}, ("leans",), scenario.setups, CAUTION, flags,
    )  # fmt: skip
    write(into, told, units)


def _recorded(leans: "Leans") -> dict[str, Any]:
    """Return what the record says beside what went in."""
    from sim.show.plots.leans_told import paragraphs, title, turning
    from sim.show.report.record import flag_records

    flags = {setup: flag_records(row.flags) for setup, row in leans.runs.items()}
    # The same rows as the CSV and the screen: three accounts of one finding must not differ.
    changes = [dict(zip(CHANGES, cells, strict=True)) for cells in _change_rows(leans)]
    return {
        "finding": title(leans), "more": paragraphs(leans), "turns on how grip builds up": bool(turning(leans)),
        "changes": changes, "flags": flags,
    }  # fmt: skip


def _csv(leans: "Leans", path: Path) -> None:
    import numpy as np

    from sim.describe.shown import figure_of, headed, heading_of
    from sim.integrate.status import in_words
    from sim.study.lean import MEASURES
    from sim.study.mounts import MOVES

    with path.open("w", encoding="utf-8", newline="") as file:
        table = Table(file)
        table.writerow(
            [
                "scenario",
                "grip follows load",
                "set-up",
                "moved",
                "lean forward + [deg]",
                headed("lower mounts ahead +", "length"),
            ]
            # In the workshop's metric unit, as every CSV has.
            + [f"{label} [{heading_of(quantity) or '-'}]" for label, quantity, _, _ in MEASURES.values()]
            + ["flags", "left out", "would not fit, by an estimate"]
        )

        def line(start: list[str], tried: "Tried") -> None:
            values = [figure_of(tried.values[n], quantity) for n, (_, quantity, _, _) in MEASURES.items()]
            cells = ["" if np.isnan(value) else f"{value:.6g}" for value in values]
            table.writerow([*start, *cells, in_words(tried.flags), tried.left_out, _misfit(tried)])

        for relaxation, road, setup, row in _rows(leans):
            line([road, relaxation, setup, "as it stands", "", ""], row.stands)
            for move, moved in row.moves.items():
                for tried in moved.tried:
                    lean = MOVES[move].quantity == "angle"
                    # Two columns, one empty: an angle and a length in one column could not be drawn against each other.
                    place = (
                        [f"{np.degrees(tried.at):.4g}", ""] if lean else ["", f"{figure_of(tried.at, 'length'):.4g}"]
                    )
                    line([road, relaxation, setup, move, *place], tried)
                # A row too, so that the file says why a way of moving is not in it.
                if moved.left_out:
                    table.writerow([road, relaxation, setup, move, *[""] * (2 + len(MEASURES) + 1), moved.left_out, ""])


def _misfit(tried: "Tried") -> str:
    """Return what is wrong with a place that was run though a damper does not fit there, and what to measure."""
    misfit = tried.misfit
    if misfit is None or tried.left_out:
        return ""
    return f"measure {', '.join(misfit.measure)}: {misfit.reason}" if misfit.estimated else misfit.reason


CHANGES = (
    "scenario", "grip follows load", "set-up", "moved", "axle winds up least [deg]", "where", "most [deg]", "where most",
    "change [deg]", "share of the spread [%]", "says", "time to halve there [s]", "and as it stands [s]",
    "flagged but less still",
)  # fmt: skip


def _change_rows(leans: "Leans") -> list[list[str]]:
    """Return what each way of moving the mounts changes, with every road, set-up and way that grip follows load."""
    import numpy as np

    from sim.integrate.status import in_words
    from sim.show.plots.leans_fit import at, untried
    from sim.study.mounts import MOVES

    rows = []
    for relaxation, road, setup, row in _rows(leans):
        for move, moved in row.moves.items():
            start = [road, relaxation, setup, MOVES[move].label]
            change = leans.change(relaxation, road, setup, move)
            # Nothing that counts, as every place is left out or flagged: the row stays, with the reason.
            if change is None:
                # A fault before a place that does not fit: it is what the places that fit have.
                faults = in_words(flag for t in moved.tried for flag in t.flags)
                reason = (
                    f"FLAGGED wherever it fits: {faults}"
                    if faults
                    else f"left out: {moved.left_out}"
                    if moved.left_out
                    else f"not tried: {untried(moved)}"
                )
                rows.append([*start, *[""] * 6, reason, "", "", ""])
                continue
            if not change.matters and not moved.known:
                # So few places say nothing of the others, and a share of theirs would be read as of all.
                rows.append([*start, *[""] * 6, f"not tried: {untried(moved)}", "", "", ""])
                continue
            halves = [_halves(t.values["decay"]) for t in (change.best, row.stands)]
            better = change.flagged_better
            rows.append(
                [*start, f"{np.degrees(change.best.values['peak']):.2f}", at(move, change.best),
                 f"{np.degrees(change.worst.values['peak']):.2f}", MOVES[move].words(change.worst.at),
                 # A word, as a mechanic reads it: the share that it stands for is in the column before.
                 f"{np.degrees(change.size):.2f}", f"{100 * change.share:.0f}", _says(change, moved, row.stands),
                 *halves, f"{MOVES[move].words(better.at)}: {in_words(better.flags)}" if better else ""]
            )  # fmt: skip
    return rows


def _halves(decay_per_s: float) -> str:
    """Return in what time swings halve [s]; empty where there are no swings from which to say it."""
    if isnan(decay_per_s):
        return ""
    return f"{log(2.0) / decay_per_s:.2f}" if decay_per_s > 0.0 else "never: they grow"


def _says(change: "Change", moved: "Moved", stands: "Tried") -> str:
    """Return whether a way of moving the mounts matters to how far the pinion swings, else if its swings die out sooner, and what is not known."""
    from sim.measure.noticed import NOTICED
    from sim.show.plots.leans_fit import untried

    said = "matters" if change.matters else f"hardly matters ({change.hardly})"
    sooner = change.best.values["decay"], stands.values["decay"]
    # As the smallest difference in a time that is noticed has it, of the shorter one: a fifth.
    if not change.matters and min(sooner) > 0.0 and sooner[0] >= (1.0 + NOTICED["time"].share) * sooner[1]:
        said += ", but its swings die out sooner"
    return f"{said}; {untried(moved)}" if moved.untried else said


def _changes_csv(leans: "Leans", path: Path) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        table = Table(file)
        table.writerow(CHANGES)
        table.writerows(_change_rows(leans))


def _printed(leans: "Leans") -> None:
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    from sim.show.plots.leans_fit import told
    from sim.show.plots.leans_told import shown, title, turning
    from sim.show.report.words import words_of
    from sim.study.lean import GRIP

    print(f"{title(leans)}.")
    if turning(leans):
        print(turning(leans))
    console = Console(highlight=False, width=None if sys.stdout.isatty() else 148)
    # The file's own way that grip follows load, and the other too if the advice turns on it.
    for relaxation in shown(leans):
        print(f"\n{GRIP[relaxation]}")
        table = Table(show_edge=False, pad_edge=False, box=None)
        for column in (
            "road", "set-up", "moved", "axle winds up least", "where", "change", "share", "", "time to halve", "as it stands",
        ):  # fmt: skip
            table.add_column(column, overflow="fold")
        for cells in _change_rows(leans):
            # The file has both ways, the screen one table for each.
            if cells[1] != relaxation:
                continue
            road, _, setup, move, least, where, _, _, size, share, says, there, stands, better = cells
            if better:
                # Said, so that nobody who sees that place in the picture thinks it was overlooked.
                says += f"; less still but FLAGGED: {better}"
            there, stands = (f"{text} s" if text and text[0].isdigit() else text for text in (there, stands))
            least, size, share = (
                # An empty cell stays empty: no unit without a figure.
                text and f"{text} {unit}"
                for text, unit in ((least, "deg"), (size, "deg"), (share, "%"))
            )
            row = (road, setup, move, least, where, size, share, says, there, stands)
            table.add_row(*map(Text, row))
        console.print(table)
    for text in told(leans):
        print(f"\n{text}")
    print(f"\n{words_of(['wind-up', 'time to halve'])}")
