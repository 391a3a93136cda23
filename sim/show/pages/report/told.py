"""The report of a result that is no comparison of runs: its finding, its tables, its pictures, and the truck as it stands."""

import csv
import json
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import System
from sim.errors import RunError
from sim.show.looks import looks
from sim.show.pages.report.motion import standing
from sim.show.pages.report.parts import Both, Pictures, Report, Row, Section, Table, Words
from sim.show.pages.report.picture import picture
from sim.show.pages.report.render import rendered
from sim.show.pages.report.shared import again, assumed_words, cautions, subject
from sim.show.report.sheet_rows import BLANK
from sim.show.report.words import words_of
from sim.show.report.write import MARKER

REPORT = "report.html"
"""The page to hand over, in every folder of results."""

Cells = Sequence[Sequence[str]]
"""Rows of a table, the first of which is its head."""


@dataclass(frozen=True)
class Told:
    """What a command tells of its result.

    Attributes
    ----------
    question : str
        The title.
    of : tuple of str
        What it is of: scenario, truck.
    verdict : sequence of str
        The answer; left out: what the title of the first picture says.
    tables : mapping of str to rows
        By heading; the first row is the head.
    words : mapping of str to sequence of str
        By heading, sentences.
    drawn : sequence of str
        Names of the pictures, without their ends.
    vehicles : mapping of str to Vehicle
        By set-up: shown as they stand.
    caution : str
        Of those who do on a truck what was computed.
    flagged : sequence of str
        What left the model's validity.
    sheets : sequence of Table
        Tables that are finished.
    """

    question: str
    of: tuple[str, ...] = ()
    verdict: Sequence[str] = ()
    tables: Mapping[str, Cells] = field(default_factory=dict)
    words: Mapping[str, Sequence[str]] = field(default_factory=dict)
    drawn: Sequence[str] = ()
    vehicles: Mapping[str, Vehicle] = field(default_factory=dict)
    caution: str = ""
    flagged: Sequence[str] = ()
    sheets: Sequence[Table] = ()


TRY = "Try other settings"
WITHOUT_SLIDERS = (
    "This page has no sliders, as its answer takes more than one run of a set-up, or none at all. The report of a comparison "
    "(jounce compare) has them: forces, counts, loads and speeds are tried there in the browser."
)
"""Said where a reader looks for the simulator."""


def write(into: Path, told: Told, units: System) -> None:
    """Write the report of a folder of results beside its record and pictures, which it reads."""
    record = json.loads((into / MARKER).read_text(encoding="utf-8"))
    pictures = [picture(path) for name in told.drawn if (path := into / f"{name}.svg").exists()]
    verdict = [text for text in told.verdict if text] or [one.words for one in pictures[:1]]
    sections: list[Section] = []
    for heading, texts in told.words.items():
        if texts:
            sections.append(Words(heading, texts, points=len(texts) > 1))
    for heading, rows in told.tables.items():
        if len(rows) > 1:
            head, *body = rows
            sections.append(Table(heading, head[1:], [Row(row[0], row[1:]) for row in body], first=head[0]))
    sections += told.sheets
    if said := words_of(cell for rows in told.tables.values() for row in rows for cell in row):
        sections.append(Words("What the words mean", [said.removeprefix("Words: ")]))
    if pictures:
        sections.append(Pictures("Pictures", pictures))
    if told.vehicles:
        # A set-up that cannot stand is what such a report may be about; then there is no truck to draw.
        with suppress(RunError):
            sections.append(standing(told.vehicles, looks(told.vehicles)))
        sections += assumed_words(None, next(iter(told.vehicles.values())))
    if told.vehicles:
        sections.append(Words(TRY, [WITHOUT_SLIDERS]))
    sections.append(cautions(told.caution, told.flagged))
    sections.append(again(str(record.get("to make it again", "")), record))
    report = Report(
        told.question, subject(*told.of), [f"{text.rstrip('.')}." for text in verdict],
        "Something is flagged: see Cautions." if told.flagged else "", sections, units,
    )  # fmt: skip
    (into / REPORT).write_text(rendered(report), encoding="utf-8", newline="\n")


def sheet_table(path: Path, heading: str) -> Table:
    """Return an order sheet's CSV (section, what, metric and inch or one of them) as a table; blanks stay blanks to fill in by hand."""
    with path.open(encoding="utf-8", newline="") as file:
        _, *rows = csv.reader(file)
    made: list[Row] = []
    section = ""
    for own, label, *values in rows:
        if own == "note":
            continue
        if own != section:
            section = own
            made.append(Row(own))
        # Two systems beside each other, or the one that the file was written in.
        metric, inch = values if len(values) == 2 else (values[0], "")
        made.append(Row(label, [Both(metric, inch if inch != BLANK else "")]))
    notes = " ".join(row[1] for row in rows if row[0] == "note")
    return Table(heading, [""], made, note=notes)
