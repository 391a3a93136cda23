"""A sweep as a table: a row a point, the inputs, every set-up's measures, and what is flagged there."""

from collections.abc import Sequence
from itertools import product
from typing import TextIO

from sim.describe.shown import show_parts
from sim.integrate.status import in_words
from sim.measure.measure import Measure
from sim.show.report.table_csv import Table
from sim.study.sweep.sweep import Swept


def tabulated(swept: Swept, measures: Sequence[Measure], file: TextIO) -> None:
    """Write a sweep's points to a file that is open for writing, with newlines left as they are."""
    table = Table(file)
    units = {m.name: show_parts(1.0, m.quantity)[0] for m in measures}
    head = [f"{s}: {m.label} [{units[m.name][1] or '-'}]" for s in swept.values for m in measures]
    table.writerow([a.heading for a in swept.axes] + head + [f"{s}: flagged" for s in swept.values])
    inputs = [[f"{number:g}" for number in (a.numbers * a.shown[0]).tolist()] for a in swept.axes]
    columns = [
        [_figure(value * units[m.name][0]) for value in values[m.name].ravel().tolist()]
        for values in swept.values.values()
        for m in measures
    ]
    # A row a point, not a matrix: one file for one input or two, and what spreadsheets draw.
    for number, place in enumerate(product(*(range(a.numbers.size) for a in swept.axes))):
        own = [words[i] for words, i in zip(inputs, place, strict=True)] + [column[number] for column in columns]
        table.writerow(own + [in_words(swept.flags_at(setup, place)) for setup in swept.values])


def _figure(value: float) -> str:
    """Return a cell's figure; empty of what is none: a point that could not be run is a gap in the picture."""
    return f"{value:.6g}" if value == value else ""
