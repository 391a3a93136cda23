"""The order sheet as a page to print: A4, black on white, blanks to fill in by hand."""

from collections.abc import Sequence
from itertools import groupby
from pathlib import Path

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from sim.show.plots.lettering import clean, shortened, wrapped
from sim.show.plots.style import INK, PNG_DPI, SOFT, drawing
from sim.show.report.sheet import CAUTIONS, SPREAD, Row

WIDTH, HEIGHT, MARGIN = 8.27, 11.69, 0.55  # in, A4
RIGHT = WIDTH - MARGIN
METRIC, INCH = 4.45, 6.25  # in, where values of wide sections stand
STEP, SECTION, CAUTION = 0.143, 0.07, 0.138
TEXT = 8.0
LEAST_FOOT, CLOSEST = 0.35, 0.72
MOST_LINES, FEWER_LINES = 12, 3
"""Of one warning, where the paper has room, and where it has not."""
WIDE = ("1", "2", "3")
"""Numbers of the sections that need the whole width."""
HALF = (RIGHT - MARGIN - 0.3) / 2.0
# Two directions, each in metric and in inch units.
COLUMNS = (3.15, 4.2, 5.4, 6.45)  # in, of the table of forces


class _Sheet:
    """A page being filled from the top."""

    def __init__(self, close: float = 1.0) -> None:
        self.close = close
        self.page = Figure(figsize=(WIDTH, HEIGHT))
        # A canvas without a screen: sheets are written on machines that have none.
        FigureCanvasAgg(self.page)

    def put(
        self, x: float, y: float, text: str, most: float, size: float = TEXT, bold: bool = False, soft: bool = False
    ) -> None:
        """Put one line of text, cut to a width [in]."""
        self.page.text(
            x / WIDTH, 1.0 - y / HEIGHT, shortened(clean(text), most, size, bold), fontsize=size,
            fontweight="bold" if bold else "normal", color=SOFT if soft else INK, va="center",
        )  # fmt: skip

    def lines(
        self,
        y: float,
        text: str,
        most_lines: int,
        size: float = TEXT,
        step: float = STEP,
        bold: bool = False,
        soft: bool = False,
    ) -> float:
        """Put wrapped text over the whole width; return where the next line stands."""
        for line in wrapped(clean(text), RIGHT - MARGIN, size, bold, most_lines):
            self.put(MARGIN, y, line, RIGHT - MARGIN, size, bold, soft)
            y += step * self.close
        return y

    def words(self, x: float, y: float, text: str, most: float) -> float:
        """Put a value in words, in as many lines as it takes, six at most; return where the next line stands."""
        for line in wrapped(clean(text), most, TEXT, most_lines=6) or [""]:
            self.put(x, y, line, most)
            y += STEP * self.close
        return y

    def rule(self, left: float, right: float, y: float) -> None:
        """Draw a line across."""
        self.page.add_artist(Line2D([left / WIDTH, right / WIDTH], [1 - y / HEIGHT] * 2, color=SOFT, linewidth=0.6))

    def head(self, section: str, left: float, right: float, y: float) -> float:
        """Put a section's heading under a rule; return where its first line stands."""
        y += SECTION * self.close
        self.rule(left, right, y - 0.09)
        self.put(left, y, section, right - left, bold=True)
        return y + STEP * self.close


def figure(
    title: str, subtitle: str, made: Sequence[Row], warnings: Sequence[str], cautions: Sequence[str] = CAUTIONS
) -> Figure:
    """Return one sheet.

    Parameters
    ----------
    title, subtitle : str
        What it is, and when and with what it was computed.
    made : sequence of Row
        Its lines.
    warnings : sequence of str
        What does not fit; stands at the top, bold.
    cautions : sequence of str
        At the foot, in the size of the sheet.
    """
    with drawing():
        # What is in doubt may take many lines, and a figure that is cut off is lost: it is cut only where the paper is full.
        for most in (MOST_LINES, FEWER_LINES):
            sheet, bottom = _drawn(title, subtitle, made, warnings, cautions, 1.0, most)
            # A sheet with much to say sets its lines closer: nothing may fall off the paper.
            if bottom > HEIGHT - LEAST_FOOT:
                close = max((HEIGHT - LEAST_FOOT - MARGIN) / (bottom - MARGIN), CLOSEST)
                sheet, bottom = _drawn(title, subtitle, made, warnings, cautions, close, most)
            if bottom <= HEIGHT - LEAST_FOOT + STEP:
                break
        return sheet.page


