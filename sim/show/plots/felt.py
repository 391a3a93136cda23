"""Plot: what is felt at each point of the body by third octaves, weighted as ISO 2631-1 says."""

from functools import partial

import numpy as np
from matplotlib.figure import Figure

from sim.describe.shown import show_short, system
from sim.integrate.result import Run
from sim.integrate.traces import Array
from sim.measure.comfort import range_of, weighted
from sim.measure.comparison import Comparison
from sim.measure.third_octaves import CENTRES_HZ, band_rms
from sim.show.plots.ends import heading, ticks_below
from sim.show.plots.finding import Finding, broke_down, sentence, values
from sim.show.plots.lettering import shortened
from sim.show.plots.logarithmic import ByDoubling
from sim.show.plots.page import LEFT, LINE, TICK, WIDTH, Page, page
from sim.show.plots.scale import Scale, scale_of
from sim.show.plots.style import SOFT, drawing

NAME = "felt"

PANEL = 1.9
RIGHT = WIDTH - 4.05
MOST_POINTS = 3


def figure(comparison: Comparison) -> Figure:
    """Return the page: a panel for each named point, a line for each set-up, its weighted RMS in words beside it."""
    with drawing():
        points = named_points(comparison)
        title = sentence(comparison, _ride(comparison, points[0]), "No run has a ride to show")
        subtitle = (
            "Upward acceleration weighted for a seated person (ISO 2631-1), its RMS frequency by frequency. Body motions "
            "are below 3 Hz, wheel hop at 6 to 15 Hz: what stands out there is harshness, not softness."
        )
        sheet = page(comparison, title, subtitle)
        for point in points:
            _panel(sheet, comparison, point)
        # Once, below the last panel: all points have the same third octaves.
        ticks_below(sheet, sheet.panels[-1], "Frequency", rows=1)
        return sheet.figure()


def named_points(comparison: Comparison) -> list[str]:
    """Return the points that the vehicle file names; the centre of gravity if it names none."""
    run = next(iter(comparison.runs.values()))
    points = list(run.acceleration_m_per_s2)
    # The first point is the centre of gravity: nobody sits there, if the file names seats.
    return (points[1:] or points)[:MOST_POINTS]


def _panel(made: Page, comparison: Comparison, point: str) -> None:
    # A run that broke down has no spectrum that means anything.
    lines = {setup: spectrum(run, point) for setup, run in comparison.runs.items() if not broke_down(run)}
    heading(made, f"Felt at {point}: weighted RMS by frequency", "acceleration", LEFT, RIGHT)
    # Third octaves are equal ratios: on this scale their centres are evenly spaced.
    x = ByDoubling(float(np.log10(CENTRES_HZ[0])), float(np.log10(CENTRES_HZ[-1])), "frequency")
    top = scale_of(lines.values(), "acceleration", include=(0.0,), about=4)
    # From zero, so that twice as high is twice as much; the least is for a truck that does not move.
    panel = made.panel(PANEL, x, Scale(0.0, max(top.high, 1e-3), "acceleration", 4), right=RIGHT)
    rms = values(comparison, f"ride_wk_{point}")
    y = panel.top + LINE / 2
    made.text(RIGHT + 0.75, y, "whole, in the standard's words", TICK, colour=SOFT)
    for setup, line in lines.items():
        panel.line(
            np.log10(CENTRES_HZ), line, **made.looks[setup].line, marker=made.looks[setup].marker, markersize=3.0
        )
        y += LINE
        said = f"{made.looks[setup].number}  {on_the_axis(rms[setup])}: {range_of(rms[setup])}"
        # With many set-ups the words run out of panel; the line is still there, with its number.
        if y < panel.top + panel.height:
            _said(made, RIGHT + 0.75, y, said)
    if point != named_points(comparison)[-1]:
        made.bottom += 0.2


def on_the_axis(value: float) -> str:
    """Return an acceleration in the unit of the first axis beside it."""
    return _short(value) if system() == "inch" else f"{value:.2f} m/s²"


def _said(made: Page, x: float, y: float, text: str) -> None:

    made.text(x, y, shortened(text, WIDTH - x - 0.1, TICK), TICK)


def spectrum(run: Run, point: str) -> Array:
    """Return the weighted RMS (23,) of each third octave at a point [m/s²]."""
    # One sample has no step of time and so no frequency.
    if run.time_s.size < 2:
        return np.zeros(CENTRES_HZ.size)
    return band_rms(weighted(run, point), float(run.time_s[1] - run.time_s[0]))


def _ride(comparison: Comparison, point: str) -> Finding:
    ride = values(comparison, f"ride_wk_{point}")

    def where(value: float) -> str:
        # A finding knows values, not whose they are: the set-up is the one with the value that is said.
        setup = min(ride, key=lambda name: abs(ride[name] - value) if ride[name] == ride[name] else float("inf"))
        line = spectrum(comparison.runs[setup], point)
        return f"{CENTRES_HZ[int(np.argmax(line))]:.1f} Hz"

    return Finding(
        ride,
        "less",
        lambda v: f"the ride at {point} is {_short(v)} weighted RMS, most of it near {where(v)}",
        partial(_short),
        "acceleration",
    )


def _short(value: float) -> str:
    return show_short(value, "acceleration", (2, 3)).strip()
