"""The order sheet as pages to print: A4, black on white, blanks to fill in by hand."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from pathlib import Path

import numpy as np
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from sim.show.plots.canvas import dots, on_canvas
from sim.show.plots.lettering import clean, shortened, wrapped
from sim.show.plots.png import write_png
from sim.show.plots.style import INK, SOFT, drawing
from sim.show.report.sheet import CAUTIONS, SPREAD, Row
from sim.show.report.sheet_rows import BLANK

WIDTH, HEIGHT, MARGIN = 8.27, 11.69, 0.55  # in, A4
RIGHT = WIDTH - MARGIN
METRIC, INCH = 4.45, 6.25  # in, where values of wide sections stand
STEP, SECTION = 0.143, 0.09
TEXT = 8.0
TOP, FOOT = 0.4, 0.3
OPEN = (1.25, 1.18, 1.1, 1.05, 1.0, 0.96, 0.92)
"""How far lines are set apart, in parts of `STEP`: as far as takes no further page, since a sheet is written on by hand; the last
is 1.18 times the size of the letters; of 1.16 theirs would touch."""
WIDE = ("1", "2", "3")
"""Numbers of the sections that need the whole width."""
HALF = (RIGHT - MARGIN - 0.3) / 2.0
WRITTEN, BASELINE = (
    1.4,
    0.04,
)  # in, of a line to write on: how long, and how far below the middle of the words beside it
# Two directions, each in metric and in inch units.
COLUMNS = (3.15, 4.2, 5.4, 6.45)  # in, of the table of forces
MOST_LINES = 60
"""Of one text: as many as a page has, so that none is cut."""


@dataclass
class Block:
    """What stays together on a page; heights are from its own top [in].

    Attributes
    ----------
    open : float
        How wide lines are set, in parts of `STEP`.
    height : float
        How much of the page it takes.
    """

    open: float
    texts: list[tuple[float, float, str, float, bool, bool]] = field(default_factory=list)
    rules: list[tuple[float, float, float]] = field(default_factory=list)
    height: float = 0.0

    def put(
        self, x: float, y: float, text: str, most: float, size: float = TEXT, bold: bool = False, soft: bool = False
    ) -> None:
        """Put one line of text, cut to a width [in]; a blank is a line to write on."""
        if text == BLANK:
            # On the line of the letters, as the sign itself reaches down into the words below.
            self.rule(x, x + min(most, WRITTEN), y + BASELINE)
        else:
            self.texts.append((x, y, shortened(clean(text), most, size, bold), size, bold, soft))

    def lines(self, text: str, size: float = TEXT, bold: bool = False, soft: bool = False) -> None:
        """Put wrapped text over the whole width at the end of this block."""
        for line in wrapped(clean(text), RIGHT - MARGIN, size, bold, MOST_LINES):
            self.put(MARGIN, self.height, line, RIGHT - MARGIN, size, bold, soft)
            self.height += STEP * self.open

    def words(self, x: float, y: float, text: str, most: float, size: float = TEXT) -> float:
        """Put a value in words, in as many lines as it takes; return where the next line stands."""
        for line in wrapped(clean(text), most, size, most_lines=MOST_LINES) or [""]:
            self.put(x, y, line, most, size)
            y += STEP * self.open * size / TEXT
        return y

    def rule(self, left: float, right: float, y: float) -> None:
        """Draw a line across."""
        self.rules.append((left, right, y))

    def head(self, section: str, left: float, right: float, y: float) -> float:
        """Put a section's heading under a rule; return where its first line stands."""
        y += SECTION * self.open
        self.rule(left, right, y - 0.09)
        self.put(left, y, section, right - left, bold=True)
        return y + STEP * self.open

    def cut(self, room: float) -> tuple["Block", "Block"]:
        """Return what of it is within a height, and the rest."""
        above, below = Block(self.open, height=room), Block(self.open)
        # A rule stands above its heading or under its words, nearer than a line's height: it goes with them.
        first = min((text[1] for text in self.texts if text[1] > room), default=self.height)
        edge = first - 0.5 * STEP * self.open
        for x, y, *more in self.texts:
            (above if y <= edge else below).texts.append((x, y if y <= edge else y - first, *more))  # type: ignore[arg-type]
        for left, right, y in self.rules:
            (above if y <= edge else below).rules.append((left, right, y if y <= edge else y - first))
        below.height = self.height - first
        return above, below

    def draw(self, page: Figure, top: float) -> None:
        """Put it on a page."""
        for x, y, text, size, bold, soft in self.texts:
            page.text(
                x / WIDTH, 1.0 - (top + y) / HEIGHT, text, fontsize=size, fontweight="bold" if bold else "normal",
                color=SOFT if soft else INK, va="center",
            )  # fmt: skip
        for left, right, y in self.rules:
            height = 1.0 - (top + y) / HEIGHT
            page.add_artist(Line2D([left / WIDTH, right / WIDTH], [height] * 2, color=SOFT, linewidth=0.6))


