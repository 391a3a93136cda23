"""What `jounce endure` writes down and prints: histories as they come, figures, travel counts."""

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from math import isnan
from pathlib import Path
from typing import TextIO

import numpy as np

from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import figure_of, headed, in_si, show_numbers, show_parts, show_short, unit_names
from sim.integrate.status import in_words
from sim.integrate.traces import Array
from sim.measure.tally import CLASS_M
from sim.show.report.table_csv import Table
from sim.show.report.words import words_of
from sim.study.endurance.history import Endured, Key, Moment
from sim.study.endurance.measures import Figure, figures

# Files and screens are in degC, as a workshop's thermometers are; the model computes in kelvin.

SHORT = (
    "distance_driven", "_power", "_oil_hottest", "_oil_settles", "_below_limit", "_force_left", "_oil_mass", "_heat_capacity", "tyre_off_ground", "left_to_stop", "ride_wk_",
    "damper_end_hits", "large_cycles",
)  # fmt: skip
"""Parts of the names of the figures in the short table."""


class HistoryFile:
    """A CSV of temperatures to which every moment is added at once, so that nothing of it stays in memory."""

    def __init__(self, path: Path, vehicle: Vehicle) -> None:
        self.keys: list[Key] = [(name, key) for name, axle in vehicle.axles for key in axle.dampers]
        self._file = path.open("w", encoding="utf-8", newline="\n")
        Table(self._file).writerow(header(self.keys))

    def add(self, moment: Moment) -> None:
        """Write a row."""
        row = [f"{moment.time_s:.1f}", f"{figure_of(moment.distance_m, 'travelled'):.4f}", str(moment.stage + 1)]
        for key in self.keys:
            # Sets without a tube have a work rate but no temperature: how fast they cool is not known.
            known = key in moment.oil
            row += [
                *(f"{figure_of(heat[key], 'temperature'):.2f}" if known else "" for heat in (moment.oil, moment.metal)),
                f"{moment.power[key]:.5g}", f"{100.0 * moment.force_share[key]:.2f}" if known else "",
            ]  # fmt: skip
        # Numbers alone, so nothing to quote; the quoting writer is for the head, where names come from a person's file.
        self._file.write(",".join(row) + "\n")
        # At once: a disk that is full is met at this row, not hours later when the file is closed.
        self._file.flush()

    def close(self) -> None:
        """Write out what is left."""
        self._file.close()


def header(keys: list[Key]) -> list[str]:
    """Return the header of a history."""
    row = ["time [s]", headed("distance", "travelled"), "stage"]
    for axle, name in keys:
        one = f"{axle} {name}"
        row += [
            headed(f"{one} oil", "temperature"),
            headed(f"{one} metal", "temperature"),
            f"{one} work rate of one [W]",
            f"{one} force left [%]",
        ]
    return row


@dataclass(frozen=True)
class History:
    """A history read back: columns (n,) in SI by damper set."""

    time_s: Array
    distance_m: Array
    stage: Array
    oil: dict[Key, Array]
    force_share: dict[Key, Array]


def read_history(path: Path) -> History:
    """Read a history back."""
    with path.open(encoding="utf-8", newline="") as file:
        # By the reader of CSV: a set's name may hold a comma, which the writer has quoted.
        head = next(csv.reader(file))
        table = np.genfromtxt(file, delimiter=",", ndmin=2)
    oil, share = {}, {}
    for column, title in enumerate(head):
        # A set without a tube has its columns too, all empty: it gets no line in the pictures.
        one, _, unit = title.rstrip("]").rpartition(" [")
        if one.endswith(" oil") and not np.all(np.isnan(table[:, column])):
            # At the first blank: the axle is one word, a set's name may be several.
            axle, _, name = one.removesuffix(" oil").partition(" ")
            oil[axle, name] = in_si(table[:, column], "temperature", unit)
            # Three columns on, by the order of `header`: oil, metal, work rate, force left.
            share[axle, name] = table[:, column + 3] / 100.0
    return History(
        table[:, 0], in_si(table[:, 1], "travelled", head[1].rstrip("]").rpartition(" [")[2]), table[:, 2], oil, share
    )


BURNS = (
    "after such a drive dampers burn skin: an infrared thermometer, not a hand, and no work on them before they are "
    "cold."
)
"""What can hurt somebody who does this work."""

BEHIND = 0.01
"""Share of the way that was asked for by which a truck must be behind before it is said; ours, no source."""

FAR_BEHIND = "Of the"
"""How that sentence begins."""


def behind(runs: Mapping[str, Endured]) -> str:
    """Return the sentence that says how far set-ups really came where that is less than was asked for; empty where it is hardly."""
    asked = next(iter(runs.values())).run.metres
    driven = sorted(run.distance_m for run in runs.values())
    if not asked or driven[0] >= (1.0 - BEHIND) * asked:
        return ""
    shares = [f"{100.0 * one / asked:.0f}" for one in (driven[0], driven[-1])]
    share = shares[0] if shares[0] == shares[1] else " to ".join(shares)
    return (
        f"{FAR_BEHIND} {show_short(asked, 'travelled', (1, 1))} that were asked for {share} % were driven in that time: bumps slow a truck down a little, "
        "though its driver keeps the speed as well as drivers do; work, temperatures and counts are of what was driven"
    )


