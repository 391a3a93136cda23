"""`jounce loads FILE`: what people, cargo, a winch or a heavier engine do to height, frequency, travel, stroke and damping."""

import argparse
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli import answer
from sim.errors import InputError, Problem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.console import Console

    from sim.describe.parts.vehicle import Vehicle
    from sim.study.loads import Case, Load

CAUTION = (
    "what axles, tyres, frame and papers allow is not looked at: no axle past its plate, whatever its springs say."
)
"""What can hurt somebody who loads a truck by this table."""

HEADS = (
    "frame",
    "axle load",
    "rides [Hz]",
    "damping ratio",
    "bump left",
    "droop left",
    "stroke in",
    "stroke out",
    "verdict",
)


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    parser.add_argument("file", type=Path, help="vehicle or scenario file")
    parser.add_argument("--setup", help="set-up of a scenario; the first with dampers unless it is named")
    parser.add_argument(
        "--load", action="append", default=[], metavar="NAME=MASS,BEHIND,ABOVE",
        help="a load of your own: 'winch=165 lb, -30 in, 28 in' (mass, behind the front axle, above the ground); left out: usual ones",
    )  # fmt: skip


def run(options: argparse.Namespace) -> int:
    """Print which load is past a limit or comes nearest to one, then a table for each axle: a row a load."""
    from rich.console import Console
    from rich.text import Text

    from sim.cli.notices import caution, of_standing
    from sim.cli.setups import asked, chosen
    from sim.describe.shown import show, system
    from sim.show.report.words import words_of
    from sim.study.loads import beyond, cases, finding, in_most, usual_loads, usual_ranges, words

    own = [_load(text) for text in options.load]
    given, setups, _ = asked(options.file)
    name = chosen(options.file, options.setup, setups)
    vehicle = setups[name]
    _say_odd(vehicle, own)
    rows = cases(vehicle, own or usual_loads(vehicle))
    console = Console(highlight=False, width=None if _knows_width() else WIDE)
    first = finding(rows)
    console.print(Text(first, style="bold"))
    console.print()
    for axle in ("front", "rear"):
        often = in_most(rows, axle)
        lines = [
            (
                f"{case.name}, {show(case.mass, 'mass')}" if case.mass else case.name,
                # Against the first row, the truck as it is: what is wrong without the load is not the load's.
                *(
                    (*words(case.axles[axle]), beyond(case, rows[0], axle, often))
                    if case.axles
                    # It keeps its row: that this load is too much is what was asked.
                    else (*[""] * 8, f"cannot stand so: {case.cannot}")
                ),
            )
            for case in rows
        ]
        _print_blocks(console, f"{name}: {axle} axle", lines)
        for text in often.values():
            console.print(Text(text))
        console.print()
    # Masses that nobody gave must not pass for those of this truck.
    say = (lambda text: console.print(Text(text))) if _knows_width() else print
    if not own:
        say(
            "Loads as they usually are; masses and places are common practice, no source. Your own: --load "
            f"'winch={'75 kg, -760 mm, 710 mm' if system() == 'metric' else '165 lb, -30 in, 28 in'}'."
        )
    say(f"Frame: how far it goes down (minus) or up over that axle. Usual: {usual_ranges()}.")
    say(words_of(HEADS))
    # As `check` and `stand` say it: an order counts on more room than a truck at rest shows.
    of_standing({name if len(setups) > 1 else "": vehicle})
    caution(CAUTION)
    flags = [
        {"of": case.name, "kind": "wheels_up", "part": "set-up", "time_s": None, "sentence": case.cannot}
        for case in rows
        if case.cannot
    ]
    flags += [answer.flag_of(case.name, flag) for case in rows for axle in case.axles.values() for flag in axle.flags]
    answer.add(name=given.name, rows={"loads": _rows(name, rows)}, verdict=[first], flags=flags)
    return 3 if flags else 0


WIDE = 190
"""Letters of a line where nobody says how many there is room for: nine columns and a verdict."""

LEAST_OF_NAME, LEAST_OF_VERDICT, GAP = 20, 20, 2
"""Letters into which a row's name and a verdict can be folded beside columns of figures, and those between two columns."""


def _knows_width() -> bool:
    """Tell whether a terminal, or who set COLUMNS, says how wide a line may be; without either rich takes 80 letters."""
    return sys.stdout.isatty() or os.environ.get("COLUMNS", "").isdigit()


