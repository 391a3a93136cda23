"""The page that is filled in on the truck after the work: what each end should read, and room to write what it reads."""

from collections.abc import Sequence
from itertools import groupby

from matplotlib.figure import Figure

from sim.describe.shown import in_shown_units
from sim.show.plots.order_sheet import MARGIN, RIGHT, SECTION, STEP, Block, pages_of
from sim.show.report import after_fitting as words
from sim.show.report.sheet_rows import BLANK
from sim.study.after_fitting import AfterFitting

WHAT, VALUE, BAND, READ, CAUSE = MARGIN + 0.08, 2.48, 3.75, 5.56, 6.2
"""Where the columns begin [in]."""

SMALL = 6.5
"""Size of the letters of causes."""


def pages(title: str, subtitle: str, after: AfterFitting, warnings: Sequence[str]) -> list[Figure]:
    """Return the pages of what is read after the work."""
    return pages_of(title, subtitle, lambda open_: _blocks(after, warnings, open_))


def _blocks(after: AfterFitting, warnings: Sequence[str], open_: float) -> list[Block]:
    blocks = []
    for warning in warnings:
        block = Block(open_, height=SECTION * open_)
        block.lines(warning, bold=True)
        blocks.append(block)
    for case in after.cases:
        for axle, lines in groupby(words.lines(case), key=lambda line: line.axle):
            block = Block(open_)
            first = f"{words.heading(after, case)}: {axle} axle"
            y = block.head(first, MARGIN, RIGHT, 0.0)
            # Of every end, as the second one may stand on the next page.
            for x, head in zip((VALUE, BAND, READ, CAUSE), words.HEADS, strict=True):
                block.put(x, y, head, RIGHT - x, soft=True)
            y += STEP * open_
            for line in lines:
                y = _line(block, line, y)
            block.height = y
            blocks.append(block)
        if case.cannot:
            block = Block(open_)
            block.height = block.head(words.heading(after, case), MARGIN, RIGHT, 0.0)
            block.lines(case.cannot)
            blocks.append(block)
    block = Block(open_)
    block.height = block.head("How it is read", MARGIN, RIGHT, 0.0)
    for note in words.notes(after):
        block.lines(note)
    blocks.append(block)
    block = Block(open_)
    block.height = block.head("Cautions", MARGIN, RIGHT, 0.0)
    for caution in words.CAUTIONS:
        block.lines(in_shown_units(caution))
    return [*blocks, block]


def _line(block: Block, line: words.Line, y: float) -> float:
    """Put one line, and what is likely beside it; return where the next one stands."""
    ends = [block.words(WHAT, y, line.what, VALUE - WHAT - 0.05)]
    for x, (metric, inch), most in ((VALUE, line.value, BAND - VALUE), (BAND, line.band, READ - BAND)):
        text = f"{metric} ({inch})" if inch else metric
        ends.append(block.words(x, y, text, most - 0.04) if text != BLANK else y + STEP * block.open)
        if text == BLANK:
            block.put(x, y, BLANK, most - 0.3)
    block.put(READ, y, BLANK, CAUSE - READ - 0.08)
    ends.append(block.words(CAUSE, y, line.cause, RIGHT - CAUSE, SMALL))
    return max(ends) + 0.02 * block.open
