"""The table at the end of a run: measures down, set-ups across, the worst of each row marked without colour."""

from collections.abc import Iterable
from math import isnan
from typing import TextIO

from rich import box
from rich.cells import cell_len
from rich.console import Console
from rich.table import Table
from rich.text import Text

from sim.integrate.status import Flag, alike, in_words
from sim.measure import MEASURES, Measure
from sim.measure.comparison import Comparison, change_share, worst_setups
from sim.measure.references import reference_of
from sim.measure.verdict import verdict
from sim.show.report.at_rest import rest_words
from sim.show.report.cells import FULL, Signs, cell, label, signs
from sim.show.report.key import says, short
from sim.show.report.naming import listed, quoted
from sim.show.report.placed import unusual
from sim.show.report.verdict_table import beneath, coinciding, damped, names_of, role
from sim.show.report.verdict_table import cell as cell_words
from sim.show.report.verdict_words import headline
from sim.show.report.words import words_of

FAMILIES = {
    "settling": "Coming to rest", "decay": "Free decay", "ride": "Felt in the body", "comfort": "Ride by ISO 2631-1", "pitch": "Pitch",
    "tyre_load": "Tyres on the ground", "travel": "Travel", "hits": "Metal on metal", "damper_speed": "Dampers",
    "energy": "Energy", "driving": "Driving and braking", "hop": "Driving and braking",
}  # fmt: skip
"""Headings, by the file that a measure is from; a family that is not here goes by its file's name."""

WIDTH = 100
"""Width where the stream has none of its own [letters]."""

LEAST_LABEL, LEAST_CELL, BETWEEN = 24, 10, 2
"""Letters for a label, for a value, and between columns."""


def families(comparison: Comparison) -> dict[str, str]:
    """Return the heading of each measure's family by the measure's name."""
    headings: dict[str, str] = {}
    for family in MEASURES:
        # By the file, so that a new file of measures has a heading without being entered anywhere.
        name = family.__module__.rpartition(".")[2]
        heading = FAMILIES.get(name, name.replace("_", " ").capitalize())
        for run in comparison.runs.values():
            # From every run: which measures a family gives depends on the points and damper sets of that set-up.
            headings |= {measure.name: heading for measure in family(run)}
    return headings


