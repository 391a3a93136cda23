"""The report of a comparison: what `compare` and `simulate` write beside their plots."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from math import isinf, isnan
from pathlib import Path
from typing import Any

from sim.integrate.result import Run
from sim.measure.comparison import Comparison, worst_setups
from sim.measure.judged import Verdict
from sim.measure.measure import Measure
from sim.measure.table import Value
from sim.measure.verdict import bare_springs, kind_of, verdict
from sim.show.looks import Look, looks
from sim.show.pages.report.changed import changed
from sim.show.pages.report.motion import motion
from sim.show.pages.report.parts import Both, Pictures, Report, Row, Section, Table, Words
from sim.show.pages.report.picture import picture
from sim.show.pages.report.shared import Doubt, again, assumed_words, cautions, subject
from sim.show.pages.report.simulated import simulated
from sim.show.pages.report.units import figures
from sim.show.report.at_rest import rest_words
from sim.show.report.cells import FULL, label
from sim.show.report.estimated import switched_off
from sim.show.report.key import short
from sim.show.report.placed import placed_rows
from sim.show.report.table import families, faults_at_rest
from sim.show.report.verdict_table import beneath, cell, coinciding, damped, names_of, other_references, role
from sim.show.report.verdict_words import finding, still_open
from sim.show.report.warned import warning
from sim.show.report.words import words_of

MOST_SHOWN = 2
"""So many trucks are shown in motion from the start."""

NO_SPREAD = (
    "Every number was taken as it stands: none is written with how well it is known (like “205 to 264 kg (452 to 582 lb)”), so nothing is said here of how "
    "sure the differences are. Write what was estimated with its spread, and this page names what to measure next."
)


USUAL = (
    "Usual ranges are common practice, from several sources that differ: usual.csv names them. Outside of a range is not wrong, but "
    "worth a word."
)


NO_ROOM = "This page has no sliders: its course is longer than a page has room for, or is driven for hours. A shorter course has them."
"""Said where a reader looks for the simulator."""


def report(
    comparison: Comparison,
    command: str,
    record: Mapping[str, Any],
    doubt: Doubt | None,
    packed: Callable[[], str | None] | None = None,
) -> Callable[[Sequence[Path]], Report]:
    """Return the report of a comparison, to be given its pictures: all the rest of it is done while these are drawn.

    Parameters
    ----------
    comparison : Comparison
    command : str
        How to have it again.
    record : mapping
        The record that lies beside it, of which versions and sources are taken.
    doubt : Doubt or None
        What the numbers in doubt leave open (`doubt.py`); None where nobody asked.
    packed : callable, optional
        Returns what the page runs again by itself, where somebody has packed it meanwhile (`simulated.py`).

    Returns
    -------
    callable
        Takes plots as SVG files, in their order; returns the report.
    """
    found = verdict(comparison)
    own = looks(comparison.runs)
    run = next(iter(comparison.runs.values()))
    several = len(comparison.runs) > 1
    sections: list[Section] = [_setups(comparison, own, found)]
    if several and (blocks := _blocks(found, own)):
        sections.append(blocks)
    if several:
        off = switched_off(getattr(comparison.scenario, "setups", {}).values(), run.run)
        sections.append(_open(found, doubt, off or NO_SPREAD))
    sections.append(motion(comparison.runs, own, _first(found, comparison.runs)))
    sections.append(_figures(comparison, own))
    if texts := faults_at_rest(comparison):
        sections.append(Words("As they stand", texts))
    if comparison.placed:
        sections.append(_usual(comparison, own))
    if (simulator := simulated(comparison.runs, own, packed)) is not None:
        sections.append(simulator)
    else:
        sections.append(Words("Try other settings", [NO_ROOM]))
    after: list[Section] = [*assumed_words(doubt, run.vehicle)]
    after.append(cautions(run.run.caution, [flag.sentence for one in comparison.runs.values() for flag in one.flags]))
    after.append(again(command, record))
    scenario = comparison.scenario
    whole = Report(
        title=scenario.question or scenario.name,
        subject=subject(scenario.name, run.vehicle.name, run.run.words),
        verdict=[
            f"{finding(found)}.",
            *coinciding(found),
            *([f"{damped(found)}."] if damped(found) else []),
            *beneath(found),
        ],
        warning=warning(found),
        sections=sections,
    )

    def with_pictures(drawn: Sequence[Path]) -> Report:
        between = [Pictures("Pictures", [picture(path) for path in drawn])] if drawn else []
        return replace(whole, sections=[*sections, *between, *after])

    return with_pictures


def _first(found: Verdict, runs: Mapping[str, Run]) -> tuple[str, ...]:
    """Return the set-ups that move from the start: the reference and the one with the most to say.

    Of a push, a drop or a release one without dampers comes first: what dampers are for is seen beside it.
    """
    bare = [name for name, run in runs.items() if kind_of(run) == "spot" and bare_springs(run)]
    said = [found.reference, *bare, *([found.subject.setup] if found.subject else []), *found.setups]
    return tuple(dict.fromkeys(said))[:MOST_SHOWN]


def _setups(comparison: Comparison, own: Mapping[str, Look], found: Verdict) -> Table:
    changes: Mapping[str, Mapping[str, object]] = getattr(comparison.scenario, "changes", {})
    rows = []
    for name in comparison.runs:
        said = changed(changes.get(name, {}))
        words = said.metric or "the truck as its file has it"
        if name == found.reference and len(comparison.runs) > 1:
            words += "\nreference: the others are judged against it"
        elif name in other_references(found):
            words += "\nwith this load: the others with it are judged against it"
        rows.append(Row(name, [said._replace(metric=words)], own[name]))
    return Table("Set-ups", ["what is changed on the truck"], rows, first="set-up")


def _blocks(found: Verdict, own: Mapping[str, Look]) -> Table | None:
    blocks = names_of(found.carrying, found)
    if not blocks:
        return None
    rows = []
    for setup in found.setups:
        said = [cell(found, setup, block) for block in blocks]
        rows.append(Row(setup, [Both(outcome, soft=figure) for outcome, figure in said], own[setup]))
    by_load = ", with another load against one with that load" if other_references(found) else ""
    note = f"Against “{found.reference}”{by_load}. Same: less apart than a person notices. Each word has its size in the figures below."
    note += "".join(f" “{setup}”: {how}." for setup in found.setups if (how := role(found, setup)))
    return Table("What is traded", [block.capitalize() for block in blocks], rows, first="set-up", note=note)


def _open(found: Verdict, doubt: Doubt | None, without: str) -> Words:
    """Return what is too close to call; `without` is said where no number was drawn."""
    heading = "Too close to call, and what to measure next"
    texts = [
        f"“{setup}” against “{other.reference}”: {close}."
        for setup, other in found.others.items()
        if (close := still_open(other))
    ]
    if doubt is None or not doubt.rows:
        return Words(heading, [*texts, without], points=bool(texts))
    texts += doubt.close
    if not texts:
        texts.append(
            "No figure is too close to call: every difference keeps its sign, whatever the numbers in doubt are."
        )
    return Words(heading, [*doubt.tried, *texts, *doubt.following, doubt.drawn], points=True)


def _usual(comparison: Comparison, own: Mapping[str, Look]) -> Table:
    """Return figures of the trade with what is usual of them."""
    rows = []
    for words, cells in placed_rows([comparison.placed.get(setup, ()) for setup in comparison.runs]):
        what, _, usual = words.partition("\n")
        rows.append(Row(Both(what, soft=usual.strip()), ["–" if text == "-" else text for text in cells]))
    return Table("What is usual in the trade", list(comparison.runs), rows, looks=own, note=USUAL)


def _figures(comparison: Comparison, own: Mapping[str, Look]) -> Table:
    headings, worst = families(comparison), worst_setups(comparison)
    rows, heading = [], ""
    for measure in short(comparison):
        # A heading each time the family changes: rows are in the order of importance.
        if headings[measure.name] != heading:
            heading = headings[measure.name]
            rows.append(Row(heading))
        cells = [
            _figure(values.get(measure.name), measure, setup in worst[measure.name])
            for setup, values in comparison.values.items()
        ]
        rows.append(Row(label(measure), cells))
    every, shown = len(comparison.measures), len(short(comparison))
    note = (
        f"{FULL.worst} worst of its row; {FULL.doubt} numerical error too large to trust; {FULL.nothing} does not apply; never: not "
        "within the run."
    )
    if shown < every:
        note += f" {shown} of {every} measures; all of them are in summary.csv."
    if settled := rest_words(comparison, short(comparison)):
        note = f"{settled} {note}"
    note += f" {words_of(measure.label for measure in short(comparison))}"
    return Table("Figures", list(comparison.runs), rows, looks=own, note=note, numbers=True)


def _figure(value: Value | None, measure: Measure, is_worst: bool) -> Both:
    if value is None or isnan(value.value):
        return Both(FULL.nothing)
    mark = FULL.worst if is_worst else ""
    if isinf(value.value):
        return Both("never", mark=mark)
    metric, inch = figures(value.value, measure.quantity)
    doubt = FULL.doubt if value.flagged else ""
    return Both(doubt + metric, doubt + inch if inch else "", mark)
