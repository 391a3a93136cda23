"""The order sheet as a page to print: A4, black on white, blanks to fill in by hand."""

from collections.abc import Sequence
from pathlib import Path

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from sim.plots.lettering import clean, shortened, wrapped
from sim.plots.style import INK, PNG_DPI, SOFT, drawing
from sim.report.sheet import CAUTIONS, Row

WIDTH, HEIGHT, MARGIN = 8.27, 11.69, 0.55  # in, A4
LABEL, METRIC, INCH = MARGIN, 4.45, 6.25
STEP, SECTION = 0.148, 0.075
TEXT, SMALL = 8.0, 6.6


def figure(title: str, subtitle: str, made: Sequence[Row], warnings: Sequence[str]) -> Figure:
    """Return one sheet.

    Parameters
    ----------
    title, subtitle : str
        What it is, and when and with what it was computed.
    made : sequence of Row
        Its lines.
    warnings : sequence of str
        What does not fit; stands at the top, bold.
    """
    with drawing():
        page = Figure(figsize=(WIDTH, HEIGHT))
        FigureCanvasAgg(page)
        y = MARGIN

        def put(x: float, at: float, text: str, size: float = TEXT, bold: bool = False, colour: str = INK) -> None:
            page.text(
                x / WIDTH, 1.0 - at / HEIGHT, text, fontsize=size, fontweight="bold" if bold else "normal", color=colour,
                va="center",
            )  # fmt: skip

        put(MARGIN, y, shortened(clean(title), WIDTH - 2 * MARGIN, 13.0, bold=True), 13.0, bold=True)
        y += 0.24
        for line in wrapped(clean(subtitle), WIDTH - 2 * MARGIN, TEXT, most_lines=2):
            put(MARGIN, y, line, colour=SOFT)
            y += STEP
        for warning in warnings:
            for line in wrapped(clean(warning), WIDTH - 2 * MARGIN, TEXT, bold=True, most_lines=3):
                put(MARGIN, y, line, bold=True)
                y += STEP
        section = ""
        for row in made:
            if row.section != section:
                section = row.section
                y += SECTION
                page.add_artist(
                    Line2D(
                        [MARGIN / WIDTH, 1 - MARGIN / WIDTH], [1 - (y - 0.09) / HEIGHT] * 2, color=SOFT, linewidth=0.6
                    )
                )
                put(LABEL, y, section, bold=True)
                y += STEP
            room = INCH - METRIC - 0.1 if row.inch else WIDTH - MARGIN - METRIC
            put(LABEL + 0.12, y, shortened(clean(row.label), METRIC - LABEL - 0.2, TEXT))
            put(METRIC, y, shortened(clean(row.metric), room, TEXT))
            put(INCH, y, shortened(clean(row.inch), WIDTH - MARGIN - INCH, TEXT))
            y += STEP
        y += SECTION
        for caution in CAUTIONS:
            for line in wrapped(clean(caution), WIDTH - 2 * MARGIN, SMALL, most_lines=3):
                put(MARGIN, y, line, SMALL, colour=SOFT)
                y += 0.115
    return page


def saved(page: Figure, stem: Path) -> list[Path]:
    """Write a sheet as `stem`.pdf to print and `stem`.png to look at."""
    pdf, png = stem.with_name(stem.name + ".pdf"), stem.with_name(stem.name + ".png")
    with drawing():
        page.savefig(pdf, metadata={"CreationDate": None, "Creator": None, "Producer": None})
        page.savefig(png, dpi=PNG_DPI, metadata={"Software": None})
    return [pdf, png]
