"""`jounce sheet FILE`: the page that a damper builder works from, one for each damper set of a set-up."""

import argparse
import sys
from collections.abc import Mapping, Sequence
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.errors import InputError, RunError

if TYPE_CHECKING:
    from sim.cli.folders import Results
    from sim.describe.parts.vehicle import Vehicle
    from sim.study.fit import Fit


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    parser.add_argument("file", type=Path, help="vehicle or scenario file")
    parser.add_argument("--setup", help="which set-up of a scenario (default: the first that has dampers)")
    parser.add_argument("--outputs", type=Path, default=Path("outputs"), help="folder for results (default: outputs)")


def run(options: argparse.Namespace) -> int:
    """Write PDF, PNG and CSV of every damper set; say what does not fit."""
    from sim.cli.folders import place, slug
    from sim.cli.setups import asked, chosen
    from sim.linear.standing import stand
    from sim.study.fit import fits

    given, setups, used = asked(options.file)
    name = chosen(options.file, options.setup, setups)
    try:
        ordered, standing = fits(setups[name]), stand(setups[name])
        # The builder gets one sheet, but the damper must live with every load the truck is driven with.
        others = {other: fits(vehicle) for other, vehicle in setups.items() if other != name}
    except RunError as error:
        raise RunError(f"set-up '{name}' or one beside it: {error}") from error
    if not ordered:
        raise InputError(f"{options.file}: the set-up '{name}' has no dampers; choose another with --setup.")
    problems = {fit.name + fit.axle: [*fit.problems, *fit.notes] for fit in ordered}
    for other, fitted in others.items():
        for fit in fitted:
            if fit.name + fit.axle in problems:
                # Problems only, no notes: those of the ordered set-up are enough to read.
                problems[fit.name + fit.axle] += [f"with '{other}': {text}" for text in fit.problems]
    for key, texts in _doubt(name, setups[name]).items():
        problems[key] += texts
    results = place(options.outputs, options.file, f"_{slug(name)}_sheet", name)
    folder, stems = results.folder, _stems(ordered)
    every = {other: ordered if other == name else others[other] for other in setups}
    command = f"jounce sheet {options.file.name} --setup '{name}'"
    # The sheets first, then the screen: what is printed names the files.
    _written(results, given, name, used, every, standing, problems, command)
    # Notes do not count: less room than usual is a warning, a damper that becomes the stop is a fault.
    wrong = [text for fit in ordered for text in fit.problems]
    _strokes(every)
    for fit in ordered:
        print(f"{fit.axle} set '{fit.name}', {fit.count} on the axle: {folder / stems[fit.axle, fit.name]}.pdf")
        for text in problems[fit.name + fit.axle]:
            print(f"  {text}")
    print(
        f"\nWrote {len(list(folder.iterdir()))} files to {folder}. Blanks are to be filled in by hand: they are not known here.\n"
        "Next: measure the three lengths on the truck with the springs out, then send the sheet.",
        file=sys.stderr,
    )
    return 3 if wrong else 0


def _doubt(name: str, vehicle: "Vehicle") -> dict[str, list[str]]:
    """Return what the numbers in doubt leave open of each damper's lengths and forces, by set and axle."""
    from sim.describe.doubtful import doubtful

    if not any(True for one in (vehicle, vehicle.reference) for _ in doubtful(one)):
        return {}
    # Draws need a library that takes a while to load; a file without doubt does without.
    from sim.describe.shown import show_parts
    from sim.study.doubt.standing import doubted_quantities, ordered

    _, bands = doubted_quantities({name: vehicle}, ordered)
    said: dict[str, list[str]] = {}
    ends: dict[str, list[str]] = {}
    for (axle, damper, kind, what), band in bands.get(name, {}).items():
        # The sheet has room for what is ordered by; lengths at stop and strap go with the one at ride.
        if (kind == "length" and what != "ride") or band.high - band.low < LEAST_SEEN:
            continue
        parts = zip(
            *(show_parts(end, "length" if kind in ("length", "room") else "force") for end in (band.low, band.high)),
            strict=True,
        )
        (low, unit), (high, _), (low_inch, inch), (high_inch, _) = (end for pair in parts for end in pair)
        decimals = 1 if inch == "in" else 0
        text = f"{low:.0f} to {high:.0f} {unit} ({low_inch:.{decimals}f} to {high_inch:.{decimals}f} {inch})"
        words = {"length": f"length at {what}", "room": f"room {what}"}.get(kind, f"{kind} at {what}")
        said.setdefault(damper + axle, []).append(f"{words} {text}")
        if kind == "room" and band.low < 0.0:
            ends.setdefault(damper + axle, []).append(
                f"in doubt: {axle} damper '{damper}' may run into its end. Measure what is in doubt before it is ordered"
            )
    return {key: [*ends.get(key, []), f"in doubt, 95 times in 100: {'; '.join(texts)}"] for key, texts in said.items()}


