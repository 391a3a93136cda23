"""What the numbers in doubt leave open: as rows of a file, as lines on the screen, and for the record."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from math import isfinite, isinf, nan
from pathlib import Path
from typing import Any, TextIO

from rich import box
from rich.console import Console
from rich.table import Table as Screen
from rich.text import Text

from sim.describe.runs import AnyRun
from sim.describe.shown import show_part, show_parts, written_now
from sim.describe.written_unit import in_the_unit_of
from sim.measure.band import Band
from sim.measure.change import leaves_open, noticed_of
from sim.measure.comparison import Comparison
from sim.measure.measure import Measure
from sim.measure.verdict import verdict
from sim.show.report import estimated
from sim.show.report.assumed import assumed_sentence
from sim.show.report.cells import Signs, label, signs
from sim.show.report.doubt_alone import own_tables
from sim.show.report.doubt_cells import OPEN, SAME, TOO_CLOSE, cell, judged, tells, with_sign
from sim.show.report.key import key_measures, short
from sim.show.report.table import WIDTH
from sim.show.report.table_csv import Table
from sim.study.doubt.measuring import way
from sim.study.doubt.study import FIGURES, Doubted, bandable
from sim.study.doubt.unknowns import Unknown

NEXT = 3
"""So many numbers are said to be measured next."""

LEAST_SHARE = 0.05
"""A number that decides less of the doubt is not said to be measured next."""


def banded(comparison: Comparison, run: AnyRun, everything: bool, also: Iterable[str] = ()) -> list[Measure]:
    """Return the measures that get a band: those that are shown or named, or all that many draws can be taken of."""
    # By name: two runs' measures of one name are two objects.
    wanted = {one.name for one in (*short(comparison), *key_measures(comparison))} | set(also)
    # What carries the verdict too: it weighs the bands.
    chosen = [one for one in comparison.measures if everything or one.name in wanted or one.carries is not None]
    return bandable(run, chosen)


def deciding(comparison: Comparison) -> list[str]:
    """Return the names of the measures by whose doubt numbers are ranked: those that carry the verdict, else those to look at first."""
    carriers = [one.name for those in verdict(comparison).carrying.values() for one in those]
    return carriers or [one.name for one in key_measures(comparison)]


def write(comparison: Comparison, doubted: Doubted, path: Path) -> None:
    """Write the bands of every value and of every difference, in workshop metric units."""
    others = [name for name in comparison.runs if name != doubted.reference]
    with path.open("w", encoding="utf-8", newline="") as file:
        table = Table(file)
        head = ["measure", "unit"]
        for name in comparison.runs:
            head += [f"{name}: low", f"{name}: high"]
        for name in others:
            first = doubted.from_which(name)
            head += [f"{name}: change from {first}, low", f"{name}: change from {first}, high"]
            head += [f"{name}: too close to call"]
        table.writerow(head)
        for measure in comparison.measures:
            row = [measure.label, show_parts(0.0, measure.quantity)[0][1]]
            for name in comparison.runs:
                row += _ends(doubted.values.get(name, {}).get(measure.name), measure)
            for name in others:
                band, outcome = judged(comparison, doubted, name, measure)
                row += [*_ends(band, measure), "" if band is None else "yes" if outcome == OPEN else "no"]
            table.writerow(row)


def write_influence(comparison: Comparison, doubted: Doubted, path: Path) -> None:
    """Write which share of each difference's doubt each number decides."""
    labels = {one.name: one.label for one in comparison.measures}
    with path.open("w", encoding="utf-8", newline="") as file:
        table = Table(file)
        table.writerow([
            "set-up", "measure", "number in doubt", "written", "decides by itself [%]", "takes part in [%]",
            "foretold by the fit [%]", "how it is measured",
        ])  # fmt: skip
        for setup, by_measure in doubted.influence.items():
            for name, one in by_measure.items():
                for unknown, share in sorted(one.first.items(), key=lambda pair: -pair[1]):
                    table.writerow([
                        setup, labels.get(name, name), unknown.path, written_now(unknown.what.doubt.written), f"{100 * share:.1f}",
                        f"{100 * one.total[unknown]:.1f}", f"{100 * one.foretold:.0f}", way(unknown.path, unknown.measured).how,
                    ])  # fmt: skip


