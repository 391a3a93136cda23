"""Plot: what the tyres carry, and when they carry nothing."""

import numpy as np
from matplotlib.figure import Figure

from sim.describe.shown import show
from sim.integrate.traces import Array, AxleTrace
from sim.measure.comparison import Comparison
from sim.show.plots.across import over_time
from sim.show.plots.ends import heading, ticks_below
from sim.show.plots.finding import Finding, asked, sentence, values
from sim.show.plots.levels import NEAR, Level, levels
from sim.show.plots.page import LEFT, RIGHT, TICK, WIDTH, Page, page
from sim.show.plots.scale import Scale, scale_of
from sim.show.plots.style import SOFT, drawing

NAME = "tyre_load"

PANEL, STRIP = 1.7, 0.17
"""Height of a panel, and of a set-up's strip beneath it [in]."""


def figure(comparison: Comparison) -> Figure:
    """Return the page: load of each axle's tyres against time, lift-off in strips beneath."""
    with drawing():
        lifts = _lifts(comparison)
        findings = [(_on_ground if lifts else _kept)(comparison, axle) for axle in ("front", "rear")]
        # The axle that is off the ground more: without load a tyre neither steers, drives nor brakes.
        title = sentence(comparison, asked(comparison, *findings), "No run has a tyre load to show")
        subtitle = "Vertical load of all tyres of an axle. " + (
            "Bars in the strips beneath: the tyres are off the ground, a strip for each set-up by its number."
            if lifts
            else "No tyre leaves the ground."
        )
        sheet = page(comparison, title, subtitle)
        for axle in ("front", "rear"):
            _panel(sheet, comparison, axle, lifts)
        return sheet.figure()


def _panel(made: Page, comparison: Comparison, axle: str, lifts: bool) -> None:
    traces = {setup: dict(run.axles)[axle] for setup, run in comparison.runs.items()}
    x = over_time(comparison)
    rests = [trace.tyre_load_rest_n for trace in traces.values()]
    loads = [trace.tyre_load_n for trace in traces.values()]
    heading(made, f"{axle.capitalize()} axle: tyre load", "force", LEFT, WIDTH - RIGHT)
    # Zero must be in sight: it is where the tyre lets go.
    panel = made.panel(PANEL, x.scale, scale_of(loads, "force", include=(0.0, *rests)))
    for setup, trace in traces.items():
        panel.trace(x.values[setup], trace.tyre_load_n, made.looks[setup])
    # How far above and below its rest a load swings is what grip depends on.
    levels(made, panel, [Level("rest", rests, (5.0, 2.0))], NEAR * panel.y.span)
    if lifts:
        made.bottom += 0.06
        _strips(made, comparison, axle, traces, x.values, x.scale)
    if axle == "rear":
        ticks_below(made, made.panels[-1], x.label)
    made.bottom += 0.12


def _strips(
    made: Page, comparison: Comparison, axle: str, traces: dict[str, AxleTrace],
    x: dict[str, Array], scale: Scale,
) -> None:  # fmt: skip
    shares = values(comparison, f"{axle}_tyre_off_ground")
    rows = Scale(0.0, float(len(traces)), "number")
    panel = made.bare_panel(STRIP * len(traces), scale, rows)
    for place, (setup, trace) in enumerate(traces.items()):
        low = len(traces) - place - 1.0
        # About half a dot of the panel: a hop that is shorter is drawn so long, or it would not show.
        spans = off_ground(x[setup], trace.tyre_load_n, scale.span / 2000.0)
        boxes = np.column_stack([spans, np.full(len(spans), low + 0.15), np.full(len(spans), low + 0.85)])
        panel.bars(boxes, facecolor=made.looks[setup].colour)
        y = panel.y_in(low + 0.5)
        made.text(LEFT - 0.07, y, str(made.looks[setup].number), TICK, ha="right")
        share = shares[setup]
        # Off the ground means all tyres of the axle: a half-car has no left and right.
        said = "–" if np.isnan(share) else f"off {show(share, 'percent')} of the time"
        made.text(WIDTH - RIGHT + 0.07, y, said, TICK, colour=SOFT)


def off_ground(time_s: Array, load_n: Array, least_s: float) -> Array:
    """Return stretches (m, 2) of time in which a tyre carries nothing, none shorter than a hair.

    Parameters
    ----------
    time_s, load_n : (n,) arrays
        The history [s], [N].
    least_s : float
        Stretches are drawn at least this long, and gaps shorter than it are closed [s].
    """
    # False at both ends, so that a stretch at the start or end of the run has two edges as well.
    off = np.concatenate(([False], load_n <= 0.0, [False]))
    change = np.flatnonzero(np.diff(off.astype(np.int8)))
    if not change.size:
        return np.empty((0, 2))
    begins, ends = time_s[change[::2]], time_s[change[1::2] - 1]
    # Gaps that nobody can see only cost boxes: a fluttering tyre can have very many of them.
    apart = np.flatnonzero(begins[1:] - ends[:-1] > least_s)
    begins = np.concatenate((begins[:1], begins[1:][apart]))
    ends = np.concatenate((ends[:-1][apart], ends[-1:]))
    return np.column_stack((begins, np.maximum(ends, begins + least_s)))


def _lifts(comparison: Comparison) -> bool:
    """Return whether a tyre leaves the ground with any set-up; where nothing is known of it, as if it did."""
    off = [v for axle in ("front", "rear") for v in values(comparison, f"{axle}_tyre_off_ground").values()]
    return not off or any(np.isnan(value) or value > 0.0 for value in off)


def _kept(comparison: Comparison, axle: str) -> Finding:
    def short(value: float) -> str:
        return show(value, "percent")

    return Finding(
        values(comparison, f"{axle}_tyre_load_lowest_share"),
        "more",
        lambda v: f"the {axle} tyres keep at least {short(v)} of their load at rest",
        short,
        "percent",
    )


def _on_ground(comparison: Comparison, axle: str) -> Finding:
    off = values(comparison, f"{axle}_tyre_off_ground")

    def short(value: float) -> str:
        # Told as time on the ground: "99 % against 97 %" is how grip is judged; what is noticed is a share of the time off it.
        return show(1.0 - value, "percent")

    return Finding(
        off, "less", lambda v: f"the {axle} tyres are on the ground {short(v)} of the time", short, "percent"
    )