def write_figures(runs: Mapping[str, Endured], path: Path) -> None:
    """Write all figures, set-ups across, in the workshop's metric units."""
    with path.open("w", encoding="utf-8", newline="") as file:
        table = Table(file)
        table.writerow(["figure", "name", "unit", *runs])
        for figure in figures(*runs.values()):
            values = [figure.of(run) for run in runs.values()]
            unit = show_parts(1.0, figure.quantity)[0][1]
            numbers = ["" if isnan(v) else f"{show_parts(v, figure.quantity)[0][0]:.6g}" for v in values]
            table.writerow([figure.label, figure.name, unit, *numbers])
        if any(run.flags for run in runs.values()):
            table.writerow(["Flagged", "flagged", "", *(in_words(run.flags) for run in runs.values())])


def write_counts(runs: Mapping[str, Endured], path: Path) -> None:
    """Write the cycles of travel by class, a column for each axle of each set-up."""
    # Up to the largest class of any set-up, so that every column has the same rows and can be compared.
    last = max((max(count, default=0) for run in runs.values() for count in run.counts.values()), default=0)
    with path.open("w", encoding="utf-8", newline="") as file:
        table = Table(file)
        columns = [(setup, axle) for setup in runs for axle in ("front", "rear")]
        table.writerow(
            [
                headed("travel from", "length"),
                headed("to", "length"),
                *(f"{setup}: {axle} [cycles]" for setup, axle in columns),
            ]
        )
        for number in range(last + 1):
            # A class that an axle never reached is a count of nought, not unknown.
            row = [runs[setup].counts.get(axle, {}).get(number, 0.0) for setup, axle in columns]
            table.writerow(
                [*(f"{figure_of(CLASS_M * n, 'length'):.6g}" for n in (number, number + 1)), *(f"{n:g}" for n in row)]
            )


def write_crossings(runs: Mapping[str, Endured], path: Path) -> None:
    """Write how often travel crossed each level, a column for each axle of each set-up."""
    levels = [level for run in runs.values() for count in run.crossings.values() for level in count]
    with path.open("w", encoding="utf-8", newline="") as file:
        table = Table(file)
        columns = [(setup, axle) for setup in runs for axle in ("front", "rear")]
        table.writerow(
            [headed("level, bump positive", "length"), *(f"{setup}: {axle} [crossings]" for setup, axle in columns)]
        )
        for level in range(min(levels, default=0), max(levels, default=-1) + 1):
            row = [runs[setup].crossings.get(axle, {}).get(level, 0) for setup, axle in columns]
            table.writerow([f"{figure_of(CLASS_M * level, 'length'):.6g}", *map(str, row)])


def chosen(runs: Mapping[str, Endured], everything: bool) -> list[Figure]:
    """Return the figures to print: those that any set-up has, and that decide most."""
    return [
        figure
        for figure in figures(*runs.values())
        if (everything or any(part in figure.name for part in SHORT))
        # What no set-up has, temperatures of dampers without a tube say, would be a row of dashes.
        and not all(isnan(figure.of(run)) for run in runs.values())
    ]


def printed(
    name: str, question: str, first: str, runs: Mapping[str, Endured], stream: TextIO, everything: bool = False
) -> None:
    """Print the first sentence, the table and the flags."""
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    # Without a terminal rich takes 80 letters, which folds a table of three set-ups.
    console = Console(file=stream, highlight=False, width=None if stream.isatty() else 112)
    # As Text, here and below: rich would take square brackets, and units have them, for its own markup.
    console.print(Text(name, style="bold"))
    if question:
        console.print(Text(question))
    console.print(Text(f"{first}.", style="bold"))
    console.print()
    table = Table(show_edge=False, pad_edge=False, box=None)
    table.add_column("", overflow="fold")
    for setup in runs:
        table.add_column(Text(setup), justify="right", overflow="fold")
    for figure in chosen(runs, everything):
        values = [figure.of(run) for run in runs.values()]
        cells = ["-" if isnan(value) else show_numbers(value, figure.quantity) for value in values]
        table.add_row(Text(f"{figure.label} {unit_names(figure.quantity)}"), *map(Text, cells))
    if any(run.flags for run in runs.values()):
        table.add_row(Text("Flagged"), *(Text(in_words(run.flags) or "-") for run in runs.values()))
    console.print(table)
    for setup, run in runs.items():
        for flag in run.flags:
            console.print(Text(f"FLAGGED  {setup}: {flag.sentence}", style="bold"))
    if words := words_of(figure.label for figure in chosen(runs, everything)):
        console.print(Text(words))