def tables(
    comparison: Comparison, everything: bool = False, width: int = WIDTH, sign: Signs = FULL
) -> tuple[Table, ...]:
    """Return the table, in as many parts as the width asks for.

    Parameters
    ----------
    comparison : Comparison
        What is shown.
    everything : bool
        All measures instead of those that decide most.
    width : int
        Letters in a line. Set-ups that have no room beside the others get a table of their own.
    sign : Signs
        Signs that the stream can carry.

    Returns
    -------
    tuple of Table
        Each with all rows and some of the set-ups.
    """
    measures = (
        comparison.measures if everything else tuple(one for one in short(comparison) if says(comparison, one.name))
    )
    cells = {setup: _column(comparison, setup, measures, sign) for setup in comparison.runs}
    # Of more than two it is not plain which pair is meant; all changes from the first are in summary.csv.
    if len(comparison.runs) == 2:
        cells[f"change from {reference_of(comparison)} [%]"] = _changes(comparison, measures, sign)
    # By the figures, not by set-ups' names: a name may fold onto two lines, a figure may not.
    wide = max([LEAST_CELL, *(cell_len(text) for column in cells.values() for text in column)])
    beside = max(1, (width - LEAST_LABEL) // (wide + BETWEEN))
    setups = list(cells)
    parts = [setups[start : start + beside] for start in range(0, len(setups), beside)]
    return tuple(_table(comparison, measures, {s: cells[s] for s in part}, (width, wide), sign) for part in parts)


def _changes(comparison: Comparison, measures: Iterable[Measure], sign: Signs) -> list[str]:
    """Return by how many per cent the other of two set-ups differs from the reference, however little."""
    reference = reference_of(comparison)
    one = comparison.values[reference]
    other = next(row for setup, row in comparison.values.items() if setup != reference)
    changes = []
    for m in measures:
        share = change_share(one.get(m.name), other.get(m.name))
        # Of two figures that read the same, a share of what is rounded away is no finding.
        alike = share != 0.0 and cell(one.get(m.name), m, sign) == cell(other.get(m.name), m, sign)
        changes.append(sign.nothing if isnan(share) else "same" if alike else f"{100 * share:+.2f}")
    return changes


def _column(comparison: Comparison, setup: str, measures: Iterable[Measure], sign: Signs) -> list[str]:
    worst = worst_setups(comparison)
    rows = comparison.values.values()
    # Where all figures read the same, none is marked as the worst for what is rounded away.
    alike = {m.name for m in measures if len({cell(row.get(m.name), m, sign) for row in rows}) == 1}
    # As wide as the sign that others have, or right-aligned figures would not stand under each other.
    blank = " " * (1 + cell_len(sign.worst))
    return [
        cell(comparison.values[setup].get(measure.name), measure, sign)
        + (f" {sign.worst}" if setup in worst[measure.name] and measure.name not in alike else blank)
        for measure in measures
    ]


def _table(
    comparison: Comparison, measures: tuple[Measure, ...], cells: dict[str, list[str]], room: tuple[int, int],
    sign: Signs,
) -> Table:  # fmt: skip
    width, wide = room
    named = max([LEAST_LABEL, *(cell_len(label(measure)) for measure in measures)])
    # Where the stream lacks the sign of the worst, it may lack lines to draw boxes with as well.
    table = Table(box=box.SIMPLE_HEAD if sign.worst == FULL.worst else box.ASCII2, show_edge=False, pad_edge=False)
    table.add_column("", width=min(named, max(width - len(cells) * (wide + BETWEEN) - 1, 8)), overflow="fold")
    for setup in cells:
        table.add_column(Text(sign.said(setup)), justify="right", width=wide, overflow="fold")
    heading, of = "", families(comparison)
    for row, measure in enumerate(measures):
        # A heading each time the family changes: the short table is in the order of importance, not of families.
        if of[measure.name] != heading:
            heading = of[measure.name]
            table.add_row(Text(heading, style="bold"), end_section=False)
        table.add_row(Text(sign.said(label(measure))), *(Text(column[row]) for column in cells.values()))
    return table


def printed(comparison: Comparison, stream: TextIO, everything: bool = False, width: int | None = None) -> None:
    """Print the table, what its signs mean, and any flags.

    Parameters
    ----------
    comparison : Comparison
        What is shown.
    stream : text stream
        Where to; its encoding decides on the signs.
    everything : bool
        All measures instead of those that decide most.
    width : int, optional
        Letters in a line; by default that of the terminal, else WIDTH.
    """
    sign = signs(getattr(stream, "encoding", None))
    # None lets rich ask the terminal; a file or pipe has no width to ask for.
    wide = width if width is not None else None if stream.isatty() else WIDTH
    # No colours of rich's choosing: the worst is marked by a sign, which also prints in black.
    console = Console(file=stream, highlight=False, width=wide)
    console.print(Text(sign.said(comparison.scenario.name), style="bold"))
    if comparison.scenario.question:
        console.print(Text(sign.said(comparison.scenario.question)))
    _flags(comparison, console, sign)
    _verdict(comparison, console, sign)
    for part in tables(comparison, everything, console.width, sign):
        console.print()
        console.print(part)
    _placed(comparison, console, sign)
    console.print()
    if settled := rest_words(comparison, comparison.measures if everything else short(comparison)):
        console.print(Text(sign.said(settled)))
    console.print(Text(_meaning(comparison, everything, sign)))


def _flags(comparison: Comparison, console: Console, sign: Signs) -> None:
    # Before anything else: nobody is to read a figure of a run that left what the model is valid for without knowing it.
    # Set-ups with the same fault are said once, and the others named: of five that bottom nobody reads five paragraphs.
    for (setup, flag), *others in alike((setup, flag) for setup, run in comparison.runs.items() for flag in run.flags):
        # A sentence that names the part and the moment itself says them once.
        when = "" if _when(flag) in flag.sentence else _when(flag)
        part = "" if flag.part in flag.sentence else f", {flag.part}"
        console.print(Text(sign.said(f"FLAGGED  {quoted(setup)}{when}{part}: {flag.sentence}"), style="bold"))
        if others:
            too = listed([f"{quoted(name)}{_when(other)}" for name, other in others])
            console.print(Text(sign.said(f"FLAGGED  {too}: {flag.words} too"), style="bold"))


def _when(flag: Flag) -> str:
    # Some flags are of the whole run, an energy balance that does not close say.
    return "" if flag.time_s is None else f" at {flag.time_s:.2f} s"


def _verdict(comparison: Comparison, console: Console, sign: Signs) -> None:
    """Print the verdict: its sentence, then set-ups down and blocks across."""
    found = verdict(comparison)
    console.print()
    console.print(Text(sign.said(f"{headline(found)}."), style="bold"))
    for sentence in [*faults_at_rest(comparison), *coinciding(found)]:
        console.print(Text(sign.said(sentence)))
    if not found.others:
        return
    blocks = names_of(found.carrying, found)
    if blocks:
        table = Table(box=box.SIMPLE_HEAD if sign.worst == FULL.worst else box.ASCII2, show_edge=False, pad_edge=False)
        table.add_column("", overflow="fold", ratio=3)
        for block in blocks:
            table.add_column(block.capitalize(), overflow="fold", ratio=4)
        for setup in found.setups:
            words = (cell_words(found, setup, block) for block in blocks)
            table.add_row(
                Text(sign.said("\n".join(part for part in (setup, role(found, setup)) if part))),
                *(Text(sign.said(": ".join(part for part in said if part))) for said in words),
            )
        console.print()
        console.print(table)
    damping = damped(found)
    if damping and "settling" in blocks:
        console.print(Text(sign.said(f"{damping}.")))
    for sentence in beneath(found):
        console.print(Text(sign.said(sentence)))


def faults_at_rest(comparison: Comparison) -> list[str]:
    """Return what is wrong with set-ups as they stand, though this run did not meet it: who is praised may be one that breaks on a jack."""
    of: dict[str, list[str]] = {}
    for setup, flags in comparison.at_rest.items():
        if flags:
            of.setdefault(in_words(flags), []).append(quoted(setup))
    return [
        f"Wrong as it stands, though this run does not meet it: with {listed(names)} {words}; jounce stand says what cures it."
        for words, names in of.items()
    ]


def _placed(comparison: Comparison, console: Console, sign: Signs) -> None:
    """Print what of how the set-ups stand lies outside the trade's usual ranges."""
    if not comparison.placed:
        return
    console.print()
    console.print(
        Text(
            "How they stand, against what is usual in the trade (no source; jounce stand --all shows all)", style="bold"
        )
    )
    for sentence in unusual(comparison.placed):
        console.print(Text(sign.said(sentence)))


def _meaning(comparison: Comparison, everything: bool, sign: Signs) -> str:
    text = (
        f"{sign.worst} worst of its row   {sign.doubt} numerical error too large to trust   "
        f"{sign.nothing} does not apply   never: not within the run"
    )
    # Said only where something is left out: --all on a table that is whole would disappoint.
    every, shown = len(comparison.measures), len(short(comparison))
    more = "" if everything or shown == every else f"\n{shown} of {every} measures; --all shows every one."
    labels = [one.label for one in (comparison.measures if everything else short(comparison))]
    words = words_of([*labels, damped(verdict(comparison))])
    return text + more + (f"\n{sign.said(words)}" if words else "")