LEAST_SEEN = 1e-3
"""Doubt of a length [m] that a tape does not show; of a force [N] it is nothing."""


def _strokes(every: "Mapping[str, Sequence[Fit]]") -> None:
    """Print what is left of each damper in every set-up."""
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    from sim.describe.shown import show

    def length(value: float) -> str:
        # inf: no stop or strap, or no ends given, so nothing can be said of what is left.
        return show(value, "length") if isfinite(value) else "-"

    table = Table(show_edge=False, pad_edge=False, box=None)
    heads = ("", "damper", "at ride", "stroke left in, out", "least left in", "least left out")
    for head in heads:
        table.add_column(head, overflow="fold")
    for name, fits in every.items():
        for fit in fits:
            stroke = fit.extended - fit.collapsed
            left = (
                f"{100 * fit.left_in / stroke:.0f} %, {100 * fit.left_out / stroke:.0f} %" if isfinite(stroke) else "-"
            )
            cells = (
                name,
                f"{fit.axle} {fit.name}",
                length(fit.places["ride"].length),
                left,
                length(fit.margin_in),
                length(fit.margin_out),
            )
            table.add_row(*map(Text, cells))
    Console(highlight=False, width=None if sys.stdout.isatty() else 124).print(table)
    print()


def _written(
    results: "Results",
    given: Any,
    name: str,
    used: str,
    every: Any,
    standing: Any,
    problems: dict[str, list[str]],
    command: str,
) -> None:
    from sim.show.plots import margins
    from sim.show.plots.save import saved
    from sim.show.report import record
    from sim.show.report.write import MARKER, written

    def fill(into: Path) -> None:
        write_sheets(into, name, used, every, standing, problems)
        # Of all set-ups: the picture shows which load is the worst for a damper.
        saved(margins.figure(every), into / "margins")
        record.save(record.origin(given, command) | {"assumes": record.ASSUMES}, into / MARKER)

    written(results.folder, fill, results.of)


def _stems(fits: "Sequence[Fit]") -> dict[tuple[str, str], str]:
    """Return the names of the files of damper sets, by axle and set."""
    from sim.cli.folders import distinct

    # With both endings: set `main` and a set called `main_forces` must not share a file.
    names = distinct((f"{fit.axle} {fit.name}" for fit in fits), ("margins",), ("", "_forces"))
    return {(fit.axle, fit.name): names[f"{fit.axle} {fit.name}"] for fit in fits}


def write_sheets(
    into: Path,
    name: str,
    used: str,
    every: "Mapping[str, Sequence[Fit]]",
    standing: Any,
    problems: dict[str, list[str]],
) -> None:
    """Write the sheet of every damper set of a set-up into a folder."""
    from datetime import date
    from importlib.metadata import PackageNotFoundError, version

    from sim.show.plots import order_sheet
    from sim.show.report import sheet

    try:
        made_by = f"jounce {version('jounce')}"
    # Run from a folder of source text, without having been installed.
    except PackageNotFoundError:
        made_by = "jounce"
    stems = _stems(every[name])
    for fit in every[name]:
        part = dict(standing.vehicle.axles)[fit.axle].dampers[fit.name]
        # The same damper at ride under every load, so that the builder sees where it works, not only one length.
        rides = {
            other: one.places["ride"].length
            for other, fits in every.items()
            for one in fits
            if (one.axle, one.name) == (fit.axle, fit.name)
        }
        lines = sheet.rows(name, used, fit, standing, rides)
        warnings = problems[fit.name + fit.axle]
        stem = into / stems[fit.axle, fit.name]
        sheet.write_csv(lines, warnings, stem.with_name(f"{stem.name}.csv"))
        # A file that `jounce dyno --against` or a vehicle file reads: the order and its check are then one curve.
        sheet.write_forces(part.law, stem.with_name(f"{stem.name}_forces.csv"))
        # The quantity stands in the title: an order for one where two were meant is soon sent.
        title = f"Damper order: {fit.axle} axle, set '{fit.name}', quantity {fit.count}"
        subtitle = f"{standing.vehicle.name}, set-up '{name}'. Computed by {made_by} on {date.today().isoformat()}."
        order_sheet.saved(order_sheet.figure(title, subtitle, lines, warnings), stem)
