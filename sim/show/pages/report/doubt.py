"""What the numbers in doubt leave open, as a report says it; apart, as a comparison without doubt loads no draws."""

from sim.describe.shown import written_now
from sim.describe.written_unit import in_the_unit_of
from sim.measure.comparison import Comparison
from sim.show.pages.report.parts import Row
from sim.show.pages.report.shared import Doubt
from sim.show.report.assumed import assumed_sentence
from sim.show.report.doubt import deciding, next_and_rest, tried
from sim.show.report.doubt_cells import OPEN, judged
from sim.show.report.key import short
from sim.study.doubt.measuring import way
from sim.study.doubt.study import Doubted


def doubt(comparison: Comparison, doubted: Doubted) -> Doubt:
    """Return what a comparison's numbers in doubt leave open, in words."""
    nothing = assumed_sentence(doubted.assumed)
    if not doubted.unknowns:
        return Doubt(nothing=nothing)
    shown = {measure.name: measure for measure in short(comparison)}
    close = []
    for setup, bands in doubted.differences.items():
        names = [
            shown[key].label
            for key in bands
            if key in shown and judged(comparison, doubted, setup, shown[key])[1] == OPEN
        ]
        if names:
            close.append(
                f"“{setup}” may be better or worse than “{doubted.from_which(setup)}” by these figures: {', '.join(names)}."
            )
    first, rest = next_and_rest(doubted, deciding(comparison))
    return Doubt(
        close, [*(f"Measure next. {text}" for text in first), *rest],
        f"Bands hold 95 times in 100: {doubted.draws} tries, each with the {len(doubted.unknowns)} numbers in doubt anew, the same for every set-up.",
        _rows(doubted), nothing, tried(doubted),
    )  # fmt: skip


def _rows(doubted: Doubted) -> list[Row]:
    """Return the numbers in doubt with their ends and how they are measured, one a row."""
    rows = []
    for one in doubted.unknowns:
        known = one.what.doubt
        # As it stands in the file first: that is what a person looks for there. Then in both systems, for whoever reads the page.
        taken = written_now(in_the_unit_of(known.written, one.what.value), beside=True)
        low, high = (in_the_unit_of(known.written, end) for end in (known.low, known.high))
        ends = written_now(f"{low.partition(' ')[0]} to {high}", beside=True)
        rows.append(Row(one.path, [known.written, taken, ends, way(one.path, one.measured).how]))
    return rows
