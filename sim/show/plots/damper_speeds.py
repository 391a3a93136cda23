"""Plot: at which speeds each damper spends its time and does its work; its knees marked."""

from functools import partial
from math import isnan

import numpy as np
from matplotlib.figure import Figure

from sim.describe.shown import show, show_short
from sim.integrate.traces import Array, DamperTrace
from sim.measure.comparison import Comparison
from sim.measure.speed_shares import knees, middle_speed, shares, time_below_knees, work_past_knees
from sim.show.plots.damper_force_speed import damper_sets
from sim.show.plots.ends import heading, ticks_below
from sim.show.plots.finding import Finding, asked, broke_down, sentence
from sim.show.plots.lettering import wrapped
from sim.show.plots.page import TICK, TICK_LINE, Page, page
from sim.show.plots.scale import Scale
from sim.show.plots.style import SOFT, drawing

NAME = "damper_speeds"

PANEL = 1.7
# Time beside work: the same speeds, and mostly the opposite picture.
COLUMNS = ((0.75, 4.55), (5.45, 9.25))
BINS = 40
KNEE_LINES = 3
FAR = 0.999
"""Speeds are drawn up to where this share of the work is done."""


def figure(comparison: Comparison) -> Figure:
    """Return the page: a row for each damper set, time on the left and work on the right."""
    with drawing():
        sets = {
            # Out with runs that broke down: one absurd speed would squeeze all others into a single bin.
            key: {setup: d for setup, d in dampers.items() if not broke_down(comparison.runs[setup])}
            for key, dampers in damper_sets(comparison).items()
        }
        findings = [_middle(comparison, axle, sets) for axle in ("front", "rear")]
        # The axle at which the set-ups differ more decides between them.
        title = sentence(comparison, asked(comparison, *findings), "No set-up has a damper to show")
        subtitle = (
            "Shares of the whole run in each step of damper speed; compression to the right. Dotted: the knees of a set-up's valving. "
            "Work is what becomes heat: valving matters where it is done, not where the time goes."
        )
        sheet = page(comparison, title, subtitle)
        if not sets:
            sheet.paragraph("No damper is fitted in any set-up.")
        for key, dampers in sets.items():
            if dampers:
                _row(sheet, f"{key[0].capitalize()} '{key[1]}'", dampers)
        return sheet.figure()


def _row(made: Page, name: str, dampers: dict[str, DamperTrace]) -> None:
    # One range for all set-ups and both panels, even both ways, so that rebound and bump can be compared.
    top = max(_far(damper) for damper in dampers.values())
    x = Scale(-top, top, "speed")
    edges = np.linspace(-top, top, BINS + 1)
    setup_shares = {setup: shares(damper, edges) for setup, damper in dampers.items()}
    above = made.bottom
    # Many set-ups take more lines, as many on both sides, so that the panels stay level.
    said = [
        wrapped(_knee_shares(dampers, made, column), right - left, TICK, most_lines=KNEE_LINES)
        for column, (left, right) in enumerate(COLUMNS)
    ]
    for column, (left, right) in enumerate(COLUMNS):
        made.bottom = above
        heading(made, f"{name}: share of its {('time', 'work')[column]}", "percent", left, right)
        for place, line in enumerate(said[column]):
            if line:
                made.text(left, made.bottom + TICK_LINE * (place + 0.5), line.strip(), TICK, colour=SOFT)
        made.bottom += TICK_LINE * max(1, *map(len, said)) + 0.03
        # The least keeps an axis from having no length where no work was done.
        highest = max(float(np.max(pair[column])) for pair in setup_shares.values())
        panel = made.panel(PANEL, x, Scale(0.0, max(1.08 * highest, 1e-3), "percent", 4), left, right)
        panel.upright(0.0)
        for setup, pair in setup_shares.items():
            look = made.looks[setup]
            panel.line(*_steps(edges, pair[column]), **look.line, zorder=3)
            for knee in knees(dampers[setup]):
                # A knee that the damper never reaches has no place on this range.
                if abs(knee) < top:
                    panel.upright(knee, color=look.colour, linestyle=(0, (1.0, 1.6)), linewidth=1.3, zorder=2.5)
        ticks_below(made, panel, "rebound ◂  damper speed  ▸ compression")
    made.bottom += 0.1


def _knee_shares(dampers: dict[str, DamperTrace], made: Page, column: int) -> str:
    """Return which share of each set-up's time is spent between its law's knees, or of its work done past them."""
    of, words = ((time_below_knees, "between the knees"), (work_past_knees, "past the knees"))[column]
    setup_shares = {setup: of(damper) for setup, damper in dampers.items()}
    texts = [
        f"{made.looks[setup].number}: {show(share, 'percent')}"
        for setup, share in setup_shares.items()
        if not isnan(share)
    ]
    return f"{words}  " + "  ".join(text.replace(" ", "\u00a0") for text in texts) if texts else ""


def _steps(edges: Array, values: Array) -> tuple[Array, Array]:
    """Return the outline of bars."""
    return np.repeat(edges, 2)[1:-1], np.repeat(values, 2)


def _far(damper: DamperTrace) -> float:
    """Return the speed up to which nearly all work is done [m/s]."""
    speed = np.sort(np.abs(np.nan_to_num(damper.speed_m_per_s)))
    # By size of speed, faster and faster: the speed at which the sum is nearly whole.
    power = np.cumsum(np.asarray(damper.valving.force(speed) * speed))
    if not speed.size or power[-1] <= 0.0:
        # Nothing moved: any range will do, so that the panel can be drawn.
        return 0.1
    return max(float(speed[min(int(np.searchsorted(power, FAR * power[-1])), speed.size - 1)]), 0.02)


def _middle(comparison: Comparison, axle: str, sets: dict[tuple[str, str], dict[str, DamperTrace]]) -> Finding:
    middles = dict.fromkeys(comparison.runs, float("nan"))
    for (where, _), dampers in sets.items():
        if where == axle:
            for setup, damper in dampers.items():
                # The first set of the axle speaks for it; a further one only where the first did no work.
                if isnan(middles[setup]):
                    middles[setup] = middle_speed(damper)
    said = partial(show_short, quantity="speed", decimals=(2, 0))
    return Finding(
        middles, "less", lambda v: f"the {axle} dampers do half of their work faster than {said(v)}", said, "speed"
    )
