"""`jounce sheet FILE`: the page that a damper builder works from, one for each damper set of a set-up."""

import argparse
import sys
from collections.abc import Mapping, Sequence
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli import answer, fitted_pages
from sim.cli.heights import heights_of
from sim.cli.order_sheets import computed, stems_of, write_sheets, write_spring_sheets
from sim.cli.progress import closing
from sim.cli.units import told_in_both
from sim.describe.shown import System
from sim.errors import InputError, RunError

if TYPE_CHECKING:
    from sim.cli.folders import Results
    from sim.describe.parts.vehicle import Vehicle
    from sim.linear.standing import Standing
    from sim.study.concluded import Concluded, Conclusions, EndInDoubt
    from sim.study.fit import Fit
    from sim.study.spring_order import SpringOrder


CAUTION = (
    "support the axle before a damper comes out, nobody underneath; a loaded coil or a gas-charged damper can kill: "
    "rated spring compressor, and no heat, drilling or welding."
)
"""What can hurt somebody who does this work."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    parser.add_argument("file", type=Path, help="vehicle or scenario file")
    parser.add_argument(
        "--setup",
        help="which set-up of a scenario (default: of what was planned all of it, else the first that has dampers)",
    )
    parser.add_argument(
        "--height", action="append", default=[], metavar="AXLE=LENGTH",
        help="wanted height of the frame over an axle, from the measured one, for the springs to order: front=40mm (default: that of the set-up where it brings longer or shorter "
        "springs, spacers or blocks, else 0 mm)",
    )  # fmt: skip
    parser.add_argument(
        # No default here: the constant stands in a file that --help need not load.
        "--damping-ratio",
        type=float,
        default=None,
        help="damping ratio at the wheel that a proposed damper aims at (default: 0.3)",
    )
    parser.add_argument("--outputs", type=Path, default=Path("outputs"), help="folder for results (default: outputs)")


def run(options: argparse.Namespace) -> int:
    """Write PDF, PNG and CSV of every damper set; say what does not fit."""
    from sim.cli.folders import place, slug
    from sim.cli.notices import caution
    from sim.cli.setups import asked, to_order
    from sim.cli.showing import REPORT
    from sim.linear.standing import stand
    from sim.show.report.estimated import of_damper
    from sim.show.report.first_words import beside_orders, order_sentences
    from sim.show.report.spring_sheet import spring_words
    from sim.study.after_fitting import fitted_with
    from sim.study.fit import fits
    from sim.study.propose import RATIO
    from sim.study.spring_order import spring_orders

    heights, ratio = heights_of(options.height), RATIO if options.damping_ratio is None else options.damping_ratio
    if not 0.0 < ratio <= 2.0:
        raise InputError(
            f"--damping-ratio {ratio:g}: more than 0, 2 at most; 0.2 to 0.4 are usual (common practice, no source)."
        )
    given, setups, used = asked(options.file)
    name = to_order(options.file, options.setup, given, setups)
    try:
        springs = spring_orders(setups[name], heights)
        # A damper works where the springs that are ordered here put the frame, not where the old ones had it.
        fitted = fitted_with(setups[name], springs, heights)
        ordered, standing = fits(fitted), stand(fitted)
        others = {other: fits(vehicle) for other, vehicle in setups.items() if other != name}
        loaded_so = {
            other: fits(fitted_with(setups[other], springs, heights)) if heights else found
            for other, found in others.items()
            if any(_same(setups[name], setups[other], fit) for fit in found)
        }
    except RunError as error:
        raise RunError(f"set-up '{name}' or one beside it: {error}") from error
    if not ordered:
        raise InputError(
            f"{options.file}: the set-up '{name}' has no dampers; choose another with --setup, or write a set with its mounts, its count and "
            "any valving: lengths and forces for it are proposed."
        )
    # A fault belongs to its own set-up; only the same damper in the same place, under another load, is this sheet's too.
    same = {
        other: tuple(fit for fit in loaded_so.get(other, found) if _same(setups[name], setups[other], fit))
        for other, found in others.items()
    }
    doubted, ends = _doubt(name, fitted, ordered)
    known = _known(fitted, ordered, standing, ends, ratio)
    problems = {fit.name + fit.axle: [*known[fit.axle, fit.name].problems, *fit.notes] for fit in ordered}
    for other, alike in same.items():
        for fit in alike:
            # Problems only, no notes: those of the ordered set-up are enough to read. What it has itself is not said twice.
            there = problems[fit.name + fit.axle]
            again = bool(fit.problems) and fit.faults == known[fit.axle, fit.name].fit.faults
            there += [f"the same with '{other}'"] if again else [f"with '{other}': {text}" for text in fit.problems]
    for key, said in doubted.items():
        problems[key] += said
    for fit in ordered:
        text = of_damper(setups[name].estimates, fit.axle, fit.name)
        problems[fit.name + fit.axle] += [text] if text else []
    bare = stand(setups[name]) if heights else standing
    try:
        work = fitted_pages.worked_out(
            name, setups[name], standing, getattr(given, "changes", {}), springs, known, heights
        )
    except RunError as error:
        raise RunError(f"set-up '{name}': {error}") from error
    results = place(options.outputs, options.file, f"_{slug(name)}_sheet", name)
    folder, stems = results.folder, stems_of(ordered)
    every = {other: ordered if other == name else others[other] for other in setups}
    command = " ".join(
        [f"jounce sheet {options.file.name} --setup '{name}'", *(f"--height '{asked}'" for asked in options.height)]
        + ([] if options.damping_ratio is None else [f"--damping-ratio {options.damping_ratio:g}"])
    )
    # The sheets first, then the screen: what is printed names the files.
    _written(
        results,
        given,
        name,
        used,
        every,
        {name: ordered, **same},
        standing,
        bare,
        problems,
        command,
        springs,
        ratio,
        known,
        work,
    )
    # Notes do not count: less room than usual is a warning, a damper that becomes the stop is a fault.
    wrong = [text for fits_ in (ordered, *same.values()) for fit in fits_ for text in fit.wrong]
    wrong += [text for spring in springs for text in spring.problems]
    loaded = [fit for alike in same.values() for fit in alike]
    others_named = [f"“{other}”" for other in setups if other != name]
    taken = (
        f"Taken without --setup: “{name}”. --setup chooses another: {', '.join(others_named)}."
        if options.setup is None and others_named
        else ""
    )
    sentences, beside = order_sentences(name, every, loaded, known), beside_orders(name, every, loaded)
    _strokes(sentences, [*filter(None, [_at_heights(heights), beside, taken])], every, name, known)
    for fit in ordered:
        print(f"{fit.axle} set '{fit.name}', {fit.count} on the axle: {folder / stems[fit.axle, fit.name]}.pdf")
        one = known[fit.axle, fit.name]
        print(f"  {one.verdict}")
        for text in problems[fit.name + fit.axle]:
            if text != one.verdict:
                print(f"  {text}")
        if one.instead:
            # What is said among the problems is not said again.
            told = one.no_length and any(one.no_length in text for text in one.problems)
            more = one.cannot.removesuffix(one.no_length).rstrip(". ") if told else one.cannot
            words = (
                f"No other can be ordered as it is mounted now{f'. {more}' if more else ''}"
                if one.cannot
                else f"Another is proposed in its place ({one.instead})"
            )
            print(f"  {words}: {folder / stems[fit.axle, fit.name]}_proposed.pdf")
    for spring in springs:
        print(f"{spring.axle} spring '{spring.name}': {spring_words(spring)}")
        for text in (*spring.problems, *spring.notes):
            print(f"  {text}")
    fitted_pages.say(folder, work)
    if answer.wanted():
        answer.wrote(folder)
        from sim.cli.answers.sheet import parts

        answered = parts(every, springs, {name: ordered, **same}, {name: known})
        answered["rows"] |= fitted_pages.rows(name, work)
        answer.add(name=given.name, question=given.question, verdict=[*sentences, *filter(None, [beside])], **answered)
    caution(CAUTION)
    closing(
        f"\nWrote {len(list(folder.iterdir()))} files to {folder}. Blanks are to be filled in by hand: they are not known here.\n"
        f"To hand over, print or send: {folder / REPORT} (one file, opens in any browser).\n"
        "Next: measure the three lengths on the truck with the springs out, then send the sheet; after the work fill in after_fitting.pdf on the truck."
    )
    return 3 if wrong else 0


def _same(vehicle: "Vehicle", other: "Vehicle", fit: "Fit") -> bool:
    """Return whether two set-ups have the same damper in the same place, so that only its load differs."""
    mine, its = dict(vehicle.axles)[fit.axle], dict(other.axles)[fit.axle]
    if fit.name not in mine.dampers:
        return False
    # With other springs or another guide its fault would come of them, not of the load.
    places = ("guide", "springs", "stop", "strap")
    ends = ("count", "body", "axle", "lean_inward", "length_collapsed", "length_extended", "tube_end", "construction")
    return all(getattr(mine, key) == getattr(its, key) for key in places) and all(
        getattr(mine.dampers[fit.name], key) == getattr(its.dampers[fit.name], key) for key in ends
    )


def _at_heights(heights: "Mapping[str, float]") -> str:
    """Return at which heights dampers are judged, where some were asked for."""
    from sim.describe.shown import show
    from sim.describe.to_measure import listed

    at = listed(
        [
            f"{show(abs(height), 'length')} {'below' if height < 0.0 else 'above'} the measured height at the {axle}"
            for axle, height in heights.items()
        ]
    )
    return f"Dampers, stops and straps are judged with the springs that are ordered here: {at}." if heights else ""


def _known(
    vehicle: "Vehicle",
    ordered: "Sequence[Fit]",
    standing: "Standing",
    ends: "Mapping[tuple[str, str], tuple[EndInDoubt, ...]]",
    ratio: float,
) -> "dict[tuple[str, str], Concluded]":
    """Return what comes of every damper set, by axle and name."""
    from sim.show.report.estimated import forces_are_estimates
    from sim.study.concluded import Concluded
    from sim.study.propose import proposed, wanted

    found = {}
    for fit in ordered:
        key, axle = (fit.axle, fit.name), standing.axles[fit.axle]
        why = wanted(fit, axle)
        offer = proposed(fit, axle, ratio) if why else None
        found[key] = Concluded(
            fit, why, offer.cannot if offer else "", offer.no_length if offer else "", ends.get(key, ()),
            forces_are_estimates(vehicle.estimates, *key),
            (offer.collapsed, offer.extended) if offer and not offer.cannot else (),
        )  # fmt: skip
    return found


def _doubt(
    name: str, vehicle: "Vehicle", fitted: "Sequence[Fit]"
) -> "tuple[dict[str, list[str]], dict[tuple[str, str], tuple[EndInDoubt, ...]]]":
    """Return what is in doubt of each damper (`sheet_doubt.in_doubt`); nothing where no number is."""
    from sim.describe.doubtful import any_in_doubt

    if not any_in_doubt([vehicle]):
        return {}, {}
    # What draws takes a while to load; a file without doubt does without.
    from sim.show.report.sheet_doubt import in_doubt

    return in_doubt(name, vehicle, fitted)


def _strokes(
    sentences: "Sequence[str]",
    beside: "Sequence[str]",
    every: "Mapping[str, Sequence[Fit]]",
    ordered: str,
    known: "Conclusions",
) -> None:
    """Print what to order, then what is left of each damper in every set-up."""
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    from sim.describe.shown import show
    from sim.describe.to_measure import AT_RIDE
    from sim.study.concluded import concluded_of

    def length(value: float, why: str = "") -> str:
        # inf: no stop or strap, or no ends given, so nothing can be said of what is left.
        return show(value, "length") if isfinite(value) else f"not known: {why}" if why else "-"

    table = Table(show_edge=False, pad_edge=False, box=None)
    heads = ("", "damper", "at ride", "stroke left in, out", "least left in", "least left out", "fits")
    for head in heads:
        table.add_column(head, overflow="fold")
    for name, fits in every.items():
        for one in concluded_of(fits, known if name == ordered else {}):
            fit = one.fit
            stroke = fit.extended - fit.collapsed
            left = (
                f"{100 * fit.left_in / stroke:.0f} %, {100 * fit.left_out / stroke:.0f} %" if isfinite(stroke) else "-"
            )
            cells = (
                name,
                f"{fit.axle} {fit.name}",
                length(fit.places["ride"].length) + (", estimated" if AT_RIDE in fit.unmeasured else ""),
                left,
                length(fit.margin_in, "no bump stop" if isfinite(fit.collapsed) else "no length fully in"),
                length(fit.margin_out, "no strap" if isfinite(fit.extended) else "no length fully out"),
                one.in_a_word,
            )
            table.add_row(*map(Text, cells))
    console = Console(highlight=False, width=None if sys.stdout.isatty() else 124)
    first, *others = sentences
    console.print(Text(first, style="bold"))
    for text in others:
        console.print(Text(text))
    console.print()
    console.print(table)
    print()
    for text in beside:
        console.print(Text(text))
        print()


def _written(
    results: "Results",
    given: Any,
    name: str,
    used: str,
    every: Any,
    same: Any,
    standing: Any,
    bare: Any,
    problems: dict[str, list[str]],
    command: str,
    springs: "Sequence[SpringOrder]",
    ratio: float,
    known: "Conclusions",
    work: fitted_pages.Work,
) -> None:
    from sim.machine.copies import shared_out
    from sim.show.plots import margins
    from sim.show.plots.save import saved
    from sim.show.report import record
    from sim.show.report.write import MARKER, written

    def fill(into: Path) -> None:
        draws = [
            *write_sheets(into, name, used, same, standing, problems, ratio, known),
            *write_spring_sheets(into, name, used, springs, bare, work.parts, work.turned),
            *fitted_pages.write(into, name, computed(name, standing), work),
        ]
        # Sheets in a copy from the first on, while the report is written here.
        with shared_out(draws):
            # Of all set-ups: the picture shows which load is the worst for a damper.
            saved(margins.figure(every, name, work.little), into / "margins")
            record.save(record.origin(given, command) | {"assumes": record.ASSUMES}, into / MARKER)
            _reported(into, name, used, same[name], standing, problems, known, work)

    written(results.folder, fill, results.of)


@told_in_both
def _reported(
    units: System,
    into: Path,
    name: str,
    used: str,
    fits: "Sequence[Fit]",
    standing: Any,
    problems: dict[str, list[str]],
    known: "Conclusions",
    work: fitted_pages.Work,
) -> None:
    from sim.show.pages.report.told import Told, sheet_table, write

    stems = stems_of(fits)
    # Read from the CSV that was just written: page and sheet cannot differ.
    sheets = [
        sheet_table(
            into / f"{stems[fit.axle, fit.name]}.csv",
            f"{known[fit.axle, fit.name].title}: {fit.axle} axle, “{fit.name}”, quantity {fit.count}",
        )
        for fit in fits
    ]
    first, *after = fitted_pages.tables(into, work)
    sheets = [first, *sheets, *after]
    verdict = [
        f"{fit.axle.capitalize()} damper “{fit.name}”, {fit.count} on the axle: {known[fit.axle, fit.name].verdict}"
        for fit in fits
    ]
    wrong = [f"{fit.axle} damper “{fit.name}”: {text}" for fit in fits for text in fit.wrong]
    noted = {
        f"Mind: {fit.axle} damper “{fit.name}”": problems[fit.name + fit.axle]
        for fit in fits
        if problems[fit.name + fit.axle]
    }
    told = Told(
        f"What is to be ordered for “{name}”?", (standing.vehicle.name, used), verdict, {}, noted, ("margins",),
        {name: standing.vehicle}, CAUTION, wrong, sheets,
    )  # fmt: skip
    write(into, told, units)
