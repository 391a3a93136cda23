"""`jounce convert FILE`: one damper to two a side, tube up or down, lean through the travel, the height that gas adds."""

import argparse
import sys
from collections.abc import Mapping, Sequence
from math import degrees, isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli import answer
from sim.cli.flagging import of_several, say_alike
from sim.cli.progress import closing
from sim.cli.units import told_in_both
from sim.describe.shown import System
from sim.errors import InputError, RunError

if TYPE_CHECKING:
    from sim.cli.folders import Results
    from sim.describe.parts.vehicle import Vehicle
    from sim.integrate.status import Flag
    from sim.study.convert import Converted, EndUp, GasLift, Through

Cells = list[list[str]]


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    parser.add_argument("file", type=Path, help="vehicle or scenario file")
    parser.add_argument(
        "--from", dest="given", metavar="SETUP", help="set-up that is converted (default: the first with dampers)"
    )
    parser.add_argument(
        "--to", dest="wanted", metavar="SETUP",
        help="set-up whose dampers are to give the same at the wheel (default: the same mounts, twice as many dampers)",
    )  # fmt: skip
    parser.add_argument("--outputs", type=Path, default=Path("outputs"), help="folder for results (default: outputs)")


def run(options: argparse.Namespace) -> int:
    """Print four tables; write them, and a picture of each."""
    import numpy as np

    from sim.cli.folders import place, slug
    from sim.cli.notices import caution
    from sim.cli.setups import asked, chosen
    from sim.describe.parts.dampers.testing import FIVE_SPEEDS
    from sim.show.report.first_words import converts
    from sim.study import convert as conversions

    given, setups, _ = asked(options.file)
    # By default the first with dampers: scenarios often have a set-up without any, to compare with.
    name = chosen(options.file, options.given, setups, "--from")
    vehicle = setups[name]
    if not any(axle.dampers for _, axle in vehicle.axles):
        raise InputError(f"{options.file}: the set-up '{name}' has no dampers; choose another with --from.")
    other = "twice as many" if options.wanted is None else chosen(options.file, options.wanted, setups, "--to")
    # Without --to: one damper a side made two at the same mounts, what is asked most often.
    wanted = conversions.doubled(vehicle) if options.wanted is None else setups[other]
    try:
        each = conversions.converted(vehicle, wanted)
        # The curve is taken of the first; both must stand and keep their dampers off their ends.
        flags = {
            name: conversions.faults_at_rest(vehicle) + conversions.starved(vehicle, np.array(FIVE_SPEEDS)),
            other: conversions.faults_at_rest(wanted),
        }
        ends, travel, gas = (
            conversions.ends_up(vehicle),
            conversions.through_travel(vehicle),
            {name: conversions.gas_lifts(vehicle), other: conversions.gas_lifts(wanted)},
        )
    except InputError as error:
        raise InputError(f"{options.file}: {error}") from None
    except RunError as error:
        # Either may be the one that cannot stand: the physics does not know their names.
        raise RunError(f"set-up '{name}' or '{other}': {error}") from error
    if not each:
        raise InputError(f"{options.file}: the set-up '{other}' has no dampers; choose another with --to.")
    tables = {
        # Seven places fit a screen; the file below has them all.
        "each": each_table(each, flags[other], once=True), "end_up": end_table(ends), "travel": travel_table(travel, 7), "gas": gas_table(gas),
    }  # fmt: skip
    # The title of a page goes to the axle whose dampers the file changes: that is what it asks about.
    varied = [
        axle
        for axle, part in vehicle.axles
        if any(dict(one.axles)[axle].dampers != part.dampers for one in setups.values())
    ]
    first = converts(each, vehicle, (name, other), varied)
    # Before the files: if the disk is full, the answer has at least been seen.
    _printed(first, tables, name, other)
    say_alike(((setup, flag) for setup, own in flags.items() for flag in own), str, of_several)
    results = place(options.outputs, options.file, f"_{slug(name)}_convert", name)
    folder = results.folder
    # The files get the whole travel, and what is flagged beside each force.
    tables |= {"travel": travel_table(travel), "each": each_table(each, flags[other])}
    # --from also where it was left out: which set-up is the first with dampers changes with the file.
    command = f"jounce convert {options.file.name} --from '{name}'" + (
        f" --to '{options.wanted}'" if options.wanted else ""
    )
    _written(results, given, command, first, tables, vehicle, (name, other), each, ends, travel, gas, flags, varied)
    if answer.wanted():
        answer.wrote(folder)
        answer.add(name=given.name, question=given.question, verdict=[first], **_as_json(each, ends, gas, flags))
    closing(
        f"\nWrote {len(list(folder.iterdir()))} files to {folder}; look at {folder / 'each.png'} first.\n"
        f"Next: read a converted damper back: valving: {{kind: measured, file: {_stems(each)[0]}_each.csv}}"
    )
    caution(CAUTION)
    return 3 if any(flags.values()) else 0