def _ends(band: Band | None, measure: Measure) -> list[str]:
    if band is None:
        return ["", ""]
    # In the measure's unit; a difference of temperatures has no zero to take off.
    quantity = "warmth" if measure.quantity == "temperature" else measure.quantity
    return ["not reached" if isinf(end) else f"{show_parts(end, quantity)[0][0]:.6g}" for end in (band.low, band.high)]


def printed(
    comparison: Comparison, doubted: Doubted, stream: TextIO, everything: bool = False, width: int | None = None
) -> None:
    """Print the bands of the differences, what to measure next, and what else must be known of them.

    Parameters
    ----------
    comparison : Comparison
    doubted : Doubted
    stream : text stream
        Where to; its encoding decides on the signs.
    everything : bool
        All measures that have a band, instead of those that decide most.
    width : int, optional
        Letters in a line; by default that of the terminal, else WIDTH.
    """
    sign = signs(getattr(stream, "encoding", None))
    wide = width if width is not None else None if stream.isatty() else WIDTH
    console = Console(file=stream, highlight=False, width=wide)
    console.print()
    measures = comparison.measures if everything else short(comparison)
    # What the verdict weighs stands here too: its word and its band are read together.
    seen = {one.name for one in measures}  # by name: two runs' measures of one name are two objects
    carriers = [one for those in verdict(comparison).carrying.values() for one in those if one.name not in seen]
    # Of one set-up alone there is no difference: then what its own figures lie within is the answer.
    known = doubted.differences or doubted.values
    shown = [one for one in (*measures, *carriers) if any(one.name in bands for bands in known.values())]
    if not doubted.unknowns:
        console.print(Text(sign.said(assumed_sentence(doubted.assumed))))
        return
    console.print(Text(sign.said(_heading(doubted)), style="bold"))
    alone = not doubted.differences
    for part in (
        own_tables(doubted, shown, sign)
        if alone
        else _tables(comparison, doubted, shown, console.width, sign, everything)
    ):
        console.print()
        console.print(part)
    console.print()
    if not alone and not everything:
        console.print("Rows in which nobody would notice a difference are left out; --all shows every one.")
    for text in sentences(doubted, deciding(comparison)):
        console.print(Text(sign.said(text)))


def _heading(doubted: Doubted) -> str:
    numbers = len(doubted.unknowns)
    return f"What {numbers} number{'s' if numbers != 1 else ''} in doubt leave{'' if numbers != 1 else 's'} open"


