"""`jounce stand FILE`: how a vehicle, or every set-up of a scenario, stands and how it moves by itself."""

import argparse
import sys
from collections.abc import Mapping, Sequence
from math import isfinite, nan
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli import answer
from sim.cli.progress import closing
from sim.errors import InputError, LiftedError, OutputError, RunError

if TYPE_CHECKING:
    from sim.describe.parts.vehicle import Vehicle
    from sim.linear.modes import Mode
    from sim.linear.standing import Standing
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
    parser.add_argument("--no-doubt", action="store_true", help="take every number at its central value: no bands")


def run(options: argparse.Namespace) -> int:
    """Print how they stand in a sentence, then a table: rows of quantities, a column a set-up."""
    from sim.cli.notices import caution, notices
    from sim.cli.setups import vehicle_given
    from sim.describe.files.scenario import Scenario, load_kept
    from sim.describe.parts.vehicle import Vehicle
    from sim.integrate.flags import refused
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
    setups = {name: setups[name] for name in columns}
    unknowns, bands = ((), {}) if options.no_doubt else _doubt(setups)
    first = stands(columns)
    _printed(first, columns, bands)
    _said_of_doubt(setups, unknowns, bands)
    if options.picture is not None:
        _drawn(columns, options.picture, given)
    flagged = [(name, flag) for name, standing in columns.items() for flag in standing.flags]
    flagged += [(name, refused(error)) for name, error in cannot.items()]
    answer.add(
        name=given.name, question=given.question, verdict=[first],
        setups={name: {"measures": _measures(standing, bands.get(name, {}))} for name, standing in columns.items()},
        flags=[answer.flag_of(name, flag) for name, flag in flagged],
    )  # fmt: skip
    for name, flag in flagged:
        print(f"FLAGGED  {name}: {flag.sentence}")
    for text in _not_measured(setups):
        print(text)
    caution(CAUTION)
    closing(
        "\nRatios and natural modes take dampers as straight lines that work as hard "
        "at 0.1 m/s (4 in/s), and leaf packs as slipping.\nNext: jounce compare a scenario with these set-ups.",
    )
    return 3 if flagged else 0


def _measures(standing: "Standing", bands: "Mapping[tuple[str, ...], Any]") -> dict[str, Any]:
    """Return how one set-up stands, as numbers in SI, each with its band if it has one."""
    found: dict[str, Any] = {}

    def put(owner: Any, key: str, quantity: str, *place: str) -> None:
        band = bands.get((*place, key))
        more = {} if band is None else {"between": [band.low, band.high]}
        found[".".join([*filter(None, place), key])] = answer.number(getattr(owner, key), quantity, **more)

    for key, quantity in WHOLE:
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


WHOLE = (
    ("sprung_mass", "mass"), ("cg_behind_front_axle", "length"), ("cg_above_ground", "length"), ("nose_up", "angle"),
)  # fmt: skip
"""Numbers of a standing truck as a whole, and what they are."""


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
    from sim.describe.doubtful import doubtful

    vehicles = {id(one): one for vehicle in setups.values() for one in (vehicle, vehicle.reference)}.values()
    if not any(True for vehicle in vehicles for _ in doubtful(vehicle)):
        return (), {}
    # Draws need a library that takes a while to load; a file without doubt does without.
    from sim.study.doubt.standing import doubted_standing

    return doubted_standing(setups)


def _said_of_doubt(setups: "Mapping[str, Vehicle]", unknowns: "Sequence[Unknown]", bands: Bands) -> None:
    from sim.describe.doubtful import assumed, estimates_of
    from sim.show.report.assumed import assumed_sentence
    from sim.show.report.estimated import table

    estimates = estimates_of(setups.values())

    if unknowns:
        of_estimates = {one.path for one in estimates}
        numbers = [f"{one.path} ({one.what.doubt.written})" for one in unknowns if one.path not in of_estimates]
        numbers += ["what is estimated below"] if of_estimates else []
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
    if estimates:
        from rich.console import Console

        print()
        Console(highlight=False, width=None if sys.stdout.isatty() else 112).print(table(estimates))
        print()