def _drawn(
    title: str,
    subtitle: str,
    made: Sequence[Row],
    warnings: Sequence[str],
    cautions: Sequence[str],
    close: float,
    most: int,
) -> tuple[_Sheet, float]:
    """Return the page with its lines as `close` as given, `most` of them a warning, and where its last line ends [in]."""
    sheet = _Sheet(close)
    y = MARGIN
    sheet.put(MARGIN, y, title, RIGHT - MARGIN, 13.0, bold=True)
    # What was computed, with what and when: a sheet lives longer than the file it came from.
    y = sheet.lines(y + 0.24, subtitle, 2, soft=True)
    # At the top, before any number: who orders what does not fit pays twice.
    for warning in warnings:
        y = sheet.lines(y, warning, most, bold=True)
    # Rows come ordered by section; groupby only cuts between them, and a group is gone once the next begins.
    sections = [(name, list(rows)) for name, rows in groupby(made, key=lambda row: row.section)]
    for name, rows in sections:
        # By number, since the words after it may change.
        if name.split()[0] in WIDE:
            y = sheet.head(name, MARGIN, RIGHT, y)
            y = _forces(sheet, rows, y) if any(row.table for row in rows) else _wide(sheet, rows, y)
    y = _halves(sheet, [section for section in sections if section[0].split()[0] not in WIDE], y)
    y += SECTION
    # On the sheet itself: it goes to people who never see the program or its manual.
    y = sheet.head("Cautions", MARGIN, RIGHT, y)
    for caution in cautions:
        y = sheet.lines(y, caution, 3, step=CAUTION)
    return sheet, y


def _wide(sheet: _Sheet, rows: Sequence[Row], y: float) -> float:
    for row in rows:
        sheet.put(MARGIN + 0.12, y, row.label, METRIC - MARGIN - 0.2)
        # A value in words has no second unit, so it may run over both columns.
        if row.inch:
            sheet.put(METRIC, y, row.metric, INCH - METRIC - 0.1)
            sheet.put(INCH, y, row.inch, RIGHT - INCH)
            y += STEP * sheet.close
        else:
            y = sheet.words(METRIC, y, row.metric, RIGHT - METRIC)
    return y


def _forces(sheet: _Sheet, rows: Sequence[Row], y: float) -> float:
    """Put the table of forces: a line for each speed, both directions in both unit systems."""
    # Directions as columns: a builder sets both from one line of test speeds.
    ways = list(dict.fromkeys(row.table[0] for row in rows if row.table))
    for place, way in enumerate(ways):
        # The same tolerance in every cell would hide the forces: it stands once, in the head.
        spread = next((row.metric.partition(SPREAD)[2] for row in rows if row.table[:1] == (way,)), "")
        sheet.put(COLUMNS[2 * place], y, f"{way}{SPREAD}{spread}" if spread else way, 2.0, bold=True)
    y += STEP * sheet.close
    for at, pair in groupby((row for row in rows if row.table), key=lambda row: row.table[1]):
        sheet.put(MARGIN + 0.12, y, f"at {at}", COLUMNS[0] - MARGIN - 0.2)
        # A test speed that only one direction was given leaves the other cell empty.
        for row in pair:
            left = 2 * ways.index(row.table[0])
            for column, text in ((left, row.metric), (left + 1, row.inch)):
                sheet.put(COLUMNS[column], y, text.partition(SPREAD)[0], 1.0)
        y += STEP * sheet.close
    return _wide(sheet, [row for row in rows if not row.table], y)


def _halves(sheet: _Sheet, sections: Sequence[tuple[str, Sequence[Row]]], top: float) -> float:
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
                y += STEP * sheet.close
            else:
                y = sheet.words(start + 1.92, y, row.metric, HALF - 1.92)
        ys[left] = y
    return max(ys)


def saved(page: Figure, stem: Path) -> list[Path]:
    """Write a sheet as `stem`.pdf to print and `stem`.png to look at."""
    pdf, png = stem.with_name(stem.name + ".pdf"), stem.with_name(stem.name + ".png")
    with drawing():
        page.savefig(pdf, metadata={"CreationDate": None, "Creator": None, "Producer": None})
        page.savefig(png, dpi=PNG_DPI, metadata={"Software": None})
    return [pdf, png]