def _tables(
    comparison: Comparison, doubted: Doubted, measures: Sequence[Measure], width: int, sign: Signs, everything: bool
) -> Iterable[Screen]:
    columns = {
        setup: [cell(comparison, doubted, setup, one) for one in measures]
        for setup in doubted.differences
        if setup in comparison.runs
    }
    wide = max([12, *(len(text) for column in columns.values() for text in column)])
    named = min(max([24, *(len(label(one)) for one in measures)]), max(width - wide - 3, 8))
    beside = max(1, (width - named - 1) // (wide + 2))
    # What is judged against one and the same set-up stands in one table.
    groups: dict[str, list[str]] = {}
    for name in columns:
        groups.setdefault(doubted.from_which(name), []).append(name)
    parts = [
        (first, group[start : start + beside])
        for first, group in groups.items()
        for start in range(0, len(group), beside)
    ]
    for first, names in parts:
        table = Screen(box=box.SIMPLE_HEAD if sign.encoding == "utf-8" else box.ASCII2, show_edge=False, pad_edge=False)
        table.add_column(Text(sign.said(f"change from {first}")), width=named, overflow="fold")
        for name in names:
            table.add_column(
                Text(sign.said(name)), justify="right", width=min(wide, max(width - named - 2, 8)), overflow="fold"
            )
        for row, one in enumerate(measures):
            # A row in which nothing differs by what anybody notices only hides the others.
            if not everything and not any(tells(columns[name][row]) for name in names):
                continue
            _, unit = show_part(1.0, one.quantity)
            cells = (Text(sign.said(columns[name][row])) for name in names)
            table.add_row(Text(sign.said(one.label + (f" [{unit}]" if unit else ""))), *cells)
        yield table


def sentences(doubted: Doubted, measures: Sequence[str]) -> list[str]:
    """Return what is said beside the bands: how they come about, what to measure next, what was lost."""
    # First what the tries rest on: a try that could not be run is in no band.
    said = tried(doubted)
    if doubted.unknowns:
        drawn = f"{doubted.draws} tries, each with the {len(doubted.unknowns)} numbers in doubt anew"
        marks = (
            f"; {TOO_CLOSE} the band holds zero: too close to call; {SAME} most likely less than a person would notice"
        )
        alike = ", the same for every set-up"
        said.append(
            f"Bands hold 95 times in 100{marks}. {drawn}{alike}."
            if doubted.differences
            else f"Bands hold 95 times in 100. {drawn}."
        )
        if any(one.unknown for bands in doubted.differences.values() for one in bands.values()):
            said.append("Never: in so many tries one of the two does not get there within the run.")
        if doubted.draws < 100:
            said.append("So few tries give rough bands: such runs go one by one.")
    said += measure_next(doubted, measures)
    said += [
        text for text in (estimated.estimated_sentence(doubted.estimates), assumed_sentence(doubted.assumed)) if text
    ]
    return said


def tried(doubted: Doubted) -> list[str]:
    """Return in how many tries set-ups could not be run, and why; then in how many something broke, met its end or was squeezed flat."""
    return _lost(doubted) + _flagged(doubted)


def _lost(doubted: Doubted) -> list[str]:
    """Return how many draws could not be run and why: once for all set-ups of which the same is to be said."""
    groups: dict[str, dict[str, int]] = {}
    first: dict[str, str] = {}
    for setup, lost in doubted.lost.items():
        for why, count in lost.items():
            # Reasons that differ in their figures alone are one.
            groups.setdefault(first.setdefault(FIGURES.sub("#", why), why), {})[setup] = count
    return [
        f"{_counts(each)} of {doubted.draws} tries{_whose(each, doubted)} could not be run, such as one for which: {why}"
        for why, each in groups.items()
    ]


def _counts(each: Mapping[str, int]) -> str:
    low, high = min(each.values()), max(each.values())
    return f"{low}" if low == high else f"{low} to {high}"


def _whose(each: Mapping[str, int], doubted: Doubted) -> str:
    every = len(each) == len(doubted.differences) + 1
    return " of every set-up" if every else f" of {', '.join(f'“{name}”' for name in each)}"


def _flagged(doubted: Doubted) -> list[str]:
    """Return what draws are flagged for, and how many, in a sentence a set-up."""
    return [
        f"Tries of “{setup}” that ran but broke something, of {doubted.draws}: "
        + ", ".join(f"{what} in {count}" for what, count in sorted(flagged.items(), key=lambda pair: -pair[1]))
        for setup, flagged in doubted.flagged.items()
        if flagged
    ]


def differences(doubted: Doubted, measures: Iterable[Measure]) -> list[str]:
    """Return each difference's band in a sentence."""
    return [
        f"{measure.label}: '{setup}' against '{doubted.from_which(setup)}' {band_in_words(doubted, setup, measure)}"
        for setup, bands in doubted.differences.items()
        for measure in measures
        if measure.name in bands
    ]


UNMOVED = "is the same, whatever the numbers in doubt are"
"""What is said of a measure that no try moves between two set-ups."""


def band_in_words(doubted: Doubted, setup: str, measure: Measure) -> str:
    """Return what a set-up's difference lies between by a measure, in words."""
    return between(doubted.differences[setup][measure.name], measure, _middle(doubted, setup, measure))


def _middle(doubted: Doubted, setup: str, measure: Measure) -> float:
    """Return about what the one that a set-up is judged against comes to; nan where that is not known."""
    band = doubted.values.get(doubted.from_which(setup), {}).get(measure.name)
    return nan if band is None else 0.5 * (band.low + band.high)


def between(band: Band, measure: Measure, around: float = nan) -> str:
    """Return the band of a difference in words; `around` is what the figures come to, where that is known."""
    if not (isfinite(band.low) and isfinite(band.high)):
        many = f"{band.unknown} of {band.draws}" if band.unknown else "some"
        return f"is not known: in {many} tries one of the two does not get there within the run"
    if band.low == band.high == 0.0:
        return UNMOVED
    quantity = "warmth" if measure.quantity == "temperature" else measure.quantity
    texts = []
    for (low, unit), (high, _) in zip(*(show_parts(end, quantity) for end in (band.low, band.high)), strict=True):
        size = max(abs(low), abs(high), 1e-12)
        texts.append(f"{with_sign(low, size, quantity)} to {with_sign(high, size, quantity)} {unit}".rstrip())
    text = texts[0] if len(texts) == 1 else f"{texts[0]} ({texts[1]})"
    if leaves_open(band, measure, around):
        return f"{text}: {OPEN}"
    small = noticed_of(measure).smallest(around, around) if isfinite(around) else noticed_of(measure).floor
    return text + (": less than a person would notice" if -small < band.low and band.high < small else "")


def measure_next(doubted: Doubted, measures: Sequence[str]) -> list[str]:
    """Return what to measure next, what decides most first, and how; then what decides the rest."""
    said, rest = next_and_rest(doubted, measures)
    return said + rest


def next_and_rest(
    doubted: Doubted, measures: Sequence[str], named: Callable[[str], str] = str
) -> tuple[list[str], list[str]]:
    """Return what to measure next, what decides most first, and how; and by itself what decides the rest.

    Numbers that one measurement gives are one: all of a damper's valving comes from one test. `named` says what a number is called: by default
    its key, as whoever writes a file looks for it.
    """
    groups: dict[str, list[tuple[Unknown, float]]] = {}
    for unknown, share in doubted.ranked(measures):
        groups.setdefault(way(unknown.path, unknown.measured).do, []).append((unknown, share))
    whole = sorted(((sum(share for _, share in own), own) for own in groups.values()), key=lambda one: -one[0])
    chosen = [pair for pair in whole if pair[0] >= LEAST_SHARE][:NEXT]
    said = []
    for place, (share, own) in enumerate(chosen):
        one = way(own[0][0].path, own[0][0].measured)
        order = one.do[0].upper() + one.do[1:]
        of = " of the doubt about the differences" if place == 0 else ""
        more = f" and {len(own) - 1} more with it" if len(own) > 1 else ""
        said.append(
            f"{order}: it decides {100 * share:.0f} %{of} ({named(own[0][0].path)}: {written_now(own[0][0].what.doubt.written, beside=True)}{more}). How: {one.how}."
        )
    return said, _rest(whole[len(chosen) :], sum(share for share, _ in whole))


def _rest(others: Sequence[tuple[float, Sequence[tuple[Unknown, float]]]], known: float) -> list[str]:
    """Return what the rest of the doubt comes from: many small ones, and what numbers decide only together."""
    said = []
    left = sum(share for share, _ in others)
    if others and left >= LEAST_SHARE:
        first = "; the largest of them: " if len(others) > 1 else ": "
        named = ", ".join(
            f"{way(own[0][0].path, own[0][0].measured).do} {100 * share:.0f} %" for share, own in others[:NEXT]
        )
        what = f"{len(others)} other measurements decide {100 * left:.0f} % together" if len(others) > 1 else "Then"
        said.append(f"{what}{first}{named}.")
    if 0.0 < known <= 1.0 - LEAST_SHARE:
        said.append(f"{100 * (1.0 - known):.0f} % is decided by numbers that act together, and by none alone.")
    return said


def recorded(doubted: Doubted, measures: Sequence[str]) -> dict[str, Any]:
    """Return the doubt for a record."""
    return {
        "draws": doubted.draws,
        "reference": doubted.reference,
        "numbers in doubt": {
            f"{one.path}: {one.what.doubt.written}": {
                "central value": in_the_unit_of(one.what.doubt.written, one.what.value, one.what.doubt.si),
                "distribution": "normal, 95 % within its ends" if one.what.doubt.shape == "normal" else "every value alike",
                "low": in_the_unit_of(one.what.doubt.written, one.what.doubt.low, one.what.doubt.si),
                "high": in_the_unit_of(one.what.doubt.written, one.what.doubt.high, one.what.doubt.si),
                "set-ups": list(one.setups),
            }
            for one in doubted.unknowns
        },
        "decides of the doubt, share": {key(one): round(share, 4) for one, share in doubted.ranked(measures)},
        "draws that say nothing": doubted.lost,
        "draws flagged": doubted.flagged,
        "estimated, as nobody measured it": estimated.recorded(doubted.estimates),
        "assumed to be nothing": [one.path for one in doubted.assumed],
    }  # fmt: skip


def key(unknown: Unknown) -> str:
    """Return a number in doubt by its path and its words: two set-ups may write two at one path."""
    return f"{unknown.path}: {unknown.what.doubt.written}"
