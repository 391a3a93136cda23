"""Plot: whether repeated bumps pull the truck down on its springs or lift it: its height while driving, bumps averaged out."""

from functools import partial
from math import isnan

import numpy as np
from matplotlib.figure import Figure

from sim.describe.shown import show, show_short
from sim.integrate.traces import Array, AxleTrace
from sim.measure.comparison import Comparison
from sim.show.plots.across import across, released
from sim.show.plots.ends import heading, ticks_below
from sim.show.plots.finding import Finding, asked, broke_down, sentence, values
from sim.show.plots.lettering import clean, wrapped
from sim.show.plots.page import LEFT, TICK, TICK_LINE, WIDTH, page
from sim.show.plots.scale import scale_of
from sim.show.plots.style import SOFT, drawing

NAME = "ride_height"

RIGHT = WIDTH - 0.75
PANEL = 1.9
HELD = "\u00a0"
"""A space at which no row is broken."""

WINDOW_S = 1.0
"""Length of the running mean [s]: longer than a swing of the body, shorter than a stretch of bumps."""


def figure(comparison: Comparison) -> Figure:
    """Return the page: a panel for each axle, a line for each set-up."""
    with drawing():
        findings = [_drift(comparison, axle) for axle in ("front", "rear")]
        # The axle where the set-ups differ more decides between them.
        title = sentence(comparison, asked(comparison, *findings), "No run has a rough part to show")
        subtitle = (
            "Height of the body over each axle from where the set-up stood, as the running mean of a second, taken twice. Below zero the bumps "
            "pull it down (rebound holds more than compression: jacking down, packing); above it they lift it."
        )
        sheet = page(comparison, title, subtitle)
        free = released(comparison)
        x = across(comparison)
        for axle in ("front", "rear"):
            heading(sheet, f"{axle.capitalize()}: body higher than it stood", "length", LEFT, RIGHT)
            # The measure counts sinking as positive; the panel draws height upward, so the sign turns.
            drift = values(comparison, f"{axle}_ride_height_drift")
            texts = [
                f"{sheet.looks[setup].number}: {show(-value, 'length')}"
                for setup, value in drift.items()
                if not isnan(value)
            ]
            if texts:
                for row in _rows("mean of the rough part", texts):
                    sheet.text(LEFT, sheet.bottom + TICK_LINE / 2, row, TICK, colour=SOFT)
                    sheet.bottom += TICK_LINE
                sheet.bottom += 0.03
            lines = {
                setup: running_mean_height(dict(run.axles)[axle], run.time_s)
                for setup, run in comparison.runs.items()
                if not broke_down(run)
            }
            panel = sheet.panel(PANEL, x.scale, scale_of(lines.values(), "length", include=(0.0,)), right=RIGHT)
            panel.level(0.0)
            for setup, line in lines.items():
                panel.trace(x.values[setup], line, sheet.looks[setup])
            # The release is a time; over distance it would stand at the wrong place.
            if free is not None and x.label != "Distance driven":
                panel.upright(free, linestyle=(0, (3.0, 2.0)))
            if axle == "rear":
                ticks_below(sheet, panel, x.label)
            sheet.bottom += 0.12
        return sheet.figure()


def _rows(label: str, texts: list[str]) -> list[str]:
    """Return what each set-up's value is in as many rows as they need, none of them broken within."""
    held = [text.replace(" ", HELD) for text in (label, *texts)]
    rows = wrapped(clean(f"{2 * HELD} ".join(held)), RIGHT - LEFT, TICK, most_lines=len(held))
    return [row.rstrip(HELD) for row in rows]


def running_mean_height(trace: AxleTrace, time_s: Array, window_s: float = WINDOW_S) -> Array:
    """Return the height (n,) of the body over an axle with single bumps averaged out [m].

    The mean over the window around each sample, taken twice, so that no bump's own beat is left; shorter at both ends.
    """
    # Jounce is the axle coming up to the body: the body stands that much lower.
    height: Array = trace.jounce_rest_m - trace.jounce_m
    if time_s.size < 3:
        return height
    half = max(round(0.5 * window_s / float(time_s[1] - time_s[0])), 1)
    number = np.arange(height.size)
    first, last = np.maximum(number - half, 0), np.minimum(number + half + 1, height.size)
    # Once leaves a ripple of bumps whose length is no whole part of the window; twice all but removes it.
    for _ in range(2):
        # Differences of a running sum: as fast for a long window as for a short one.
        sums = np.concatenate(([0.0], np.cumsum(height)))
        height = (sums[last] - sums[first]) / (last - first)
    return height


def _drift(comparison: Comparison, axle: str) -> Finding:
    """Return how far from where it stood each set-up rides; the sign is given in words."""
    drifts = values(comparison, f"{axle}_ride_height_drift")
    said = partial(show_short, quantity="length", decimals=(1, 2))

    def short(value: float) -> str:
        return f"{said(abs(value))} {'lower' if value >= 0.0 else 'higher'}"

    return Finding(drifts, "less", lambda v: f"the {axle} rides {short(v)} over the rough part", short, "length")