def _as_json(
    each: "Sequence[Converted]", ends: "Sequence[EndUp]", gas: "Mapping[str, Sequence[GasLift]]", flags: "Mapping[str, Sequence[Flag]]"
) -> dict[str, Any]:  # fmt: skip
    """Return the tables as numbers in SI, as parts of an answer; the whole travel is in travel.csv."""
    from sim.describe.parts.dampers.testing import FIVE_SPEEDS

    number = answer.number
    forces = [
        {"damper": f"{one.member.axle}.{one.member.name}", "count": one.member.count, "motion_ratio": number(one.member.ratio, "number")}
        | {"speed": number(speed, "speed")}
        | {way: number(float(one.force(way, speed)), "force") for way in ("compression", "rebound")}
        for one in each
        for speed in FIVE_SPEEDS
    ]  # fmt: skip
    tubes = [
        {"damper": f"{one.axle}.{one.name}", "tube_end": one.tube_end, "fitted": one.fitted, "refused": one.refused or None}
        | {"axle_mass": number(one.unsprung, "mass"), "hop": number(one.hop_hz, "frequency"), "hop_damping_ratio": number(one.hop_damping, "number")}
        for one in ends
    ]  # fmt: skip
    lifts = [
        {"setup": setup, "damper": f"{one.axle}.{one.name}", "count": one.count, "push": number(one.push, "force")}
        | {"rate": number(one.rate, "stiffness")}
        | {f"rises_{end}": number(one.rise[end], "length") for end in ("front", "rear")}
        for setup, own in gas.items()
        for one in own
    ]
    said = [answer.flag_of(setup, flag) for setup, own in flags.items() for flag in own]
    return {"rows": {"each": forces, "end_up": tubes, "gas": lifts}, "flags": said}


def each_table(found: "Sequence[Converted]", flags: "Sequence[Flag]" = (), once: bool = False) -> Cells:
    """Return the force of one at five speeds of its own, with a head; and a column for what is wrong with their set-up, if anything.

    once : for people, who read it in a set's first row; in a file every row has it.
    """
    from sim.describe.parts.dampers.testing import FIVE_SPEEDS
    from sim.describe.shown import show
    from sim.integrate.status import in_words

    rows = [
        [
            "damper set",
            "how many",
            "motion ratio",
            "its speed",
            "compression",
            "rebound",
            *(["flagged"] if flags else []),
        ]
    ]
    for one in found:
        # Speeds of the damper, not of the wheel: so a builder and a test machine ask.
        for speed in FIVE_SPEEDS:
            said = () if once and speed != FIVE_SPEEDS[0] else flags
            rows.append(
                [f"{one.member.axle} {one.member.name}", str(one.member.count), f"{one.member.ratio:.3f}", show(speed, "speed"),
                 show(one.force("compression", speed), "force"), show(one.force("rebound", speed), "force"),
                 *([in_words(flag for flag in said if one.member.axle in flag.part)] if flags else [])]
            )  # fmt: skip
    return rows


