"""`jounce lift FILE --front 2in --rear 2in`: what a lift by springs, spacers and blocks or shackles does to travel, castor, joints, instant centre and balance."""

import argparse
import sys
from pathlib import Path

from sim.cli import answer
from sim.errors import InputError, Problem

CAUTION = (
    "a lift changes steering, brakes, hoses, headlamps and the way a truck rolls over; local rules and licensed practice come first. Check hoses, "
    "shafts and steering at full droop and lock before it is driven."
)
"""What can hurt somebody who lifts a truck by this table."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    parser.add_argument("file", type=Path, help="vehicle or scenario file")
    parser.add_argument("--setup", help="set-up of a scenario; the first with dampers unless it is named")
    parser.add_argument("--front", metavar="HEIGHT", help="how far the frame is to come up over the front axle: '2 in'")
    parser.add_argument("--rear", metavar="HEIGHT", help="the same over the rear axle")
    parser.add_argument(
        "--by", metavar="[front:|rear:]WAY", action="append", default=[],
        help="springs: longer coils, leaves of more arch (unless said otherwise); spacers or blocks: spacers on coils, blocks under leaf packs; shackles: longer "
        "ones; both axles, or front: or rear: before it",
    )  # fmt: skip
    parser.add_argument("--track", metavar="WIDTH", help="track width, tyre's middle to tyre's middle, for T/2h")


def run(options: argparse.Namespace) -> int:
    """Print what changes most, then a table: before, after, change."""
    from math import isfinite

    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    from sim.cli.notices import caution
    from sim.cli.setups import asked, chosen
    from sim.describe.shown import show
    from sim.describe.to_measure import estimated
    from sim.show.report.first_words import lifts
    from sim.show.report.words import words_of
    from sim.study.lift import SHACKLES, SPACERS, SPRINGS, lifted

    raised = {
        axle: _length(f"--{axle}", getattr(options, axle))
        for axle in ("front", "rear")
        if getattr(options, axle) is not None
    }
    # Either is enough, so argparse can require neither.
    if not raised:
        raise InputError("jounce lift: give --front, --rear or both a height, '2 in' or '50 mm'.")
    track = None if options.track is None else _length("--track", options.track)
    if track is not None and track <= 0.0:
        raise InputError(Problem("a track is wider than nothing", where="--track", given=options.track))
    given, setups, _ = asked(options.file)
    name = chosen(options.file, options.setup, setups)
    ways = _ways(options.by)
    lift = lifted(setups[name], raised, track, ways)
    first = lifts(lift, raised, estimated(setups[name]))
    console = Console(highlight=False, width=None if sys.stdout.isatty() else 130)
    console.print(Text(first, style="bold"))
    console.print()
    table = Table(title=name, title_justify="left", show_edge=False, pad_edge=False, box=None)
    for head in ("", "before", "after", "change"):
        table.add_column(head, justify="left" if not head else "right", overflow="fold")
    for row in lift.rows:
        cells = [
            show(one, row.quantity) if isfinite(one) else "-" for one in (row.before, row.after, row.after - row.before)
        ]
        table.add_row(Text(row.label), *map(Text, cells))
    console.print(table)
    said = {
        SPRINGS: "springs of the same rates, longer",
        SPACERS: "spacers or blocks, springs as they are",
        SHACKLES: "longer shackles",
    }
    # As a scenario writes it, so that it can be put under a set-up's name as it is.
    print(f"\nAs a set-up ({'; '.join(dict.fromkeys(said[ways.get(axle, SPRINGS)] for axle in raised))}):")
    for path, value in lift.changes.items():
        print(f"    {path}: {value}")
    for note in lift.notes:
        print(note)
    print(words_of(row.label for row in lift.rows))
    caution(CAUTION)
    rows = [
        {"setup": name, "what": row.label.strip()}
        | {key: answer.number(getattr(row, key), row.quantity) for key in ("before", "after")}
        for row in lift.rows
    ]
    answer.add(name=given.name, rows={"lift": rows}, verdict=[first, *lift.notes], more={"changes": lift.changes})
    return 0


def _ways(given: list[str]) -> dict[str, str]:
    """Return by what each axle is lifted."""
    from sim.study.lift import SPACERS, WAYS

    ways: dict[str, str] = {}
    for text in given:
        # With = too, as `jounce sheet --height front=40mm` has it.
        before, colon, after = text.replace("=", ":").partition(":")
        axle, way = (before.strip(), after.strip()) if colon else ("", before.strip())
        way = SPACERS if way == "blocks" else way  # what a spacer is called under a leaf pack
        if way not in WAYS or axle not in ("", "front", "rear"):
            raise InputError(
                Problem(
                    "this is no way to lift an axle",
                    where="--by",
                    given=text,
                    allowed=", ".join((*WAYS, "blocks")),
                    suggestion="--by spacers, or --by rear:spacers",
                )
            )
        # The later one counts: `--by springs --by rear:shackles` leaves springs in front.
        ways |= dict.fromkeys((axle,) if axle else ("front", "rear"), way)
    return ways


def _length(option: str, text: str) -> float:
    from pydantic import ValidationError

    from sim.describe.estimates.truck import adapter
    from sim.describe.wrong import first_in_words

    try:
        return float(adapter("length").validate_python(text))
    except ValidationError as error:
        raise InputError(Problem(first_in_words(error, text), where=option, given=text)) from None
