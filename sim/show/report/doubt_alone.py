"""What the numbers in doubt leave open of set-ups that nothing is compared with: what each figure lies within."""

from collections.abc import Iterable, Sequence
from math import isfinite

from rich import box
from rich.table import Table
from rich.text import Text

from sim.describe.shown import show_part
from sim.measure.band import Band
from sim.measure.measure import Measure
from sim.show.report.cells import Signs, decimals_of_a_band
from sim.study.doubt.study import Doubted


def own_tables(doubted: Doubted, measures: Sequence[Measure], sign: Signs) -> Iterable[Table]:
    """Yield a table for each set-up; a figure that no number in doubt moves has no row."""
    for setup, bands in doubted.values.items():
        table = Table(box=box.SIMPLE_HEAD if sign.encoding == "utf-8" else box.ASCII2, show_edge=False, pad_edge=False)
        table.add_column("lies within", overflow="fold")
        table.add_column(Text(sign.said(setup)), justify="right", overflow="fold")
        for one in measures:
            band = bands.get(one.name)
            if band is None or band.low == band.high or one.name == "energy_residual":
                continue
            _, unit = show_part(1.0, one.quantity)
            label = one.label + (f" [{unit}]" if unit else "")
            table.add_row(Text(sign.said(label)), Text(sign.said(_within(band, one))))
        yield table


def _within(band: Band, measure: Measure) -> str:
    if not (isfinite(band.low) and isfinite(band.high)):
        return f"never: {band.unknown} tries" if band.unknown else "not known"
    low, high = (show_part(end, measure.quantity)[0] for end in (band.low, band.high))
    # As many digits as the width of the band is worth.
    decimals = decimals_of_a_band(max(high - low, 1e-12), measure.quantity)
    return f"{low:.{decimals}f} to {high:.{decimals}f}"
