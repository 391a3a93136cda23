"""`jounce tramp SCENARIO`: where the wind-up of a driven axle grows by itself, over place of its dampers and slip slope."""

import argparse
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli import answer
from sim.cli.angles import angle, length
from sim.cli.flagging import say_flag
from sim.cli.progress import closing, working
from sim.errors import InputError
from sim.show.report.table_csv import Table

if TYPE_CHECKING:
    from sim.cli.folders import Results
    from sim.study.tramp.records import Tramp, TrampMap

SLOPES, BEFORE = 9, 0.6
"""How many slopes of the slip curve are tried, and the largest: well before its peak."""

SHARE = 0.55
"""The least slope tried is this share of the curve's steepest fall."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    parser.add_argument("scenario", type=Path, help="scenario file whose run is a launch")
    parser.add_argument("--setup", help="set-up (default: the first that has dampers on the driven axle)")
    parser.add_argument(
        "--from", dest="low", default="-45 deg", metavar="ANGLE", help="first lean, back negative (default: '-45 deg')"
    )
    parser.add_argument(
        "--to", dest="high", default="45 deg", metavar="ANGLE", help="last lean, forward positive (default: '45 deg')"
    )
    parser.add_argument(
        "--reach", default="180 mm", metavar="LENGTH",
        help="how far ahead of and behind the axle's centre both mounts are moved (default: '180 mm')",
    )  # fmt: skip
    parser.add_argument("--steps", type=int, default=9, help="how many places of each, 3 to 25 (default: 9)")
    parser.add_argument("--outputs", type=Path, default=Path("outputs"), help="folder for results (default: outputs)")


def run(options: argparse.Namespace) -> int:
    """Work out the maps, tell where tramp starts, write plot, CSV and record."""
    import numpy as np

    from sim.cli.compiling import ready_for_a_run
    from sim.cli.folders import place
    from sim.cli.notices import notices
    from sim.describe.files.scenario import load_scenario
    from sim.errors import RunError
    from sim.machine.found import found_by_two
    from sim.study.tramp.map import tramp
    from sim.study.tramp.motions import slopes_of

    # The same bounds as `jounce lean`, whose answers these maps explain.
    low, high = angle(options.low, "--from", -60.0, 60.0), angle(options.high, "--to", -60.0, 60.0)
    if low >= high:
        raise InputError(f"--from must be less than --to\n    given: {options.low} and {options.high}")
    reach = length(options.reach, "--reach", 10.0, 400.0)
    # Fewer than there: each place is a whole row of slopes, and every second one has runs of the full model.
    if not 3 <= options.steps <= 25:
        raise InputError(f"--steps: allowed is 3 to 25\n    given: {options.steps}")
    scenario = load_scenario(options.scenario)
    notices(scenario)
    # None of runs in which no wheel pulls away: nothing feeds a swing there.
    surface = scenario.run.pulls_away_on
    if surface is None:
        raise InputError(f"{options.scenario}: its run is a {scenario.run.kind}; tramp is mapped for a launch.")
    name, vehicle, axle = _chosen(scenario, options.setup)
    try:
        # How steeply grip falls past its peak depends on tyre and surface, so the range is taken from the curve.
        steepest, _ = slopes_of(surface, vehicle, axle)
        # From grip over the peak (0) into sliding: where on this line tramp starts is the answer.
        slopes = np.linspace(BEFORE, SHARE * steepest, SLOPES)
        leans, ahead = (np.linspace(*ends, options.steps) for ends in ((low, high), (-reach, reach)))
        ready_for_a_run(driven=True)
        said: list[Callable[[str], None]] = []

        def by_two(pieces: Sequence[Callable[[], Any]]) -> list[Any]:
            # The copy before the spinner: no process is copied while another thread runs. It has nobody to tell.
            said.clear()
            with found_by_two(pieces, [vehicle]) as found, working("Starting") as status:
                said[:] = [status]
                return found()

        mapped = tramp(
            name, vehicle, axle, surface, leans, ahead, slopes, lambda text: said[0](text) if said else None, by_two
        )
    except ValueError as error:
        raise RunError(f"{axle} tyre on {surface.name}: {error}") from error
    results = place(options.outputs, options.scenario, "_tramp")
    folder = results.folder
    # Files before the screen: minutes of work are safe whatever the terminal does.
    _written(mapped, results, scenario, _command(options, name))
    _printed_maps(mapped)
    flagged = _flagged(mapped)
    if answer.wanted():
        answer.wrote(folder)
        answer.add(**_as_json(mapped, scenario))
    closing(f"\nWrote {len(list(folder.iterdir()))} files to {folder}; look at {folder / 'tramp.png'} first.")
    return 3 if flagged else 0


def _as_json(found: "Tramp", scenario: Any) -> dict[str, Any]:
    """Return where tramp starts at each place, as parts of an answer; every point is in tramp.csv."""
    from sim.show.plots.tramp_told import held, paragraphs, title, turning
    from sim.study.mounts import MOVES

    rows = [
        {"moved": one.move, "grip_follows_load": one.relaxation, "place_in_words": one.words(i)}
        | {"place": answer.number(float(one.places[i]), MOVES[one.move].quantity)}
        | dict(zip(COLUMNS, cells, strict=True))
        for one in found.maps
        for i, cells in enumerate(_rows(one))
    ]
    return {
        "name": scenario.name, "question": scenario.question, "rows": {"places": rows},
        "verdict": [text for text in (title(found), turning(found), held(), *paragraphs(found)) if text],
        "flags": [answer.flag_of(one.name, flag) for one in found.maps for flag in one.flags],
    }  # fmt: skip


def _command(options: argparse.Namespace, name: str) -> str:
    return (
        f"jounce tramp {options.scenario.name} --setup '{name}' --from '{options.low}' --to '{options.high}' "
        f"--reach '{options.reach}' --steps {options.steps}"
    )


def _chosen(scenario: Any, setup: str | None) -> tuple[str, Any, str]:
    """Return the set-up that is mapped and its driven axle."""
    from sim.describe.runs.needed import needed

    # First of all: without a driveline no axle is driven, and there is none to choose.
    needed(scenario.vehicle, "Tramp", driven=True, braked=False)
    line = scenario.vehicle.driveline
    axle = "front" if line is not None and line.drive == "front" else "rear"
    if setup is not None and setup not in scenario.setups:
        raise InputError(f"--setup: there is no set-up '{setup}'\n    allowed: {', '.join(scenario.setups)}")
    wanted = [setup] if setup is not None else list(scenario.setups)
    for name in wanted:
        if getattr(scenario.setups[name], axle).dampers:
            return name, scenario.setups[name], axle
    raise InputError(f"{scenario.path.name}: no {axle} dampers there to lean.")


def _printed_maps(found: "Tramp") -> None:
    """Print the finding, what it turns on, and a row for every place."""
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    from sim.show.plots.tramp_told import held, not_fitting, title, turning
    from sim.show.report.words import words_of
    from sim.study.lean import GRIP
    from sim.study.mounts import MOVES

    print(f"{title(found)}.")
    if turning(found):
        print(turning(found))
    print(held())
    console = Console(highlight=False, width=None if sys.stdout.isatty() else 132)
    for one in found.maps:
        # The other way that grip follows load fills the screen only where the advice turns on it.
        if one.relaxation != found.relaxation and not turning(found):
            continue
        print(f"\n{MOVES[one.move].label}, {GRIP[one.relaxation]}")
        table = Table(show_edge=False, pad_edge=False, box=None)
        rows = _rows(one)
        # A column of which no row says anything only takes the others' room.
        said = [k for k in range(len(COLUMNS)) if any(cells[k] for cells in rows)]
        for column in ("place", *(COLUMNS[k] for k in said)):
            table.add_column(column, overflow="fold")
        for i, cells in enumerate(rows):
            table.add_row(*map(Text, (one.words(i), *(cells[k] for k in said))))
        console.print(table)
    for text in not_fitting(found):
        print(f"\n{text}")
    print(f"\n{words_of([*COLUMNS, 'slope of grip', 'wind-up', 'pitch'])}")


COLUMNS = ("tramp starts", "what tramps first", "wind-up itself grows", "also grows", "runs")


def _rows(one: "TrampMap") -> list[list[str]]:
    """Return what is said of each place: tramp, what tramps first, wind-up itself, what else grows, flags of its runs."""
    from sim.integrate.status import in_words
    from sim.study.tramp.records import in_words as stretches

    rows = []
    for i, row in enumerate(one.points):
        # A place at which a damper does not fit keeps its row: it may be just the one that somebody has in mind.
        if not row:
            rows.append([f"not tried: {one.left_out[i].reason}", *[""] * (len(COLUMNS) - 1)])
            continue
        # Of runs at this place alone; one.flags has those of the whole map.
        flagged = in_words(one.flags_at(i))
        # Wind-up by itself beside what tramps first: it need not be the same motion.
        own = stretches(one.stretches(one.damping[i]))
        rows.append(
            [one.tramps(i), one.first_name(i) or "nothing", own, one.also(i), flagged and f"flagged: {flagged}"]
        )
    return rows


def _flagged(found: "Tramp") -> bool:
    """Tell every flag of the confirming runs, once a map; return whether there was one."""
    from sim.study.lean import GRIP
    from sim.study.mounts import MOVES

    for one in found.maps:
        for flag in one.flags:
            say_flag(f"{MOVES[one.move].label}, {GRIP[one.relaxation]}: {flag.sentence}")
    # A flag is not tramp: that run left what the model is valid for, and confirms nothing.
    return any(one.flags for one in found.maps)


def _written(found: "Tramp", results: "Results", scenario: Any, command: str) -> None:
    from sim.show.plots.save import saved
    from sim.show.plots.tramp_stability import figure
    from sim.show.report import record
    from sim.show.report.write import MARKER, written

    def fill(into: Path) -> None:
        _csv(found, into / "tramp.csv")
        _starts_csv(found, into / "tramp_starts.csv")
        record.save(record.origin(scenario, command) | _recorded(found) | {"assumes": record.ASSUMES}, into / MARKER)
        saved(figure(found), into / "tramp")

    written(results.folder, fill, results.of)


def _recorded(found: "Tramp") -> dict[str, Any]:
    """Return what the record says beside what went in."""
    from sim.show.plots.tramp_told import paragraphs, title, turning
    from sim.show.report.record import flag_records
    from sim.study.lean import GRIP
    from sim.study.mounts import MOVES

    maps = [
        {
            "moved": MOVES[one.move].label, "grip": GRIP[one.relaxation],
            "places": {
                one.words(i): dict(zip(COLUMNS, cells, strict=True)) for i, cells in enumerate(_rows(one))
            },
            "flags": flag_records(one.flags),
        }
        for one in found.maps
    ]  # fmt: skip
    said = {"finding": title(found), "more": paragraphs(found), "turns on how grip builds up": bool(turning(found))}
    return {"set-up": found.maps[0].name} | said | {"maps": maps}


def _heads_of_place() -> list[str]:
    """Return the heads of what each row of a CSV begins with."""
    from sim.describe.shown import heading_of

    return ["moved", "grip follows load", f"place [deg or {heading_of('length')}]", "place in words"]


def _place(one: "TrampMap", i: int) -> list[str]:
    """Return how each row of a CSV begins."""
    from sim.describe.shown import show_parts
    from sim.study.mounts import MOVES

    move = MOVES[one.move]
    # An angle or a length, by the way of moving: hence the words beside the number.
    number = show_parts(float(one.places[i]), move.quantity)[0][0]
    return [one.move, one.relaxation, f"{number:.4g}", one.words(i)]


def _starts_csv(found: "Tramp", path: Path) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        table = Table(file)
        # The short account; every point of the map is in tramp.csv.
        table.writerow([*_heads_of_place(), *COLUMNS])
        for one in found.maps:
            for i, cells in enumerate(_rows(one)):
                table.writerow([*_place(one, i), *cells])


def _csv(found: "Tramp", path: Path) -> None:
    import numpy as np

    from sim.integrate.status import in_words

    with path.open("w", encoding="utf-8", newline="") as file:
        table = Table(file)
        table.writerow(
            [*_heads_of_place(), "slip slope [share of load]", "slip [%]", "wind-up: damping ratio [-]", "wind-up: frequency [Hz]",
             "wind-up: growth [1/s]", "wind-up: likeness of its shape to the point before [-]", "least damped other motion", "other: damping ratio [-]",
             "other: frequency [Hz]", "other: pinion nods", "run: early swing [deg]", "run: late swing [deg]",
             "run: frequency [Hz]", "run tramps", "run: flags"]
        )  # fmt: skip
        for one in found.maps:
            for i, row in enumerate(one.points):
                for j, p in enumerate(row):
                    # The least damped of them: if any other motion grows, this one does.
                    other = p.others[0] if p.others else None
                    beside = ["", "", "", ""] if other is None else [
                        other.name, f"{other.damping_ratio:.5g}", f"{other.frequency_hz:.4g}", "yes" if other.nods else "no"
                    ]  # fmt: skip
                    # Most points have the linear view only: runs are made on both sides of where tramp starts.
                    ran = one.ran.get((i, j))
                    run_cells = ["", "", "", "", ""] if ran is None else [
                        f"{np.degrees(ran.first_rad):.4g}", f"{np.degrees(ran.last_rad):.4g}",
                        "" if np.isnan(ran.frequency_hz) else f"{ran.frequency_hz:.4g}", "yes" if ran.tramps else "no",
                        in_words(ran.flags),
                    ]  # fmt: skip
                    table.writerow(
                        [*_place(one, i), f"{p.slip_slope:.4g}", f"{100 * p.slip:.4g}", f"{p.damping_ratio:.5g}",
                         f"{p.frequency_hz:.4g}", f"{p.growth_per_s:.5g}", f"{p.alike:.3f}", *beside, *run_cells]
                    )  # fmt: skip
