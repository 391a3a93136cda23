"""`jounce stand FILE`: how a vehicle, or every set-up of a scenario, stands and how it moves by itself."""

import argparse
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from textwrap import fill
from typing import TYPE_CHECKING, Any

from sim.cli import answer
from sim.cli.flagging import of_several, say_alike
from sim.cli.progress import closing
from sim.errors import InputError, LiftedError, OutputError, RunError

if TYPE_CHECKING:
    from collections.abc import Callable

    from rich.console import Console

    from sim.describe.parts.vehicle import Vehicle
    from sim.linear.standing import Standing
    from sim.show.report.standing import Column, Rows
    from sim.study.doubt.unknowns import Unknown


CAUTION = (
    "measure on hard, level ground with the wheels chocked; a raised truck stands on stands under its frame, never "
    "on a jack, a damper or a hose alone."
)
"""What can hurt somebody who does this work."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    parser.add_argument("file", type=Path, help="vehicle or scenario file")
    parser.add_argument(
        "--picture",
        type=Path,
        metavar="FOLDER",
        help="folder for pictures: each set-up in side view, and its natural modes",
    )
    parser.add_argument(
        "--all", action="store_true",
        help="every number: rates, instant centres, all natural modes, all usual ranges, and what each estimate comes from",
    )  # fmt: skip
    parser.add_argument("--no-doubt", action="store_true", help="take every number at its central value: no bands")


def run(options: argparse.Namespace) -> int:
    """Print how they stand in a sentence, then what a workshop needs first, or with `--all` every number of every set-up."""
    from sim.cli.notices import caution, notices, of_standing
    from sim.cli.setups import vehicle_given
    from sim.describe.files.reader import shown
    from sim.describe.files.scenario import Scenario, load_kept
    from sim.describe.parts.vehicle import Vehicle
    from sim.describe.shown import show_short
    from sim.integrate.flags import refused
    from sim.linear.modes import DAMPER_SPEED
    from sim.linear.standing import stand
    from sim.show.report.first_words import stands

    loaded, read = load_kept(options.file)
    given: Any = loaded
    if isinstance(loaded, Scenario):
        setups = loaded.setups
    elif isinstance(loaded, Vehicle):
        given = vehicle_given(loaded, options.file, read)
        setups = {loaded.name: loaded}
    else:
        raise InputError(f"{options.file}: a course does not stand; give a vehicle or a scenario file.")
    notices(loaded)
    columns: dict[str, Standing] = {}
    cannot: dict[str, LiftedError] = {}
    for name, vehicle in setups.items():
        try:
            columns[name] = stand(vehicle)
        # A load is a finding of one set-up; what no truck can be is a mistake of the file.
        except LiftedError as error:
            cannot[name] = error
        except RunError as error:
            raise RunError(f"set-up '{name}': {error}") from error
    # Of a scenario the others are shown all the same; with none there is no table.
    if not columns:
        raise RunError("\n".join(f"set-up '{name}': {error}" for name, error in cannot.items()))
    # From here on those that stand: bands and tables of the others would be empty; flags name them.
    setups = {name: setups[name] for name in columns}
    unknowns, bands = ((), {}) if options.no_doubt else _doubt(setups)
    first = stands(columns)
    _printed(first, columns, bands, options.all)
    _said_of_doubt(setups, unknowns, bands, options.all)
    if options.picture is not None:
        _drawn(columns, options.picture, given)
    flagged = [(name, flag) for name, standing in columns.items() for flag in standing.flags]
    # Flagged, not refused: the file is right, and the others were shown.
    flagged += [(name, refused(error)) for name, error in cannot.items()]
    answer.add(
        name=given.name, question=given.question, verdict=[first],
        setups={name: {"measures": _measures(standing, bands.get(name, {}))} for name, standing in columns.items()},
        flags=[answer.flag_of(name, flag) for name, flag in flagged],
    )  # fmt: skip
    say_alike(flagged, str, of_several)
    for text in _not_measured(setups):
        print(text)
    of_standing(setups if isinstance(loaded, Scenario) else dict(zip(("",), setups.values(), strict=False)))
    caution(CAUTION)
    rest = (
        ""
        if options.all
        else f"\nMore (rates, instant centres, wind-up, usual ranges): jounce stand {shown(options.file)} --all"
    )
    closing(
        "\nRatios and frequencies take dampers as straight lines that work as hard "
        f"at {show_short(DAMPER_SPEED, 'speed', (1, 0))}, and leaf packs as slipping. The ratio of an axle takes its tyres as rigid; that of a swing of the body counts them, so it is less.{rest}\n"
        "Next: jounce compare a scenario with these set-ups.",
    )
    return 3 if flagged else 0


def _measures(standing: "Standing", bands: "Mapping[tuple[str, ...], Any]") -> dict[str, Any]:
    """Return how one set-up stands, as numbers in SI, each with its band if it has one."""
    from sim.show.report.standing import AXLE_ROWS, DAMPER_ROWS, WHOLE

    found: dict[str, Any] = {}

    def put(owner: Any, key: str, quantity: str, *place: str) -> None:
        band = bands.get((*place, key))
        more = {} if band is None else {"between": [band.low, band.high]}
        found[".".join([*filter(None, place), key])] = answer.number(getattr(owner, key), quantity, **more)

    for _, key, quantity in WHOLE:
        put(standing, key, quantity, "")
    for name, axle in standing.axles.items():
        # The load stands there twice for people, as a mass and as a force.
        for key, quantity in {key: quantity for _, key, quantity in reversed(AXLE_ROWS)}.items():
            put(axle, key, quantity, name)
        put(axle, "anti_share", "percent", name)
        for damper in axle.dampers:
            for _, key, quantity in DAMPER_ROWS:
                put(damper, key, quantity, name, damper.name)
    for mode in standing.modes:
        found[f"mode.{mode.name}.frequency"] = answer.number(mode.frequency_hz, "frequency")
        found[f"mode.{mode.name}.damping_ratio"] = answer.number(mode.damping_ratio, "number")
    return found


def _not_measured(setups: "Mapping[str, Vehicle]") -> list[str]:
    """Return of which dampers the room at their ends is not known, and what to measure; each once for all set-ups that share it."""
    from sim.describe.to_measure import listed, unmeasured

    said: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for setup, vehicle in setups.items():
        for axle, part in vehicle.axles:
            for name in part.dampers:
                if missing := unmeasured(vehicle, axle, name):
                    said.setdefault((f"{axle} damper '{name}'", missing), []).append(setup)
    return [
        f"{who}{'' if len(of) == len(setups) else ' of ' + ', '.join(of)}: whether it fits is not known, as lengths are estimated. "
        f"Measure {listed(missing)}."
        for (who, missing), of in said.items()
    ]


def _drawn(columns: "Mapping[str, Standing]", folder: Path, given: Any) -> None:
    """Draw into a folder, which is replaced whole if it holds pictures of this command, and left alone if it holds anything else."""
    from sim.cli.folders import distinct
    from sim.show.plots.mode_shapes import figure as shapes
    from sim.show.plots.save import saved
    from sim.show.plots.side_view import figure
    from sim.show.report import record
    from sim.show.report.write import MARKER, written

    # With both endings: a set-up may be called `empty_modes` beside one called `empty`.
    stems = distinct(columns, ends=("", "_modes"))

    def fill(into: Path) -> None:
        for name, standing in columns.items():
            saved(figure(name, standing), into / stems[name])
            saved(shapes(name, standing), into / f"{stems[name]}_modes")
        flags = {"flags": {name: record.flag_records(standing.flags) for name, standing in columns.items()}}
        # FOLDER as a word: a record holds no path of anybody's machine.
        record.save(flags | record.origin(given, f"jounce stand {given.path.name} --picture FOLDER"), into / MARKER)

    try:
        # Without `of`: the person has named this very folder, whatever results of ours it holds.
        written(folder, fill)
    except OutputError as error:
        # The advice is written for --outputs, which this command has not.
        raise OutputError(str(error).replace("--outputs", "--picture")) from None
    answer.wrote(folder)
    for stem in stems.values():
        for end in ("", "_modes"):
            print(f"Drew {folder / f'{stem}{end}.png'}", file=sys.stderr)


Bands = dict[str, dict[tuple[str, ...], Any]]
"""By set-up and by where a number stands."""


def _doubt(setups: "Mapping[str, Vehicle]") -> "tuple[Sequence[Unknown], Bands]":
    from sim.describe.doubtful import any_in_doubt

    if not any_in_doubt(setups.values()):
        return (), {}
    # Draws need a library that takes a while to load; a file without doubt does without.
    from sim.study.doubt.standing import doubted_standing

    return doubted_standing(setups)


def _said_of_doubt(
    setups: "Mapping[str, Vehicle]", unknowns: "Sequence[Unknown]", bands: Bands, everything: bool
) -> None:
    from sim.describe.doubtful import assumed, estimates_of
    from sim.describe.shown import written_now
    from sim.show.report.assumed import assumed_sentence
    from sim.show.report.estimated import table

    estimates = estimates_of(setups.values())
    if unknowns:
        of_estimates = {one.path for one in estimates}
        numbers = [
            f"{one.path} ({written_now(one.what.doubt.written, beside=True)})"
            for one in unknowns
            if one.path not in of_estimates
        ]
        numbers += ["what is estimated"] if of_estimates else []
        print(
            f"After 'between': what the numbers in doubt leave open, 95 times in 100. In doubt: {', '.join(numbers)}."
        )
        for name in setups:
            if name not in bands:
                print(
                    f"'{name}': no bands, as with most tries of the numbers in doubt it cannot stand: make their doubt smaller."
                )
    nothing = {one.path: one for vehicle in setups.values() for one in assumed(vehicle)}
    if nothing:
        print(assumed_sentence(tuple(nothing.values())))
    if estimates and not everything:
        print(
            f"Estimated, as nobody measured them: {len(estimates)} numbers; --all lists them, and what each comes from."
        )
    elif estimates:
        print()
        _console().print(table(estimates))
        print()


def _console() -> "Console":
    from rich.console import Console

    # 112 where there is no terminal: the first column and two set-ups.
    return Console(highlight=False, width=None if sys.stdout.isatty() else 112)


def _printed(first: str, columns: "Mapping[str, Standing]", bands: Bands, everything: bool) -> None:
    from rich.text import Text

    from sim.show.report import standing

    _console().print(Text(first, style="bold"))
    print()
    each = {name: standing.Column(one, bands.get(name, {})) for name, one in columns.items()}
    if everything:
        _table(each, standing.rows, "", CELL)
        return
    if len(each) == 1:
        # Both axles side by side, below the name of the truck.
        ((name, only),) = each.items()
        _table({axle: only for axle in standing.AXLES}, lambda _: standing.first_rows(only), name, CELL)
    else:
        _table(each, standing.first_rows_of_each, "", NARROW)
    _table(each, standing.of_body_rows, "how the body swings by itself", CELL)
    if any(one.clearances for one in columns.values()):
        _table(each, standing.clearance_rows, "clearances, wheels straight ahead", CELL)
    lines = standing.unusual_lines(columns)
    console = _console()
    print("Out of what is usual in the trade (common practice, no source):" if lines else "All as usual in the trade.")
    for line in lines:
        print(fill(line, console.width, initial_indent="  ", subsequent_indent="    "))
    print()


def _table(columns: "Mapping[str, Column]", rows: "Callable[[Sequence[Column]], Rows]", head: str, cell: int) -> None:
    """Print a table, in as many parts as the width asks for: a folded column of figures cannot be read."""
    from rich.table import Table
    from rich.text import Text

    console = _console()
    beside = max(1, (console.width - LABEL) // cell)
    names = list(columns)
    for start in range(0, len(names), beside):
        part = names[start : start + beside]
        lines = rows([columns[name] for name in part])
        table = Table(show_edge=False, pad_edge=False, box=None)
        longest = max(len(label) for label, _ in lines)
        # The labels give way, down to 20 letters, before the figures do.
        table.add_column(
            Text(head), width=min(max(longest, len(head)), max(console.width - len(part) * cell, 20)), overflow="fold"
        )
        for name in part:
            table.add_column(Text(name), justify="right", width=cell - 2, overflow="fold")
        for label, cells in lines:
            table.add_row(Text(label), *map(Text, cells))
        console.print(table)
        console.print()


LABEL, CELL, NARROW = 50, 31, 20
"""Letters of the first column, and of each further one with words or with figures alone; set-ups with no room beside come beneath."""
