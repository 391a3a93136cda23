"""The files of order sheets: one PDF, PNG and CSV for each damper set and each spring, and for what is proposed instead."""

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from math import nan
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sim.study.concluded import Conclusions
    from sim.study.fit import Fit
    from sim.study.parts import PartsList
    from sim.study.spring_order import SpringOrder

Draws = Callable[[], object]
"""Draws one sheet into its files, whenever it is called and by whichever process."""


def stems_of(fits: "Sequence[Fit]") -> dict[tuple[str, str], str]:
    """Return the names of the files of damper sets, by axle and set."""
    from sim.cli.folders import distinct

    # With both endings: set `main` and a set called `main_forces` must not share a file.
    names = distinct(
        (f"{fit.axle} {fit.name}" for fit in fits), ("margins", "parts", "after_fitting"), ("", "_forces", "_proposed")
    )
    return {(fit.axle, fit.name): names[f"{fit.axle} {fit.name}"] for fit in fits}


def write_sheets(
    into: Path,
    name: str,
    used: str,
    every: "Mapping[str, Sequence[Fit]]",
    standing: Any,
    problems: dict[str, list[str]],
    ratio: float | None = None,
    known: "Conclusions | None" = None,
) -> list[Draws]:
    """Write the tables of every damper set's sheet of a set-up into a folder, with a damping ratio also of what is proposed instead; return what draws the sheets."""
    from sim.describe.to_measure import listed
    from sim.show.plots import order_sheet
    from sim.show.report import sheet, spring_sheet
    from sim.show.report.estimated import forces_are_estimates
    from sim.show.report.first_words import order_of
    from sim.study.concluded import Concluded, doubt_words
    from sim.study.propose import proposed, wanted

    stems = stems_of(every[name])
    draws: list[Draws] = []
    for fit in every[name]:
        part = dict(standing.vehicle.axles)[fit.axle].dampers[fit.name]
        # The same damper at ride under every load, so that the builder sees where it works, not only one length.
        rides = {
            other: one.places["ride"].length
            for other, fits in every.items()
            for one in fits
            if (one.axle, one.name) == (fit.axle, fit.name)
        }
        key = (fit.axle, fit.name)
        guessed = forces_are_estimates(standing.vehicle.estimates, *key)
        one = (known or {}).get(key, Concluded(fit, guessed_forces=guessed))
        lines = sheet.rows(name, used, fit, standing, rides, one.in_doubt)
        loaded = [other for setup, fits in every.items() if setup != name for other in fits]
        # What is to be done comes first: the room that is in doubt is a part of it, and is not said again.
        told = doubt_words(one.ends) if one.in_doubt else ""
        warnings = [
            *order_of(fit, loaded, {key: one}),
            *(text for text in problems[fit.name + fit.axle] if text != told),
        ]
        stem = into / stems[fit.axle, fit.name]
        sheet.write_csv(lines, warnings, stem.with_name(f"{stem.name}.csv"))
        # A file that `jounce dyno --against` or a vehicle file reads: the order and its check are then one curve.
        sheet.write_forces(part.valving, stem.with_name(f"{stem.name}_forces.csv"))
        # The quantity stands in the title: an order for one where two were meant is soon sent.
        # A builder reads the title and the table: that nobody has measured the forces must not stand in a line between them.
        title = f"{one.title}: {fit.axle} axle, set '{fit.name}', quantity {fit.count}"
        draws.append(partial(order_sheet.drawn, title, computed(name, standing), lines, warnings, stem))
        why = wanted(fit, standing.axles[fit.axle])
        if ratio is None or not why:
            continue
        offer = proposed(fit, standing.axles[fit.axle], ratio)
        lines = spring_sheet.proposal_rows(name, fit, standing, offer, why)
        stem = stem.with_name(f"{stem.name}_proposed")
        warnings = [offer.cannot] if offer.cannot else []
        if fit.unmeasured:
            warnings.append(
                f"The lengths follow from estimates: measure {listed(fit.unmeasured)} before anything is ordered."
            )
        sheet.write_csv(lines, warnings, stem.with_name(f"{stem.name}.csv"))
        what = "No such damper can be ordered" if offer.cannot else "Damper proposed"
        title = f"{what}: {fit.axle} axle, set '{fit.name}', quantity {fit.count}"
        draws.append(partial(order_sheet.drawn, title, computed(name, standing), lines, warnings, stem))
    return draws


def write_spring_sheets(
    into: Path, name: str, used: str, springs: "Sequence[SpringOrder]", standing: Any, parts: "PartsList", turned: Mapping[str, float]
) -> list[Draws]:  # fmt: skip
    """Write the tables of every spring to order into a folder of their own; return what draws their sheets.

    turned : how far each axle's housing turns [rad], where they are fitted.
    """
    from sim.cli.folders import distinct
    from sim.describe.shown import in_shown_units
    from sim.describe.to_measure import listed
    from sim.show.plots import order_sheet
    from sim.show.report import sheet, spring_sheet

    # In a folder of their own: a damper set may have the name of a spring.
    folder = into / "springs"
    folder.mkdir()
    stems = distinct(f"{spring.axle} {spring.name}" for spring in springs)
    draws: list[Draws] = []
    for spring in springs:
        # Of one that another height would ask for the truck does not turn so.
        fitted = not any(text.startswith(f"{spring.axle} ") and f"'{spring.name}'" in text for text in parts.offers)
        turn = turned.get(spring.axle, nan) if fitted else nan
        lines = spring_sheet.spring_rows(name, used, spring, standing, turn)
        first = (
            [f"Not to be ordered yet: measure {listed(spring.unmeasured)}."]
            if spring.unmeasured and not spring.kept
            else []
        )
        warnings = [*first, *spring.problems, *spring.notes]
        stem = folder / stems[f"{spring.axle} {spring.name}"]
        cautions = [in_shown_units(text) for text in spring_sheet.cautions_of(spring)]
        sheet.write_csv(lines, warnings, stem.with_name(f"{stem.name}.csv"), cautions)
        # As of a damper: nobody takes a draft for an order.
        what = "Draft, rests on estimates" if spring.unmeasured else "Spring order"
        what = "Nothing to order" if spring.kept else what
        title = f"{what}: {spring.axle} axle, '{spring.name}', quantity {spring.count}"
        draws.append(partial(order_sheet.drawn, title, computed(name, standing), lines, warnings, stem, cautions))
    return draws


def computed(name: str, standing: Any) -> str:
    """Return what a sheet was computed for, with what and when."""
    from datetime import date
    from importlib.metadata import PackageNotFoundError, version

    try:
        made_by = f"jounce {version('jounce')}"
    # Run from a folder of source text, without having been installed.
    except PackageNotFoundError:
        made_by = "jounce"
    return f"{standing.vehicle.name}, set-up '{name}'. Computed by {made_by} on {date.today().isoformat()}."