def _print_blocks(console: "Console", title: str, lines: "Sequence[Sequence[str]]") -> None:
    """Print a table; one that is wider than its room in blocks of columns, one below the other, each with the names of its rows.

    Parameters
    ----------
    lines : sequence
        Of a row its name, and a text for each of HEADS.
    """
    from rich.table import Table
    from rich.text import Text

    longest = [max(map(len, texts)) for texts in zip(("", *HEADS), *lines, strict=True)]
    widths = [min(longest[0], LEAST_OF_NAME), *longest[1:-1], min(longest[-1], LEAST_OF_VERDICT)]
    blocks: list[list[int]] = [[]]
    room = console.width
    for column in range(1, len(widths)):
        room -= widths[column] + GAP
        # A column that fits nowhere has a block to itself, and is folded there.
        if blocks[-1] and room < widths[0]:
            blocks.append([])
            room = console.width - widths[column] - GAP
        blocks[-1].append(column)
    for number, block in enumerate(blocks):
        table = Table(
            title=title if not number else f"{title}, further columns",
            title_justify="left",
            show_edge=False,
            pad_edge=False,
            box=None,
        )
        # Names are folded only where that spares a block.
        left_over = console.width - sum(widths[column] + GAP for column in block)
        table.add_column("", max_width=max(widths[0], left_over) if HEADS[block[-1] - 1] != "verdict" else widths[0])
        for column in block:
            left = HEADS[column - 1] == "verdict"
            table.add_column(
                HEADS[column - 1],
                justify="left" if left else "right",
                overflow="fold",
                no_wrap=not left and len(block) > 1,
            )
        for line in lines:
            table.add_row(Text(line[0]), *(Text(line[column]) for column in block))
        console.print(table)


NUMBERS = (
    ("height", "length"), ("load", "load"), ("frequency", "frequency"), ("ratio", "number"), ("up", "length"), ("down", "length"),
    ("stroke_in", "length"), ("stroke_out", "length"),
)  # fmt: skip
"""Numbers of an axle under a load, and what they are."""


def _rows(setup: str, cases: "Sequence[Case]") -> list[dict[str, Any]]:
    """Return each case's axles, as numbers in SI."""
    return [
        {"setup": setup, "loads": case.name, "mass": answer.number(case.mass, "mass"), "axle": name}
        | {key: answer.number(getattr(axle, key), quantity) for key, quantity in NUMBERS}
        | {"verdict": axle.verdict}
        for case in cases
        for name, axle in case.axles.items()
    ]


def _say_odd(vehicle: "Vehicle", own: "Sequence[Load]") -> None:
    """Say which loads of the command line are possible, but hardly meant, beside those that are aboard already."""
    from sim.cli.notices import note
    from sim.describe.files.odd_loads import Placed, odd_loads, of

    loads = of(vehicle) | {one.name: Placed(one.mass, one.behind, one.above) for one in own}
    named = {one.name for one in own}
    for name, lines in odd_loads(loads, vehicle.wheelbase, loads):
        if name in named:
            note(f"NOTICE: --load {name}: " + "\n    ".join(lines))


def _load(text: str) -> "Load":
    """Return a load that is written on the command line.

    Raises
    ------
    InputError
        If it is not understood.
    """
    from sim.describe.estimates.truck import adapter
    from sim.describe.notations import in_a_list
    from sim.describe.wrong import first_in_words
    from sim.study.loads import Load

    name, sign, rest = text.partition("=")
    parts = [part.strip() for part in rest.split(",")]
    # Its place is not left out: the same mass over an axle or behind it is another load.
    if not sign or not name.strip() or len(parts) != 3:
        if point := in_a_list(rest):
            message = f"a comma parts mass and place, so a decimal comma is a point: write {point}"
            raise InputError(Problem(message, where="--load", given=text, suggestion="'winch=165 lb, -30 in, 28 in'"))
        raise InputError(
            Problem(
                "a load is a name, its mass and its place",
                where="--load",
                given=text,
                suggestion="'winch=165 lb, -30 in, 28 in'",
            )
        )
    from pydantic import ValidationError

    values = []
    for part, quantity in zip(parts, ("mass", "length", "length"), strict=True):
        try:
            values.append(float(adapter(quantity).validate_python(part)))
        except ValidationError as error:
            raise InputError(Problem(first_in_words(error, part), where=f"--load {name.strip()}", given=part)) from None
    return Load(name.strip(), *values)
