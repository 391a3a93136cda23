"""Sections that reports of all commands have: what was assumed, cautions, and how to have the result again."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sim.describe.doubtful import assumed
from sim.describe.parts.vehicle import Vehicle
from sim.show.pages.report.parts import Again, Row, Section, Source, Table, Words
from sim.show.report.assumed import assumed_sentence
from sim.show.report.record import ASSUMES

CAUTIONS = (
    "This is a comparison by computation. It approves nothing and licenses nothing; local rules and licensed practice come first.",
    "Springs and gas-charged dampers hold energy that can kill: rated spring compressor, cage or chain, stand aside; do not heat, weld "
    "near, cut or drill a charged damper.",
    "Support the axle before a damper comes out; the truck on stands under its frame, wheels chocked, nobody underneath in droop or "
    "push tests.",
    "Stops and straps must act before a damper's ends. Check hoses, shafts, steering and brake lines through the whole travel, at "
    "steering lock.",
    "Drive a changed truck first on private ground, slowly, empty and then loaded; recheck U-bolts, wheel nuts and mounts after the "
    "first miles.",
)
"""What can hurt somebody who acts on a report (common practice; sources are named where a figure is used)."""


def subject(*words: str) -> str:
    """Return what a report is of, in one line."""
    return " · ".join(dict.fromkeys(word for word in words if word))


@dataclass(frozen=True)
class Doubt:
    """What the numbers in doubt leave open, in words.

    Attributes
    ----------
    close : sequence of str
        Figures that are too close to call, a sentence a set-up.
    following : sequence of str
        What to measure next, and how.
    drawn : str
        How the bands come about.
    rows : sequence of Row
        Every number in doubt: as written, as taken, its ends, how it is measured.
    nothing : str
        What nobody gave and is taken as nothing; empty if there is nothing.
    tried : sequence of str
        In how many tries a set-up could not be run, or broke something, and why.
    """

    close: Sequence[str] = ()
    following: Sequence[str] = ()
    drawn: str = ""
    rows: Sequence[Row] = ()
    nothing: str = ""
    tried: Sequence[str] = ()


def assumed_words(doubt: Doubt | None, vehicle: Vehicle) -> list[Section]:
    """Return what was assumed, and what was estimated with its spread."""
    sections: list[Section] = []
    heading = "What was assumed and estimated"
    if doubt is not None and doubt.rows:
        columns = ["written", "taken as", "lies within", "how to measure it"]
        sections.append(Table(heading, columns, doubt.rows, first="number in doubt"))
        heading = ""
    nothing = assumed_sentence(tuple(assumed(vehicle))) if doubt is None else doubt.nothing
    sections.append(Words(heading, [*([nothing] if nothing else []), ASSUMES]))
    return sections


def cautions(run: str, flagged: Sequence[str] = (), more: Sequence[str] = ()) -> Words:
    """Return what has to be minded: flags first, then what is of the run, then what is always so."""
    first = [f"FLAGGED: {text}" for text in dict.fromkeys(flagged)]
    own = [text[0].upper() + text[1:] for text in (run, *more) if text]
    return Words("Cautions", [*first, *own, *CAUTIONS], points=True)


def again(command: str, record: Mapping[str, Any]) -> Again:
    """Return how to have a result again, by the record that lies beside it."""
    sources = [
        Source(name, str(kept.get("sha256", "")), str(kept.get("text", "")))
        for name, kept in record.get("sources", {}).items()
    ]
    versions = {"jounce": str(record.get("made by", "")).removeprefix("jounce ")}
    own: Mapping[str, str] = record.get("versions", {})
    versions |= {name: own[name] for name in ("python", "numpy", "scipy", "numba") if name in own}
    return Again("To have it again", command, versions, sources)
