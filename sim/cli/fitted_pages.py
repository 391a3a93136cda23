"""What `jounce sheet` writes beside its sheets: the list of parts, and the page that is filled in after the work."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli import answer

if TYPE_CHECKING:
    from sim.cli.order_sheets import Draws
    from sim.describe.parts.vehicle import Vehicle
    from sim.linear.standing import Standing
    from sim.show.pages.report.parts import Table
    from sim.study.after_fitting import AfterFitting, Bands, Reading
    from sim.study.concluded import Conclusions
    from sim.study.little_droop import LittleDroop
    from sim.study.parts import PartsList
    from sim.study.spring_order import SpringOrder

PARTS, AFTER = STEMS = "parts", "after_fitting"
"""Names of the files, without their ends."""


@dataclass(frozen=True)
class Work:
    """What is done on the truck, and what it should read then.

    Attributes
    ----------
    parts : PartsList
    after : AfterFitting
    turns : tuple of str
        What becomes of castor and pinion, in words.
    warnings : tuple of str
        What stands against driving it so.
    little : mapping of str to LittleDroop
        Axles that have little of their droop left.
    """

    parts: "PartsList"
    after: "AfterFitting"
    turns: tuple[str, ...]
    warnings: tuple[str, ...]
    little: "Mapping[str, LittleDroop]"

    @property
    def turned(self) -> dict[str, float]:
        """How far each axle's housing turns against the measured one [rad], its front upwards; nothing where no part turns one."""
        from sim.study.after_fitting import TURN
        from sim.study.parts_list import HEIGHT

        if not any(part.kind in HEIGHT for part in self.parts.order):
            return {}
        # As for the words: with the loads with which it was measured, where that case is there.
        case = next((one for one in self.after.cases if one.as_measured and not one.cannot), self.after.own)
        found = {one.axle: one.value for one in case.readings if one.kind == TURN}
        return {"front": found["front"], "rear": found["rear"] - case.nose_up}


def worked_out(
    name: str, vehicle: "Vehicle", standing: "Standing", changes: Mapping[str, Mapping[str, object]], springs: "Sequence[SpringOrder]", known: "Conclusions",
    heights: Mapping[str, float],
) -> Work:  # fmt: skip
    """Return the parts of a set-up, and what is read once they are fitted.

    Parameters
    ----------
    name : str
    vehicle : Vehicle
        The set-up as its file has it: its parts are listed.
    standing : Standing
        The same with the springs that are ordered for `heights`.
    changes : mapping of str to mapping
        What each set-up of the file changes, by path.
    springs : sequence of SpringOrder
    known : mapping of (axle, set) to Concluded
    heights : mapping of str to float
        Heights [m] that were asked for, by axle.

    Raises
    ------
    RunError
        If it cannot stand.
    """
    from sim.show.report.after_fitting import turns
    from sim.study.after_fitting import after_fitting
    from sim.study.little_droop import little_droop
    from sim.study.parts_list import parts_list

    after = after_fitting(standing.vehicle, name, changes, _banded)
    faults = [text for one in known.values() for text in one.problems]
    # Of a damper that does not fit the flag says the same once more.
    faults += [flag.sentence for flag in standing.flags if not any(text.startswith(flag.part) for text in faults)]
    little = little_droop(after.vehicle)
    parts = parts_list(vehicle, springs, list(known.values()), heights, little)
    return Work(
        parts, after, tuple(turns(after, parts)),
        tuple(f"Not to be driven so: {text}" for text in faults), little,
    )  # fmt: skip


def _banded(trucks: "Mapping[str, Vehicle]") -> "Bands":
    """Return between what the readings of trucks lie; nothing where no number is in doubt."""
    from sim.describe.doubtful import any_in_doubt

    if not any_in_doubt(trucks.values()):
        return {}
    # What draws takes a while to load; a file without doubt does without.
    from sim.study.doubt.fitting import fitting_bands

    return fitting_bands(trucks)


def write(into: Path, name: str, computed: str, work: Work) -> "list[Draws]":
    """Write both pages as CSV; return what draws them as PDF and PNG."""
    from sim.describe.shown import in_shown_units
    from sim.show.plots import after_fitting_page, order_sheet
    from sim.show.report import after_fitting, parts_page, sheet

    vehicle = work.after.vehicle
    lines = parts_page.rows(name, vehicle, work.parts, work.turns)
    cautions = [in_shown_units(text) for text in parts_page.CAUTIONS]
    sheet.write_csv(lines, (), into / f"{PARTS}.csv", cautions)
    title = parts_page.title(work.parts)
    after_fitting.write_csv(work.after, work.warnings, into / f"{AFTER}.csv")

    def after() -> None:
        pages = after_fitting_page.pages(
            "After fitting: what the truck should read", computed, work.after, work.warnings
        )
        order_sheet.saved(pages, into / AFTER)

    return [partial(order_sheet.drawn, title, computed, lines, (), into / PARTS, cautions), after]


def tables(into: Path, work: Work) -> "list[Table]":
    """Return both as tables of the report."""
    from sim.show.pages.report.fitted import after_tables
    from sim.show.pages.report.told import sheet_table
    from sim.show.report.parts_page import title

    return [sheet_table(into / f"{PARTS}.csv", title(work.parts)), *after_tables(work.after)]


def say(folder: Path, work: Work) -> None:
    """Print both in short."""
    from sim.show.report.after_fitting import aboard, short
    from sim.show.report.parts_page import in_a_line, stayed

    print(f"parts to order: {folder / PARTS}.pdf")
    print(f"  {in_a_line(work.parts)}")
    for text in (*work.parts.off, *work.parts.offers):
        print(f"  {'comes off' if text in work.parts.off else 'not ordered'}: {text}")
    if work.parts.order:
        print(f"  stays as it is: {stayed(work.parts)}")
    for text in work.turns:
        print(f"  {text}")
    print(f"after fitting, {aboard(work.after, work.after.own)}, it should read: {folder / AFTER}.pdf")
    for text in short(work.after):
        print(f"  {text}")


def rows(name: str, work: Work) -> dict[str, list[dict[str, Any]]]:
    """Return both for scripts, in SI."""
    number = answer.number
    parts = [
        {"setup": name, "axle": one.axle, "kind": one.kind, "count": one.count, "what": one.what, "words": one.words, "measure_first": one.first}
        | {"size": number(one.size, "length")}
        for one in work.parts.order
    ]  # fmt: skip
    read = [
        {"setup": name, "loads": list(case.loads), "without": list(case.without), "axle": one.axle, "what": one.kind, "damper": one.name, "held": bool(one.held)}
        | {"should_read": number(one.value, one.quantity, **_between(one)), "taped_before": number(one.taped, "length")}
        for case in work.after.cases
        for one in case.readings
    ]  # fmt: skip
    return {"parts": parts, "after_fitting": read}


def _between(one: "Reading") -> dict[str, Any]:
    from math import isfinite

    return {"between": [one.low, one.high]} if isfinite(one.low) and isfinite(one.high) else {}
