"""Plot of a long run: how often each axle moved at least so far."""

from math import isnan, nan

import numpy as np
from matplotlib.figure import Figure

from sim.describe.shown import figure_of, show_short, system
from sim.measure.asked_axle import AXLES
from sim.measure.noticed import NOTICED
from sim.measure.tally import CLASS_M
from sim.show.plots.ends import ticks_below
from sim.show.plots.finding import Finding, hardly, sentence
from sim.show.plots.logarithmic import ByTens
from sim.show.plots.page import LEFT, LINE, page
from sim.show.plots.scale import Scale
from sim.show.plots.side_by_track import Side
from sim.show.plots.style import drawing
from sim.study.endurance.history import Endured
from sim.study.endurance.measures import LARGE_M

COUNTS = 2.2  # in, height of a panel


def figure(side: Side) -> Figure:
    """Return the page of travel counts: how often each axle moved at least so far."""
    with drawing():
        subtitle = (
            f"How often in each {_way()} driven an axle went at least so far up and down again (counted by the rainflow method, ASTM "
            "E1049). Springs, bushes and seals wear by it."
        )
        sheet = page(side, _travel_title(side), subtitle)
        curves = {
            axle: {name: exceeded(run, axle, _driven(side, name)) for name, run in side.runs.items()}
            for axle in ("front", "rear")
        }
        # One pair of scales for both axles: which one works more is seen at once.
        every = [c for by in curves.values() for c in by.values() if c[0].size]
        if not every:
            sheet.paragraph("Nothing moved on this track: it has no drive.", bold=True)
            return sheet.figure()
        widest = max(float(c[0][-1]) for c in every)
        most = max(float(c[1].max()) for c in every)
        least = min(float(c[1].min()) for c in every)
        # Small travels are far more frequent than large ones, so by tens; whole powers of ten at both ends.
        y = ByTens(np.floor(np.log10(least)), np.ceil(np.log10(most)), "number")
        panel = None
        for axle, by in curves.items():
            said = f"{axle.capitalize()} axle: times a {_way()} with at least this travel"
            sheet.text(LEFT, sheet.bottom + LINE / 2, said, bold=True)
            sheet.bottom += LINE + 0.03
            panel = sheet.panel(COUNTS, Scale(0.0, widest * 1.03, "length", 8), y)
            for name, (size, count) in by.items():
                if size.size:
                    # Steps, since cycles are counted in classes: between two of them nothing is known.
                    panel.line(size, np.log10(count), **sheet.looks[name].line, drawstyle="steps-pre", zorder=3)
            sheet.bottom += 0.15
        # Two axles always, so there is a last panel below which the ticks stand.
        assert panel is not None
        sheet.bottom -= 0.15
        ticks_below(sheet, panel, "Travel from trough to crest")
        return sheet.figure()


def _driven(side: Side, name: str) -> float:
    """Return the way that was driven, in kilometres, or in miles where inch units alone are shown."""
    return figure_of(float(side.histories[name].distance_m[-1]), "travelled")


def _way() -> str:
    return "mile" if system() == "inch" else "kilometre"


def exceeded(run: Endured, axle: str, driven: float) -> tuple[np.ndarray, np.ndarray]:
    """Return travels (n,) [m] and how often each was reached or passed in one of the lengths that were driven."""
    counts = run.counts.get(axle, {})
    # A track on which nothing was driven has no length to count by.
    if not counts or driven <= 0.0:
        return np.zeros(0), np.zeros(0)
    last = max(counts)
    per = np.array([counts.get(number, 0.0) for number in range(last + 1)])
    # Summed from the largest down: exceedances, as load spectra are drawn.
    return CLASS_M * np.arange(last + 1), np.cumsum(per[::-1])[::-1] / driven


def _travel_title(side: Side) -> str:
    """Tell how often both axles moved far; where that is as often with all, of which larger travel it is not."""
    rates = {name: sum(_rate(side, name, axle, _LARGE) for axle in AXLES) for name in side.runs}
    large = _said(rates, "the axles move", LARGE_M)
    known = [value for value in rates.values() if not isnan(value)]
    if known and hardly(large, min(known), max(known)):
        apart = _apart_from(side)
        if apart is not None:
            axle, size = apart
            large = _said(
                {name: _rate(side, name, axle, size) for name in side.runs},
                f"the {axle} axle moves",
                size * CLASS_M,
            )
    return sentence(side, large, "The axles of no set-up moved")


_LARGE = round(LARGE_M / CLASS_M)
"""Class at which a large movement begins: smaller ones are so many that they would hide those that wear (our limit, no source)."""

ENOUGH = 30.0
"""Fewer cycles than this differ by chance (the square root of a count, 18 % of 30) about as much as is noticed (20 %)."""


def _apart_from(side: Side) -> tuple[str, int] | None:
    """Return the axle, and the smallest class of travel, from which on set-ups move noticeably less or more often."""
    for size in range(
        _LARGE, max((max(c, default=0) for r in side.runs.values() for c in r.counts.values()), default=0) + 1
    ):
        found = []
        for axle in AXLES:
            rates = {name: _rate(side, name, axle, size) for name in side.runs}
            known = [value for value in rates.values() if not isnan(value)]
            most = max((_cycles(run, axle, size) for run in side.runs.values()), default=0.0)
            if known and most >= ENOUGH and not hardly(_said(rates, "", size * CLASS_M), min(known), max(known)):
                found.append((NOTICED["number"].times(min(known), max(known)), axle))
        if found:
            return max(found)[1], size
    return None


def _cycles(run: Endured, axle: str, size: int) -> float:
    return sum(count for number, count in run.counts.get(axle, {}).items() if number >= size)


def _rate(side: Side, name: str, axle: str, size: int) -> float:
    driven = _driven(side, name)
    return _cycles(side.runs[name], axle, size) / driven if driven > 0.0 else nan


def _said(rates: dict[str, float], moves: str, size_m: float) -> Finding:
    def of(value: float) -> str:
        # What differs by less than two digits is alike; of a rare one the digits after the point are its number.
        return f"{float(f'{value:.2g}'):.{0 if value >= 10.0 else 1}f}"

    return Finding(
        rates,
        "less",
        lambda v: f"{moves} {show_short(size_m, 'length', (0, 1))} or more {of(v)} times a {_way()}",
        of,
        "number",
        f"times a {_way()}",
    )
