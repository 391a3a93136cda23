"""Plot: the verdict: four blocks against the reference, and the figures behind them, a bar for each set-up; look here first."""

from collections.abc import Mapping
from math import isfinite, isnan, nan

from matplotlib.figure import Figure

from sim.measure import Measure
from sim.measure.comparison import Comparison
from sim.measure.judged import Verdict
from sim.measure.measure import Block
from sim.measure.references import by_load, sound_by_load
from sim.measure.table import Value
from sim.measure.verdict import noticed_of, verdict
from sim.show.plots.bars import CELL, COLUMNS, ROW, put_cell
from sim.show.plots.finding import broke_down
from sim.show.plots.lettering import clean, wrapped
from sim.show.plots.page import LINE, MARGIN, SMALL, TICK, TICK_LINE, WIDTH, Page, page
from sim.show.plots.style import GRID, INK, SOFT, drawing
from sim.show.plots.title_lines import in_sentences
from sim.show.report.naming import quoted
from sim.show.report.verdict_table import beneath, cell, coinciding, names_of, other_references, role
from sim.show.report.verdict_words import headline
from sim.show.report.words import words_of

NAME = "verdict"

NAME_WIDE = 2.0
"""Width of the column of set-ups' names [in]; the blocks share the rest."""

TITLE_LINES = 5
"""Lines of a title; further sentences stand beneath it."""

ALL_LINES = 24
"""With many set-ups and loads the verdict is long, and what is traded stands at its end: it is the page's answer, and is not cut off."""

PHRASE_LINES = 6

DAMPING = {
    (motion, axle): Measure(
        f"{axle}_{motion}_damping", f"Damping ratio, {motion} {axle}", "number", None, lambda run: nan,
        "Of small movements about where the truck stands.",
    )
    for motion in ("body", "hop") for axle in ("front", "rear")
}  # fmt: skip


def figure(comparison: Comparison) -> Figure:
    """Return the page: a row for each set-up, a column for each block; then bars of the figures that carry the blocks."""
    with drawing():
        found = verdict(comparison)
        head, further = title(found)
        subtitle = _subtitle(found, len(by_load(comparison)))
        sheet = page(comparison, head, subtitle, most_lines=ALL_LINES, further=further)
        for sentence in coinciding(found):
            sheet.paragraph(sentence, bold=True)
        for sentence in beneath(found):
            sheet.paragraph(sentence)
        blocks = names_of(found.carrying, found)
        if blocks:
            _table(sheet, found, blocks)
        _bars(sheet, comparison, found)
        labels = [measure.label for measures in found.carrying.values() for measure in measures]
        sheet.paragraph(words_of([*labels, "damping ratio", "hop"]), TICK, TICK_LINE, most_lines=4, colour=SOFT)
        return sheet.figure()


def title(found: Verdict) -> tuple[str, str]:
    """Return the verdict's first sentences, as many as a title holds, and the others, which stand beneath it."""
    return in_sentences(headline(found, lambda setup: quoted(clean(setup))), TITLE_LINES)


def _subtitle(found: Verdict, loads: int) -> str:
    if not found.others:
        return "The figures that a comparison is judged by. ~ numerical error too large."
    by_load = ", with another load against one with that load" if other_references(found) else ""
    return (
        f"Against {quoted(clean(found.reference))}{by_load}. The same: nearer than a person would notice. A bar for each set-up by "
        f"its number; arrows say which way is better, bold is best{' of its load' if loads > 1 else ''}. ~ numerical error too large, – does not apply."
    )