def end_table(found: "Sequence[EndUp]") -> Cells:
    """Return unsprung mass and hop with the tube down and up, with a head."""
    from sim.describe.shown import show

    rows = [["damper set", "tube", "axle's mass", "hop", "damping ratio of the hop", ""]]
    for one in found:
        # A twin-tube with free oil cannot be turned over: then the reason stands there instead of figures.
        known = isfinite(one.unsprung)
        hop = isfinite(one.hop_hz)
        rows.append(
            [f"{one.axle} {one.name}", one.tube_end + (", as fitted" if one.fitted else ""), show(one.unsprung, "mass") if known else "-",
             show(one.hop_hz, "frequency") if hop else "-", f"{one.hop_damping:.3f}" if hop else "-", one.refused]
        )  # fmt: skip
    return rows


def travel_table(found: "Sequence[Through]", most: int = 0) -> Cells:
    """Return lean and ratio through the travel, with a head; at most so many places of each set, 0 for all."""
    from sim.describe.shown import show
    from sim.study.convert import STEPS
    from sim.study.fit import lean_words

    rows = [
        [
            "damper set",
            "axle travel",
            "length",
            "motion ratio",
            "at the wheel",
            "lean, side view",
            "lean, behind",
            "lean, whole",
            "castor",
            "bump steer",
        ]
    ]
    for one in found:
        at_ride = [number for number, place in enumerate(one.places) if place.jounce == one.ride]
        # Evenly spaced, from the first place on; and where it stands.
        evenly = [number for number in range(len(one.places)) if number not in at_ride or len(one.places) <= STEPS]
        step = max((len(evenly) - 1) // (most - 1), 1) if most else 1
        for number in sorted({*evenly[::step], *at_ride}):
            place = one.places[number]
            rows.append(
                [f"{one.axle} {one.name}", show(place.jounce, "length") + (", at ride" if number in at_ride else ""), show(place.length, "length"), f"{place.motion_ratio:.3f}",
                 # Squared: force and speed are both reduced by the ratio, so a lean counts twice.
                 f"{100 * place.motion_ratio**2:.0f} %", lean_words(place.lean_side), f"{degrees(place.lean_behind):.1f} deg",
                 f"{degrees(place.lean):.1f} deg",
                 # A steered axle is in front; behind, the housing turns but nothing steers by it.
                 f"{degrees(one.castor[number]):+.2f} deg" if one.axle == "front" else "-",
                 "-" if one.steer is None else f"{degrees(one.steer[number]):+.2f} deg"]
            )  # fmt: skip
    return rows


def gas_table(found: "Mapping[str, Sequence[GasLift]]") -> Cells:
    """Return the push of the gas and the height that it adds in every set-up, with a head."""
    from sim.describe.shown import show

    rows = [["set-up", "damper set", "how many", "push of one", "its rate", "body rises, front", "body rises, rear"]]
    for setup, lifts in found.items():
        for one in lifts:
            # Both ends of the body: a push at one axle tips it, and the other end moves too.
            rise = [show(one.rise[end], "length") for end in ("front", "rear")]
            push, rate = show(one.push, "force"), show(one.rate, "stiffness")
            rows.append([setup, f"{one.axle} {one.name}", str(one.count), push, rate, *rise])
    return rows


CAUTION = "gas-charged dampers shoot out their rods when let go: follow the maker's steps, and local rules."
"""What can hurt somebody who does this work."""


def _heads(name: str, other: str) -> dict[str, str]:
    """Return the headings of the tables."""
    return {
        "each": f"What each damper of '{other}' must give so that the wheel feels '{name}', without gas and seal, whose sum should stay too",
        "end_up": f"Which end is up, '{name}'",
        "travel": f"Lean and motion ratio through the travel, '{name}' (axle travel: bump up, droop down; at the wheel: of an upright damper over the axle; castor: "
        "against the measured one and the ground, with the bushes as they give where it stands; bump steer: turn of the steering arm, + with the drag link's end pushed ahead)",
        "gas": "Push of the gas and the ride height that it adds, each set with the others as they are",
    }


def _printed(first: str, tables: dict[str, Cells], name: str, other: str) -> None:
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    from sim.show.report.words import words_of

    heads = _heads(name, other)
    # Without a terminal rich takes 80 letters, into which the ten columns of the travel do not go.
    console = Console(highlight=False, width=None if sys.stdout.isatty() else 150)
    console.print(Text(first, style="bold"))
    console.print()
    for key, head in heads.items():
        print(head)
        table = Table(show_edge=False, pad_edge=False, box=None)
        for title in tables[key][0]:
            table.add_column(title, overflow="fold")
        for row in tables[key][1:]:
            # As Text: square brackets in a set-up's name would be taken for rich's own signs.
            table.add_row(*map(Text, row))
        # A table of nothing but its head would look like a fault.
        if len(tables[key]) > 1:
            console.print(table)
        else:
            print("none has any")
        print()
    print(words_of(" ".join(tables[key][0]) for key in heads))


def _stems(each: "Sequence[Converted]") -> list[str]:
    """Return the names of the files of converted dampers, in their order."""
    from sim.cli.folders import distinct

    names = [f"{one.member.axle} {one.member.name}" for one in each]
    return list(map(distinct(names).__getitem__, names))


@told_in_both
def _reported(units: System, given: Any, first: str, vehicle: "Vehicle", names: tuple[str, str], each: "Sequence[Converted]", ends: "Sequence[EndUp]",
              travel: "Sequence[Through]", gas: "Mapping[str, Sequence[GasLift]]", flags: "Mapping[str, Sequence[Flag]]", into: Path) -> None:  # fmt: skip
    from sim.show.pages.report.told import Told, write

    # Short headings: the question says what is converted into what.
    tables = {
        "Force of each": each_table(each, flags[names[1]], once=True), "Which end is up": end_table(ends),
        "Lean and motion ratio through the travel": travel_table(travel, 7), "Push of the gas and ride height": gas_table(gas),
    }  # fmt: skip
    question = f"What must each damper of “{names[1]}” give so that the wheel feels “{names[0]}”?"
    flagged = [f"{setup}: {flag.sentence}" for setup, own in flags.items() for flag in own]
    page = Told(
        question,
        (given.name,),
        (first,),
        tables,
        {},
        ("each", "end_up", "travel", "gas"),
        {names[0]: vehicle},
        CAUTION,
        flagged,
    )
    write(into, page, units)


def _written(results: "Results", given: Any, command: str, first: str, tables: dict[str, Cells], vehicle: "Vehicle", names: tuple[str, str],
             each: "Sequence[Converted]", ends: "Sequence[EndUp]", travel: "Sequence[Through]", gas: "Mapping[str, Sequence[GasLift]]",
             flags: "Mapping[str, Sequence[Flag]]", varied: Sequence[str]) -> None:  # fmt: skip
    from sim.describe.shown import figure_of, headed
    from sim.show.plots import converted_forces, each_damper, through_travel
    from sim.show.plots.save import saved
    from sim.show.report import record
    from sim.show.report.table_csv import Table
    from sim.show.report.write import MARKER, written

    def fill(into: Path) -> None:
        for key, rows in tables.items():
            with (into / f"{key}.csv").open("w", encoding="utf-8", newline="") as file:
                Table(file).writerows(rows)
        # In the form that the law `measured` reads back, so that a converted damper can be run at once.
        for stem, one in zip(_stems(each), each, strict=True):
            with (into / f"{stem}_each.csv").open("w", encoding="utf-8", newline="") as file:
                out = Table(file)
                out.writerow(
                    [headed("speed", "speed"), headed("compression force", "force"), headed("rebound force", "force")]
                )
                out.writerows(
                    [f"{figure_of(v, 'speed'):.4f}", f"{figure_of(b, 'force'):.2f}", f"{figure_of(r, 'force'):.2f}"]
                    for v, b, r in zip(one.speed, one.compression, one.rebound, strict=True)
                )
        saved(converted_forces.figure(vehicle, each, names, flags), into / "each")
        saved(each_damper.end_up_figure(ends), into / "end_up")
        saved(through_travel.figure(travel, names[0], varied), into / "travel")
        saved(each_damper.gas_figure(gas), into / "gas")
        told = {"flags": {setup: record.flag_records(own) for setup, own in flags.items()}}
        record.save(record.origin(given, command) | told | {"assumes": record.ASSUMES}, into / MARKER)
        # In both units of everything, whatever the screen and the files have.
        _reported(given, first, vehicle, names, each, ends, travel, gas, flags, into)

    written(results.folder, fill, results.of)
