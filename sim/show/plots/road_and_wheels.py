"""Plot: the road as the tyres feel it and the path of the wheels over it."""

from functools import partial

import numpy as np
from matplotlib.figure import Figure

from sim.describe.shown import show_short
from sim.integrate.result import Run
from sim.measure.comparison import Comparison
from sim.show.plots.across import across
from sim.show.plots.ends import heading, ticks_below
from sim.show.plots.envelope import drawable, envelope
from sim.show.plots.finding import Finding, asked, broke_down, sentence
from sim.show.plots.page import LEFT, WIDTH, Page, page
from sim.show.plots.scale import scale_of
from sim.show.plots.style import ROAD, drawing

NAME = "road_and_wheels"

RIGHT = WIDTH - 0.75
PANEL = 2.1


def figure(comparison: Comparison) -> Figure:
    """Return the page: a panel an axle, road and wheels to the same scale."""
    with drawing():
        findings = [_rise(comparison, axle) for axle in ("front", "rear")]
        title = sentence(comparison, asked(comparison, *findings), "No run has a wheel path to show")
        subtitle = (
            "Height of the road as the tyres feel it and of the axle's centre, each from where it "
            "stood at rest. Where the wheel path leaves the road upward, the tyre has let go or "
            "carries less."
        )
        sheet = page(comparison, title, subtitle, [(ROAD, _road_label(comparison))])
        for axle in ("front", "rear"):
            _panel(sheet, comparison, axle)
        return sheet.figure()


def _panel(made: Page, comparison: Comparison, axle: str) -> None:
    traces = {setup: dict(run.axles)[axle] for setup, run in comparison.runs.items()}
    x = across(comparison)
    heights = [t.wheel_height_m for t in traces.values()]
    # One scale for road and wheels: the gap between them is what the plot is for.
    heights += [t.road_height_m for t in traces.values()]
    heading(made, f"{axle.capitalize()} axle: height", "length", LEFT, RIGHT)
    panel = made.panel(PANEL, x.scale, scale_of(heights, "length"), right=RIGHT)
    # One road for all, or the picture is full of them; the legend says so if tyres feel it differently.
    first = next(iter(traces))
    panel.line(
        *envelope(x.values[first], traces[first].road_height_m),
        color=ROAD, linewidth=3.0, solid_capstyle="butt", zorder=1,
    )  # fmt: skip
    # Over the broad grey road, so that where a wheel leaves it is seen.
    for setup, trace in traces.items():
        panel.trace(x.values[setup], trace.wheel_height_m, made.looks[setup])
    if axle == "rear":
        ticks_below(made, panel, x.label)
    made.bottom += 0.12


def _rise(comparison: Comparison, axle: str) -> Finding:
    rises = {setup: rise(run, axle) for setup, run in comparison.runs.items()}
    said = partial(show_short, quantity="length", decimals=(0, 1))
    return Finding(rises, "less", lambda v: f"the {axle} wheels rise {said(v)} above the road's path", said, "length")


def rise(run: Run, axle: str) -> float:
    """Return how far the wheels rise above the road's path [m]; nan if the run broke down."""
    trace = dict(run.axles)[axle]
    # Both are from where they stood at rest: a gap is a tyre pressed in less than then.
    gap = drawable(trace.wheel_height_m - trace.road_height_m)
    if broke_down(run) or np.isnan(gap).all():
        return float("nan")
    # Below zero the tyre is only pressed in more: no rise at all.
    return max(float(np.nanmax(gap)), 0.0)


def _road_label(comparison: Comparison) -> str:
    """Say whose road it is: larger tyres bridge more of it."""
    roads = [run.front.road_height_m for run in comparison.runs.values()]
    # Over the length they share: a run that broke off has a shorter road, not another one.
    same = all(np.array_equal(road[: r.size], r[: road.size], equal_nan=True) for r in roads for road in roads[:1])
    return "road as the tyres feel it" if same else "road as the tyres of 1 feel it"
