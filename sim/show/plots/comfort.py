"""Plot: where each set-up's ride lies among the standard's overlapping ranges of comfort: upward, fore and aft, pitching."""

from collections.abc import Callable
from math import isfinite, log10

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from sim.describe.shown import show_short
from sim.measure.comfort import PITCH_M_PER_RAD, RANGES, jolts, range_of
from sim.measure.comparison import Comparison
from sim.show.plots.ends import ticks_below
from sim.show.plots.felt import named_points, on_the_axis
from sim.show.plots.finding import Finding, broke_down, sentence, values
from sim.show.plots.lettering import clean, shortened
from sim.show.plots.logarithmic import ByDoubling
from sim.show.plots.page import LINE, MARGIN, SMALL, TICK, WIDTH, Page, page
from sim.show.plots.panel import Panel
from sim.show.plots.scale import Scale
from sim.show.plots.style import ROAD, SOFT, Look, drawing

NAME = "comfort"

LEFT, RIGHT = 2.15, WIDTH - 3.7
# Wide enough from what can hardly be felt to well past 2 m/s², where the worst range begins.
ENDS = (0.02, 8.0)
"""Ends of the scale of weighted RMS [m/s²]; what is beyond is drawn at the end."""

ROW, RANGE_ROW = 0.3, 0.17
WAYS: tuple[tuple[str, str, float], ...] = (
    # Pitching is an angle: only times its arm can it stand on the same axis as the others.
    ("upward", "ride_wk_{}", 1.0),
    ("fore and aft", "ride_wd_{}", 1.0),
    ("pitching (We, 0.4 m/rad)", "ride_we_pitch", PITCH_M_PER_RAD),
    ("all together", "ride_total_{}", 1.0),
)
"""What each row shows: its name, the measure of a point, and what one of it counts as [m/s²]."""


def figure(comparison: Comparison) -> Figure:
    """Return the page: the ranges, then a panel a point with a row for each way in which it is shaken."""
    with drawing():
        points = named_points(comparison)
        title = sentence(comparison, _whole(comparison, points[0]), "No run has a ride to show")
        subtitle = (
            "Weighted RMS of the whole run for a seated person by ISO 2631-1, whose ranges overlap; no roll, nothing sideways, no surge "
            "at a held speed. “jolts”: single ones count for more than this says; look at dose and worst second too."
        )
        sheet = page(comparison, title, subtitle)
        # The ranges grow by ratios (0.315, 0.63, 1.25, 2.5), so equal ratios get equal room.
        x = ByDoubling(log10(ENDS[0]), log10(ENDS[1]), "acceleration")
        _ranges(sheet, x)
        for point in points:
            _panel(sheet, comparison, point, x)
        ticks_below(sheet, sheet.panels[-1], "Weighted RMS", rows=1)
        return sheet.figure()


def _ranges(made: Page, x: Scale) -> None:
    made.text(MARGIN, made.bottom + LINE / 2, "Ranges of the standard", bold=True)
    made.bottom += LINE + 0.03
    panel = made.bare_panel(RANGE_ROW * len(RANGES), x, Scale(0.0, float(len(RANGES)), "number", 6), LEFT, RIGHT)
    for place, (name, low, high) in enumerate(RANGES):
        level = len(RANGES) - place - 0.5
        made.text(LEFT - 0.1, panel.y_in(level), name, TICK, ha="right")
        # The first range begins at zero and the last has no end: neither has a place on a logarithmic scale.
        ends = [max(x.low, log10(low) if low > 0.0 else x.low), min(x.high, log10(high) if isfinite(high) else x.high)]
        panel.bars(np.array([[ends[0], ends[1], level - 0.32, level + 0.32]]), color=ROAD, zorder=1.5)
    made.bottom += 0.14


def _panel(made: Page, comparison: Comparison, point: str, x: Scale) -> None:
    made.text(
        MARGIN,
        made.bottom + LINE / 2,
        shortened(f"Felt at {clean(point)}", RIGHT - MARGIN, SMALL, bold=True),
        bold=True,
    )
    made.bottom += LINE + 0.03
    # As high as its rows, or as the words beside it: a line for each set-up and one above.
    height = max(ROW * len(WAYS), LINE * (len(comparison.runs) + 1))
    panel = made.bare_panel(height, x, Scale(0.0, float(len(WAYS)), "number", len(WAYS)), LEFT, RIGHT)
    # The limits of all ranges, carried down from the picture above, so that the eye needs no ruler.
    for limit in sorted({end for _, *ends in RANGES for end in ends if 0.0 < end < ENDS[1]}):
        panel.upright(log10(limit), color=ROAD, linewidth=0.6, linestyle=(0, (1.0, 1.5)), zorder=1)
    for place, (name, measure, factor) in enumerate(WAYS):
        level = len(WAYS) - place - 0.5
        made.text(LEFT - 0.1, panel.y_in(level), name, TICK, ha="right")
        if place:
            panel.level(level + 0.5, color=SOFT, linewidth=0.5)
        rms = values(comparison, measure.format(point))
        for number, (setup, value) in enumerate(rms.items()):
            if isfinite(value):
                # Zero has no logarithm; what is beyond the ends is drawn at them, not lost.
                spot = min(max(log10(max(factor * value, 1e-9)), x.low), x.high)
                # Set-ups side by side within the row: equal values would hide one another.
                offset = 0.6 * (0.5 - (number + 0.5) / len(rms))
                panel.drawings.append(_marker(spot, level + offset, made.looks[setup]))
    _ride_in_words(made, comparison, point, panel)
    made.bottom += 0.12


def _marker(x: float, y: float, look: Look) -> Callable[[Axes], object]:
    def draw(axes: Axes) -> object:
        return axes.add_line(
            Line2D(
                [x],
                [y],
                linestyle="none",
                marker=look.marker,
                markersize=5.5,
                color=look.colour,
                zorder=4,
                clip_on=False,
            )
        )

    return draw


def _ride_in_words(made: Page, comparison: Comparison, point: str, panel: Panel) -> None:
    """Put beside a panel what all together comes to, in the standard's words, and whether jolts count for more."""
    y = panel.top + LINE / 2
    left = RIGHT + 0.15
    made.text(left, y, "all together, in the standard's words", TICK, colour=SOFT)
    rms = _values(comparison, point)
    for setup, run in comparison.runs.items():
        y += LINE
        # The standard's words would sound like a judgement of a run that has no value.
        if broke_down(run) or not isfinite(rms[setup]):
            said = "–"
        else:
            # Past a crest factor of 9 and the like RMS says too little (ISO 2631-1): it is not to stand alone.
            jolt = "; jolts" if jolts(run, point) else ""
            said = f"{on_the_axis(rms[setup])}: {range_of(rms[setup])}{jolt}"
        made.text(left, y, shortened(f"{made.looks[setup].number}  {said}", WIDTH - left - 0.1, TICK), TICK)


def _values(comparison: Comparison, point: str) -> dict[str, float]:
    """Return all together where it is known, else what is upward alone."""
    whole, upward = values(comparison, f"ride_total_{point}"), values(comparison, f"ride_wk_{point}")
    # A run without fore and aft or pitch still has a ride, but only an upward one.
    return {setup: whole[setup] if isfinite(whole[setup]) else upward[setup] for setup in whole}


def _whole(comparison: Comparison, point: str) -> Finding:
    def short(value: float) -> str:
        return f"{show_short(value, 'acceleration', (2, 3))}, {range_of(value)}"

    return Finding(
        _values(comparison, point), "less", lambda v: f"the ride at {point} is {short(v)}", short, "acceleration"
    )  # fmt: skip
