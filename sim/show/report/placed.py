"""Figures placed among what is usual in the trade: a table, the lines of a comparison, and a CSV of all of them."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from sim.describe.good import Placed
from sim.describe.shown import figure_of, heading_of, in_shown_units
from sim.show.report.naming import quoted
from sim.show.report.table_csv import Table

Key = tuple[str, str, str]


def placed_rows(columns: Sequence[Sequence[Placed]]) -> list[tuple[str, list[str]]]:
    """Return a row for each figure: what it is with its usual range, and figure and word of each set-up.

    The usual range has a line of its own below the label. A set-up of which it is not known has a dash; one that is loaded has the range of a loaded axle in its own cell.
    """
    rows = []
    for key in dict.fromkeys(_key(one) for column in columns for one in column):
        cells = [next((one for one in column if _key(one) == key), None) for column in columns]
        known = [one for one in cells if one is not None]
        # The range of the empty truck heads the row wherever a set-up is empty.
        head = next((one for one in known if not one.loaded), known[0])
        rows.append(
            (
                f"{head.label}{head.with_load}\n  {head.usual}",
                [
                    "-" if one is None else f"{one.figure}: {one.word}{_own_range(one, head)}"
                    for one in cells
                ],
            )
        )  # fmt: skip
    return rows


def _key(one: Placed) -> Key:
    return one.kind, one.axle, one.name


def _own_range(one: Placed, head: Placed) -> str:
    return "" if one.good == head.good else f" ({one.with_load.strip(' ()')}, {one.usual})"


def unusual(placed: Mapping[str, Sequence[Placed]]) -> list[str]:
    """Return what lies outside its usual range: what is so with every set-up once, then a sentence for each group that has more."""
    of = {setup: [one.sentence for one in column if not one.is_usual] for setup, column in placed.items()}
    common = [said for said in next(iter(of.values()), []) if len(of) > 1 and all(said in each for each in of.values())]
    groups: dict[tuple[str, ...], list[str]] = {}
    for setup, each in of.items():
        groups.setdefault(tuple(said for said in each if said not in common), []).append(setup)
    usual = "nothing else" if common else "all as usual in the trade"
    sentences = [f"With every set-up: {'; '.join(common)}."] if common else []
    if common and list(groups) == [()]:
        return sentences
    return sentences + [
        f"{', '.join(map(quoted, setups))}: {'; '.join(said) if said else usual}." for said, setups in groups.items()
    ]


def write(placed: Mapping[str, Sequence[Placed]], path: Path) -> None:
    """Write every figure with its word, its usual range and where that range is from."""
    with path.open("w", encoding="utf-8", newline="") as file:
        table = Table(file)
        table.writerow(["set-up", "what", "unit", "value", "called", "usual from", "usual to", "usual", "source"])
        for setup, column in placed.items():
            for one in column:
                low, high = (f"{figure_of(end, one.good.quantity):.6g}" for end in one.good.usual)
                table.writerow(
                    [
                        setup, one.label, heading_of(one.good.quantity), f"{figure_of(one.value, one.good.quantity):.6g}",
                        one.word, low, high, "yes" if one.is_usual else "no", in_shown_units(one.good.source),
                    ]
                )  # fmt: skip
