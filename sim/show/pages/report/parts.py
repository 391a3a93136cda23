"""What a report is made up of; each section has the template of its name."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, ClassVar, NamedTuple

from markupsafe import Markup

from sim.describe.shown import System
from sim.show.looks import Look


class Both(NamedTuple):
    """A cell that is written in workshop metric and in inch units; `inch` is empty where the trade has none."""

    metric: str
    inch: str = ""
    mark: str = ""  # behind it: the worst of a row
    soft: str = ""  # below it, in small letters


Cell = str | Both


@dataclass(frozen=True)
class Words:
    """Paragraphs, or a list where `points`; an `alarm` stands out.

    Attributes
    ----------
    heading : str
        Empty for none; a section with a heading is in the list of contents.
    texts : sequence of str
    points, alarm : bool
    """

    template: ClassVar[str] = "words.html"

    heading: str
    texts: Sequence[str]
    points: bool = False
    alarm: bool = False


@dataclass(frozen=True)
class Row:
    """A row of a table: a head with its unit, and cells; a row without cells is a heading among the rows."""

    head: Cell
    cells: Sequence[Cell] = ()
    look: Look | None = None


@dataclass(frozen=True)
class Table:
    """A table; of many columns it is laid out as several.

    Attributes
    ----------
    heading : str
    columns : sequence of str
        Heads of the columns behind the first.
    rows : sequence of Row
    first : str
        Head of the first column.
    looks : mapping of str to Look
        By column, how a set-up is drawn in pictures; columns that are none have no entry.
    note : str
        Below it.
    numbers : bool
        Cells are figures, set to the right.
    """

    template: ClassVar[str] = "table.html"

    heading: str
    columns: Sequence[str]
    rows: Sequence[Row]
    first: str = ""
    looks: Mapping[str, Look] = field(default_factory=dict)
    note: str = ""
    numbers: bool = False

    MOST: ClassVar[int] = 4

    @property
    def parts(self) -> "list[Table]":
        """The same table in as many parts as paper has room for its columns."""
        if not self.numbers or len(self.columns) <= self.MOST:
            return [self]
        count = -(-len(self.columns) // self.MOST)
        # As even as can be: five columns are three and two, not four and one.
        wide = -(-len(self.columns) // count)
        starts = range(0, len(self.columns), wide)
        return [
            Table(
                self.heading, self.columns[s : s + wide], [Row(r.head, r.cells[s : s + wide], r.look) for r in self.rows],
                self.first, self.looks, self.note, True,
            )
            for s in starts
        ]  # fmt: skip


class Picture(NamedTuple):
    """A plot: its SVG as it goes into the page, what it shows in words, and the name of its file."""

    svg: Markup
    words: str
    name: str


@dataclass(frozen=True)
class Pictures:
    """Plots one below the other."""

    template: ClassVar[str] = "pictures.html"

    heading: str
    pictures: Sequence[Picture]


@dataclass(frozen=True)
class Motion:
    """The truck in motion.

    Attributes
    ----------
    heading : str
    setups : sequence of mapping
        name, look, rows (of its figures beside the picture), shown (from the start).
    data : mapping
        What truck.js draws: `motion.py`.
    note : str
        What is drawn to scale and what is not.
    times : sequence of int
        By how much wind-up may be drawn enlarged.
    drawn_times : int
        By how much it is until somebody chooses.
    """

    template: ClassVar[str] = "motion.html"

    heading: str
    setups: Sequence[Mapping[str, Any]]
    data: Mapping[str, Any]
    note: str
    times: Sequence[int] = (1,)
    drawn_times: int = 1


@dataclass(frozen=True)
class Simulator:
    """Set-ups that the reader's browser runs again.

    Attributes
    ----------
    heading : str
    setups : sequence of mapping
        name, look.
    data : mapping
        What simulator.js runs and draws: `simulated.py`.
    leaves_out : sequence of str
        What is not as in the rest of the report.
    """

    template: ClassVar[str] = "simulator.html"

    heading: str
    setups: Sequence[Mapping[str, Any]]
    data: Mapping[str, Any]
    leaves_out: Sequence[str]


class Source(NamedTuple):
    """A file that went in."""

    name: str
    sha256: str
    text: str


@dataclass(frozen=True)
class Again:
    """How to have the same result again: command, versions and the files that went in."""

    template: ClassVar[str] = "again.html"

    heading: str
    command: str
    versions: Mapping[str, str]
    sources: Sequence[Source]


Section = Words | Table | Pictures | Motion | Simulator | Again


@dataclass(frozen=True)
class Report:
    """A report.

    Attributes
    ----------
    title : str
        The question.
    subject : str
        What it is of: scenario and truck.
    verdict : sequence of str
        The answer: the first sentence is set large.
    warning : str
        What comes before it; empty if there is nothing.
    sections : sequence of Section
    units : "both", "metric" or "inch"
        What is shown until somebody chooses.
    """

    title: str
    subject: str
    verdict: Sequence[str]
    warning: str
    sections: Sequence[Section]
    units: System = "both"