def pages(
    title: str, subtitle: str, made: Sequence[Row], warnings: Sequence[str], cautions: Sequence[str] = CAUTIONS
) -> list[Figure]:
    """Return the pages of one sheet: one, or as many as it takes with its lines set apart.

    Parameters
    ----------
    title, subtitle : str
        What it is, and when and with what it was computed; they stand on every page.
    made : sequence of Row
        Its lines.
    warnings : sequence of str
        What does not fit; stands at the top, bold.
    cautions : sequence of str
        At the end, in the size of the sheet.
    """
    return pages_of(title, subtitle, lambda open_: _blocks(made, warnings, cautions, open_))


def pages_of(title: str, subtitle: str, blocks: Callable[[float], list[Block]]) -> list[Figure]:
    """Return the pages of blocks, one or as many as it takes with their lines set apart.

    Parameters
    ----------
    title, subtitle : str
        They stand on every page.
    blocks : callable
        The blocks with their lines so far apart, in parts of STEP.
    """
    with drawing():
        laid = _laid(title, subtitle, blocks, OPEN[-1])
        for wider in OPEN:
            tried = _laid(title, subtitle, blocks, wider)
            if len(tried) == len(laid):
                laid = tried
                break
        return [_page(title, subtitle, page, (number, len(laid))) for number, page in enumerate(laid, 1)]


def _headed(title: str, subtitle: str, open_: float, numbers: tuple[int, int]) -> Block:
    number, of = numbers
    block = Block(open_)
    # On every page: who is handed the second one alone must see of what it is.
    paged = f"{title} (page {number} of {of})" if of > 1 else title
    size = 13.0
    while size > 9.0 and wrapped(clean(paged), RIGHT - MARGIN, size, True)[1:]:
        size -= 0.5
    block.lines(paged, size, bold=True)
    # What was computed, with what and when: a sheet lives longer than the file it came from.
    block.height = block.height - STEP * open_ + 0.24
    block.lines(subtitle, soft=True)
    return block


def _page(title: str, subtitle: str, blocks: Sequence[Block], numbers: tuple[int, int]) -> Figure:
    page = Figure(figsize=(WIDTH, HEIGHT))
    # A canvas without a screen: sheets are written on machines that have none.
    on_canvas(page)
    y = TOP
    for block in (_headed(title, subtitle, blocks[0].open, numbers), *blocks):
        block.draw(page, y)
        y += block.height
    return page


def _laid(title: str, subtitle: str, blocks: Callable[[float], list[Block]], open_: float) -> list[list[Block]]:
    """Return the blocks of each page, their lines as far apart as given."""
    room = HEIGHT - FOOT - TOP - _headed(title, subtitle, open_, (9, 9)).height
    laid: list[list[Block]] = [[]]
    left = room
    for block in blocks(open_):
        if block.height > left and laid[-1]:
            laid.append([])
            left = room
        # Longer than a page, as of a truck with loads by the dozen: nothing may fall off the paper.
        while block.height > left:
            above, block = block.cut(left)
            laid[-1].append(above)
            laid.append([])
            left = room
        laid[-1].append(block)
        left -= block.height
    return laid


def _blocks(made: Sequence[Row], warnings: Sequence[str], cautions: Sequence[str], open_: float) -> list[Block]:
    blocks = []
    # At the top, before any number: who orders what does not fit pays twice.
    for warning in warnings:
        block = Block(open_, height=SECTION * open_)
        block.lines(warning, bold=True)
        blocks.append(block)
    # Rows come ordered by section; groupby only cuts between them, and a group is gone once the next begins.
    sections = [(name, list(rows)) for name, rows in groupby(made, key=lambda row: row.section)]
    for name, rows in sections:
        # By number, since the words after it may change.
        if name.split()[0] in WIDE:
            block = Block(open_)
            y = block.head(name, MARGIN, RIGHT, 0.0)
            block.height = _forces(block, rows, y) if any(row.table for row in rows) else _wide(block, rows, y)
            blocks.append(block)
    block = Block(open_)
    block.height = _halves(block, [section for section in sections if section[0].split()[0] not in WIDE], 0.0)
    blocks.append(block)
    # On the sheet itself: it goes to people who never see the program or its manual.
    block = Block(open_)
    block.height = block.head("Cautions", MARGIN, RIGHT, 0.0)
    for caution in cautions:
        block.lines(caution)
    return [*blocks, block]