def _printed(first: str, columns: "Mapping[str, Standing]", bands: Bands) -> None:
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    from sim.linear.placing import placings
    from sim.show.report.placed import placed_rows

    # 112 where there is no terminal: the first column and two set-ups.
    console = Console(highlight=False, width=None if sys.stdout.isatty() else 112)
    # Set-ups that have no room beside the others come beneath, as a folded column of figures cannot be read.
    beside = max(1, (console.width - LABEL) // CELL)
    names = list(columns)
    console.print(Text(first, style="bold"))
    console.print()
    for start in range(0, len(names), beside):
        part = names[start : start + beside]
        table = Table(show_edge=False, pad_edge=False, box=None)
        table.add_column("", width=min(LABEL, max(console.width - len(part) * CELL, 20)), overflow="fold")
        for name in part:
            table.add_column(Text(name), justify="right", width=CELL - 2, overflow="fold")
        for label, cells in rows([columns[name] for name in part], [bands.get(name, {}) for name in part]):
            table.add_row(Text(label), *map(Text, cells))
        table.add_row(Text("against what is usual in the trade (no source)"), *[Text("")] * len(part))
        for label, cells in placed_rows([placings(columns[name]) for name in part]):
            table.add_row(Text(f"  {label}".replace("\n", "\n  ")), *map(Text, cells))
        console.print(table)
        console.print()


def rows(
    columns: "Sequence[Standing]", bands: "Sequence[Mapping[tuple[str, ...], Any]] | None" = None
) -> list[tuple[str, list[str]]]:
    """Return the table's rows as a label with units and a text for each set-up; with `bands`, each number's band below it."""
    from sim.describe.shown import system
    from sim.integrate.result import in_words
    from sim.linear.droop import ENDS

    doubts = list(bands) if bands is not None else [{}] * len(columns)
    inches = all(column.vehicle.typed_system == "inch" for column in columns)

    def row(label: str, values: list[float], quantity: str, *place: str) -> list[tuple[str, list[str]]]:
        known = [each.get(place) for each in doubts]
        made = [_row(label, values, quantity)]
        said = [_between(band, quantity, inches) for band in known]
        if any(text != "-" for text in said):
            made.append((" " * (len(label) - len(label.lstrip()) + 2) + "between", said))
        return made

    lines = [
        *row("sprung mass", [c.sprung_mass for c in columns], "mass", "", "sprung_mass"),
        *row(
            "  its centre, behind the front axle", [c.cg_behind_front_axle for c in columns], "length",
            "", "cg_behind_front_axle",
        ),
        *row("  its centre, above the ground", [c.cg_above_ground for c in columns], "length", "", "cg_above_ground"),
        *row("nose up from the measured stance", [c.nose_up for c in columns], "angle", "", "nose_up"),
    ]  # fmt: skip
    for name in ("front", "rear"):
        lines.append((f"{name} axle", [""] * len(columns)))
        axles = [c.axles[name] for c in columns]
        for label, key, quantity in AXLE_ROWS:
            # Of inch units, lb and lbf are the same figure.
            if quantity == "force" and system() == "inch":
                continue
            lines += row(f"  {label}", [getattr(axle, key) for axle in axles], quantity, name, key)
            if key == "droop_left":
                lines.append(("    droop ends", [ENDS[axle.droop.place] for axle in axles]))
        # Which way an end is held depends on the torque: behind it is the drive that matters, in front the brake.
        anti = "anti-squat, rear drive" if name == "rear" else "anti-dive, all braking in front"
        lines += row(f"  {anti}", [axle.anti_share for axle in axles], "percent", name, "anti_share")
        # Sets by name over all set-ups: one with two sets must line up with one that has only the first.
        for key in dict.fromkeys(d.name for axle in axles for d in axle.dampers):
            sets = [next((d for d in axle.dampers if d.name == key), None) for axle in axles]
            for label, field, quantity in DAMPER_ROWS:
                # nan shows as a dash: that set-up has no such damper.
                values = [nan if one is None else getattr(one, field) for one in sets]
                lines += row(f"  damper '{key}': {label}", values, quantity, name, key, field)
    if any(c.flags for c in columns):
        lines.append(("flagged", [in_words(c.flags) or "-" for c in columns]))
    lines.append(("natural modes: frequency, damping ratio, place of the centre", [""] * len(columns)))
    # Set-ups need not have as many modes as each other.
    for number in range(max(len(c.modes) for c in columns)):
        texts = [_mode(c.modes[number]) if number < len(c.modes) else "-" for c in columns]
        lines.append((f"  mode {number + 1}", texts))
        names = [c.modes[number].name if number < len(c.modes) else "" for c in columns]
        both = [
            [each.get(("mode", own, key)) for key in ("frequency", "damping_ratio")]
            for own, each in zip(names, doubts, strict=True)
        ]
        if any(any(pair) for pair in both):
            said = ["; ".join(_between(band, "number", inches) for band in pair if band) or "-" for pair in both]
            lines.append(("    between", said))
    return lines


def _between(band: Any, quantity: str, inches: bool) -> str:
    from sim.describe.shown import show_parts

    if band is None:
        return "-"
    # One unit alone, that of whoever measured the truck: two ends in two systems have no room in a column.
    (low, unit), (high, _) = (show_parts(end, quantity)[-1 if inches else 0] for end in (band.low, band.high))
    wide = max(abs(low), abs(high))
    decimals = 0 if wide >= 1000.0 else 1 if wide >= 10.0 else 2
    if f"{low:.{decimals}f}" == f"{high:.{decimals}f}":
        return "-"  # the doubt does not reach the last digit
    return f"{low:.{decimals}f} to {high:.{decimals}f}{f' {unit}' if unit else ''}"


LABEL, CELL = 50, 31
"""Letters of the first column and of each further one; set-ups with no room beside come beneath."""

AXLE_ROWS = (
    ("load on the ground", "load", "load"),
    ("the same as a force", "load", "force"),
    ("sprung mass that it carries", "sprung_mass", "mass"),
    ("unsprung mass", "unsprung_mass", "mass"),
    ("axle's centre above the ground", "centre_height", "length"),
    ("axle up from the measured height", "jounce", "length"),
    ("springs' rate at the axle", "wheel_rate", "stiffness"),
    ("tyres' rate", "tyre_rate", "stiffness"),
    ("ride rate, both in series", "ride_rate", "stiffness"),
    ("ride frequency of this end", "ride_frequency", "frequency"),
    ("damping ratio of this end", "damping_ratio", "number"),
    ("of it the friction of the dampers' seals", "friction_ratio", "number"),
    ("wind-up rate", "wind_up_rate", "angular_stiffness"),
    ("bump travel left", "travel_left_up", "length"),
    ("droop travel left", "droop_left", "length"),
    ("instant centre ahead of the axle", "instant_centre_ahead", "distance"),
    ("instant centre above the ground", "instant_centre_above", "distance"),
)
DAMPER_ROWS = (
    ("motion ratio", "motion_ratio", "number"),
    ("length", "length", "length"),
    ("stroke left inwards", "stroke_left_in", "length"),
    ("stroke left outwards", "stroke_left_out", "length"),
    ("room to its extended end where droop ends", "room_in_droop", "length"),
    ("damping at the axle", "damping_at_wheel", "damping"),
    ("arm against wind-up", "wind_up_arm", "length"),
    ("oil in one", "oil_mass", "oil_mass"),
    ("heat that warms one by a degree", "heat_capacity", "heat_capacity"),
)


def _row(label: str, values: list[float], quantity: str) -> tuple[str, list[str]]:
    from sim.describe.shown import show_numbers, unit_names

    return f"{label} {unit_names(quantity)}".rstrip(), [
        show_numbers(v, quantity) if isfinite(v) else "-" for v in values
    ]


def _mode(mode: "Mode") -> str:
    from sim.describe.shown import show_short

    centre = mode.centre_behind_front_axle_m
    # A body that goes straight up and down swings about a point far away: a kilometre says nothing.
    about = (
        f", {show_short(centre, 'distance', (1, 1)).partition(' (')[0]}"
        if isfinite(centre) and abs(centre) < 50
        else ""
    )
    return f"{mode.name} {mode.frequency_hz:.2f} Hz, {mode.damping_ratio:.2f}{about}"
