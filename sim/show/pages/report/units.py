"""Both unit systems in a text, marked so that a page can show either or both."""

import re
from functools import cache

from markupsafe import Markup, escape

from sim.describe.shown import IN_INCH_UNITS, SHOWN, WRITTEN_AS, other_unit, show_numbers, shown_in
from sim.describe.unit_factors import USUAL
from sim.show.pages.report.parts import Both

NUMBER = r"[-−+]?\d[\d.,]*(?:e[-+]?\d+)?"
SPAN = rf"{NUMBER}(?: (?:to|and|or) {NUMBER})*"
"""One figure or a range of them."""


@cache
def _pairs() -> frozenset[tuple[str, str]]:
    """Return every pair of units that the trade has, metric and inch, as escaped text has them."""
    units = {(rows[0][1], rows[1][1]) for rows in SHOWN.values() if len(rows) > 1}
    # As files have it: kg m^2 for kg m².
    units |= {(metric.replace("²", "^2"), inch) for metric, inch in units}
    # What files have and tables do not: kN s/m, kN/mm.
    written = [unit for si in WRITTEN_AS for unit in USUAL[si] if not IN_INCH_UNITS.match(unit)]
    units |= {(unit, other[1]) for unit in written if (other := other_unit(unit)) is not None}
    return frozenset((str(escape(metric)), str(escape(inch))) for metric, inch in units)


@cache
def _both() -> re.Pattern[str]:
    """Return what finds `63.5 mm (2.50 in)` and `[mm (in)]` in escaped text, of any two units: which belong together is asked of a match.

    One pattern with every pair would have the figures in it a hundred times, and takes as long to compile as a run.
    """
    metric, inch = ("|".join(map(re.escape, sorted(one))) for one in zip(*_pairs(), strict=True))
    return re.compile(
        rf"(?P<value>{SPAN}) (?P<unit>{metric}) \((?P<inch_value>{SPAN}) (?P<inch_unit>{inch})\)"
        rf"|\[(?P<head>{metric}) \((?P<inch_head>{inch})\)\]"
    )


def in_both(text: object) -> Markup:
    """Return a text, escaped, with every pair of a metric and an inch figure marked."""

    def marked(match: re.Match[str]) -> str:
        units = (match["head"] or match["unit"], match["inch_head"] or match["inch_unit"])
        if units not in _pairs():
            return match.group()
        metric, inch = units
        if match["head"]:
            return f"[{_marked(metric, inch)}]"
        return _marked(f"{match['value']} {metric}", f"{match['inch_value']} {inch}")

    # Found in escaped text, so that no name can bring tags of its own.
    return Markup(_both().sub(marked, str(escape(text))))


def _marked(metric: str, inch: str) -> str:
    return (
        f'<span class="metric">{metric}</span><span class="inch"><span class="both"> (</span>{inch}'
        '<span class="both">)</span></span>'
    )


def cell(value: object) -> Markup:
    """Return a cell of a table, escaped: a text, or a figure in both systems with its mark."""
    if not isinstance(value, Both):
        return in_both(value)
    metric, inch, mark, soft = (escape(part) for part in value)
    text = Markup(_marked(str(metric), str(inch))) if inch else in_both(value.metric)
    if mark:
        text += Markup(' <span class="mark">{}</span>').format(mark)
    if soft:
        text += Markup(" <small>{}</small>").format(in_both(value.soft))
    return text


def figures(value_si: float, quantity: str) -> tuple[str, str]:
    """Return a value in metric and in inch units, without the units; the second is empty where the trade has none."""
    with shown_in("both"):
        metric, _, inch = show_numbers(value_si, quantity).replace("-", "−").partition(" (")
    return metric, inch.removesuffix(")")