def _wide(sheet: Block, rows: Sequence[Row], y: float) -> float:
    for row in rows:
        sheet.put(MARGIN + 0.12, y, row.label, METRIC - MARGIN - 0.2)
        # A value in words has no second unit, so it may run over both columns.
        if row.inch:
            sheet.put(METRIC, y, row.metric, INCH - METRIC - 0.1)
            sheet.put(INCH, y, row.inch, RIGHT - INCH)
            y += STEP * sheet.open
        else:
            y = sheet.words(METRIC, y, row.metric, RIGHT - METRIC)
    return y


def _forces(sheet: Block, rows: Sequence[Row], y: float) -> float:
    """Put the table of forces: a line for each speed, both directions in both unit systems."""
    # Directions as columns: a builder sets both from one line of test speeds.
    ways = list(dict.fromkeys(row.table[0] for row in rows if row.table))
    for place, way in enumerate(ways):
        # The same tolerance in every cell would hide the forces: it stands once, in the head.
        spread = next((row.metric.partition(SPREAD)[2] for row in rows if row.table[:1] == (way,)), "")
        sheet.put(COLUMNS[2 * place], y, f"{way}{SPREAD}{spread}" if spread else way, 2.0, bold=True)
    y += STEP * sheet.open
    for at, pair in groupby((row for row in rows if row.table), key=lambda row: row.table[1]):
        sheet.put(MARGIN + 0.12, y, f"at {at}", COLUMNS[0] - MARGIN - 0.2)
        # A test speed that only one direction was given leaves the other cell empty.
        for row in pair:
            left = 2 * ways.index(row.table[0])
            for column, text in ((left, row.metric), (left + 1, row.inch)):
                sheet.put(COLUMNS[column], y, text.partition(SPREAD)[0], 1.0)
        y += STEP * sheet.open
    return _wide(sheet, [row for row in rows if not row.table], y)


def _halves(sheet: Block, sections: Sequence[tuple[str, Sequence[Row]]], top: float) -> float:
    """Put the narrow sections in two columns, the first as long as half of all lines."""
    # A heading takes about as much as one and a half lines.
    whole = sum(len(rows) + 1.5 for _, rows in sections)
    left, ys, used = 0, [top, top], 0.0
    for name, rows in sections:
        # A section is never split; it goes right if more than half of it would be past the middle.
        if left == 0 and used + 0.5 * len(rows) > 0.5 * whole:
            left = 1
        used += len(rows) + 1.5
        start = MARGIN + left * (HALF + 0.3)
        y = sheet.head(name, start, start + HALF, ys[left])
        for row in rows:
            sheet.put(start + 0.12, y, row.label, 1.76)
            if row.inch:
                sheet.put(start + 1.92, y, f"{row.metric} ({row.inch})", HALF - 1.92)
                y += STEP * sheet.open
            else:
                y = sheet.words(start + 1.92, y, row.metric, HALF - 1.92)
        ys[left] = y
    return max(ys)


def drawn(
    title: str, subtitle: str, made: Sequence[Row], warnings: Sequence[str], stem: Path, cautions: Sequence[str] = CAUTIONS
) -> list[Path]:  # fmt: skip
    """Draw a sheet (`pages`) and write it (`saved`)."""
    return saved(pages(title, subtitle, made, warnings, cautions), stem)


def saved(sheet: Sequence[Figure], stem: Path) -> list[Path]:
    """Write a sheet as `stem`.pdf to print and `stem`.png to look at, its pages one below another."""
    pdf, png = stem.with_name(stem.name + ".pdf"), stem.with_name(stem.name + ".png")
    with drawing():
        with PdfPages(pdf, metadata={"CreationDate": None, "Creator": None, "Producer": None}) as file:
            for page in sheet:
                file.savefig(page)
        write_png(np.concatenate([dots(page) for page in sheet]), png)
    return [pdf, png]