def _table(made: Page, found: Verdict, blocks: list[Block]) -> None:
    wide = (WIDTH - 2 * MARGIN - NAME_WIDE) / max(len(blocks), 1)
    y = made.bottom + LINE / 2
    for place, block in enumerate(blocks):
        made.text(MARGIN + NAME_WIDE + wide * place, y, block.capitalize(), bold=True)
    made.bottom += LINE + 0.02
    for setup in found.setups:
        made.line((MARGIN, WIDTH - MARGIN), (made.bottom, made.bottom), color=GRID, linewidth=0.8)
        top = made.bottom + 0.04
        name = wrapped(f"{made.looks[setup].number}  {clean(setup)}", NAME_WIDE - 0.15, SMALL, most_lines=6)
        for line, text in enumerate(name):
            made.text(MARGIN, top + LINE * (line + 0.5), text)
        lowest = top + LINE * len(name)
        # By their numbers: names would not go beside one another here.
        own = role(found, setup, lambda other: str(made.looks[other].number))
        for text in wrapped(own, NAME_WIDE - 0.15, TICK, most_lines=PHRASE_LINES) if own else ():
            made.text(MARGIN, lowest + TICK_LINE / 2, text, TICK)
            lowest += TICK_LINE
        for place, block in enumerate(blocks):
            left = MARGIN + NAME_WIDE + wide * place
            word, phrase = cell(found, setup, block)
            # What is as the reference is stands back; what differs is what is to be read.
            plain = word in ("reference", "same", "not known", "not judged", "coincides")
            made.text(left, top + LINE / 2, word, bold=not plain, colour=SOFT if plain else INK)
            below = top + LINE
            for text in wrapped(clean(phrase), wide - 0.12, TICK, most_lines=PHRASE_LINES) if phrase else ():
                made.text(left, below + TICK_LINE / 2, text, TICK)
                below += TICK_LINE
            lowest = max(lowest, below)
        made.bottom = lowest + 0.04
    made.line((MARGIN, WIDTH - MARGIN), (made.bottom, made.bottom), color=GRID, linewidth=0.8)
    made.bottom += 0.12


def _bars(made: Page, comparison: Comparison, found: Verdict) -> None:
    cells: list[tuple[Measure, Mapping[str, Value], str]] = []
    for block, measures in found.carrying.items():
        rows = [(measure, _row(comparison, measure)) for measure in measures]
        shown = [(measure, row) for measure, row in rows if _says(row) and not _as_it_stands(measure, row)]
        # The block's name once: the cells after it are of the same block until the next name.
        cells += [(one, row, "" if place else _heading(block, one)) for place, (one, row) in enumerate(shown)]
    for key, measure in DAMPING.items():
        ratios = {setup: Value(found.ratios.get(setup, {}).get(key, nan), nan, False) for setup in comparison.runs}
        if _says(ratios):
            cells.append((measure, ratios, ""))
    groups = sound_by_load(comparison)
    # Every cell is as high as its bars: rows of cells stay level with one another.
    high = LINE + ROW * len(comparison.runs) + 0.22
    for place, (measure, row, block_name) in enumerate(cells):
        left = MARGIN + CELL * (place % COLUMNS)
        put_cell(made, measure, row, left, made.bottom + high * (place // COLUMNS), block_name, groups)
    # Rounded up: a last row that is not full takes as much height.
    made.bottom += high * -(-len(cells) // COLUMNS)


def _heading(block: Block, first: Measure) -> str:
    # "Ride: Ride at driver" says it twice.
    return "" if first.label.lower().startswith(block) else f"{block.capitalize()}: "


def _row(comparison: Comparison, measure: Measure) -> Mapping[str, Value]:
    row = {}
    for setup, run in comparison.runs.items():
        value = comparison.values[setup].get(measure.name)
        # Kept as an empty row, so that a set-up's number stands at the same height in every cell.
        if value is None or broke_down(run):
            value = Value(nan, nan, flagged=broke_down(run))
        row[setup] = value
    return row


def _as_it_stands(measure: Measure, row: Mapping[str, Value]) -> bool:
    """Return whether a row says how the truck stands, and it stands alike with every set-up: then it is none of what is compared."""
    known = [value.value for value in row.values() if isfinite(value.value)]
    stands = measure.name.endswith("_droop_at_ride")
    return stands and bool(known) and noticed_of(measure).times(min(known), max(known)) < 1.0


def _says(row: Mapping[str, Value]) -> bool:
    """Return whether a row has anything to show: a nought for all stands in the table."""
    return any(not isnan(value.value) and (value.value != 0.0 or not isfinite(value.value)) for value in row.values())
