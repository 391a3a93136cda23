"""Plot: the curves that the dampers are valved to, from creeping to fast, and where their valves open."""

from math import isnan, nan

import numpy as np
from matplotlib.figure import Figure

from sim.describe.parts.dampers.laws import Law
from sim.describe.parts.dampers.testing import TEST_SPEEDS
from sim.describe.shown import show
from sim.integrate.traces import Array, DamperTrace
from sim.measure.comparison import Comparison
from sim.show.plots.damper_force_speed import damper_sets
from sim.show.plots.ends import heading, ticks_above, ticks_below
from sim.show.plots.finding import Finding, sentence
from sim.show.plots.lettering import shortened
from sim.show.plots.page import LEFT, LINE, TICK, TICK_LINE, WIDTH, Page, page
from sim.show.plots.scale import scale_of
from sim.show.plots.style import SOFT, drawing

NAME = "valving"

RIGHT = WIDTH - 0.75
PANEL = 3.0
FASTEST = 1.0
"""Speed [m/s] up to which curves are drawn: the fastest test speed."""

# About 4 in/s: a body motion, where low-speed valving works.
SLOW = 0.1

CREEPING = 0.01
"""Valves that open below this speed [m/s] have no knee worth a line."""

HIGHEST = 1.6
"""Curves that reach past so many times the middle one of them at FASTEST are cut: stated, not drawn."""


def figure(comparison: Comparison) -> Figure:
    """Return the page: a panel a damper set, every set-up's curve."""
    with drawing():
        sets = damper_sets(comparison)
        subtitle = (
            "Force of one damper without gas, compression positive and to the right. Points: the test speeds. Dotted: where a valve "
            "opens: there the pressure lifts it off its seat."
        )
        sheet = page(comparison, _title(comparison), subtitle)
        if not sets:
            sheet.paragraph("No damper is fitted in any set-up.")
        for (axle, name), dampers in sets.items():
            _panel(sheet, f"{axle.capitalize()} '{name}'", dampers)
        return sheet.figure()


def _panel(made: Page, text: str, dampers: dict[str, DamperTrace]) -> None:
    # Steps of 5 mm/s: fine enough for the knee of a bleed that closes early.
    speeds = np.linspace(-FASTEST, FASTEST, 401)
    curves = {setup: np.asarray(damper.valving.force(speeds)) for setup, damper in dampers.items()}
    ends = [np.array([curve[0], curve[-1]]) for curve in curves.values()]
    # By the middle curve, so that a single very stiff set-up does not flatten all others.
    most = HIGHEST * float(np.median([np.max(np.abs(end)) for end in ends])) or 1.0
    x = scale_of([speeds], "speed", pad=0.03)
    # Inch units above, metric below: two rows of numbers at one edge are mixed up.
    if len(x.ticks()) > 1:
        ticks_above(made, LEFT, RIGHT, x)
    heading(made, f"{text}: force of one", "force", LEFT, RIGHT)
    panel = made.panel(
        PANEL, x, scale_of([np.clip(curve, -most, most) for curve in curves.values()], "force"), right=RIGHT
    )
    panel.level(0.0)
    panel.upright(0.0)
    # At these speeds a test machine can check what was built.
    at = np.array([sense * speed for sense in (1.0, -1.0) for speed in TEST_SPEEDS])
    for setup, damper in dampers.items():
        look = made.looks[setup]
        panel.line(speeds, curves[setup], **look.line, zorder=3)
        panel.line(
            at,
            np.asarray(damper.valving.force(at)),
            linestyle="none",
            marker=look.marker,
            markersize=4.5,
            color=look.colour,
            zorder=4,
        )
        for knee in openings(damper.valving):
            if CREEPING < abs(knee) < FASTEST:
                panel.upright(knee, color=look.colour, linestyle=(0, (1.0, 1.6)), linewidth=1.3, zorder=2.5)
    ticks_below(made, panel, "rebound ◂  damper speed  ▸ compression", rows=1)
    for setup, damper in dampers.items():
        said = _note_below(damper.valving, curves[setup], most)
        if said:
            made.text(
                LEFT,
                made.bottom + TICK_LINE / 2,
                shortened(f"{made.looks[setup].number}: {said}", RIGHT - LEFT, TICK),
                TICK,
                colour=SOFT,
            )
            made.bottom += TICK_LINE
    made.bottom += LINE


def openings(law: Law) -> tuple[float, ...]:
    """Return the speeds [m/s] at which valves open, compression positive."""
    bump, rebound = law.opens_at()
    # Laws give sizes of speed each way; on the axis rebound is negative.
    return (*bump, *(-knee for knee in rebound))


def _note_below(law: Law, curve: Array, most: float) -> str:
    """Return what the panel does not show: forces past its edge, and what valve parts ask of their gas."""
    said = []
    high = float(np.max(np.abs(curve)))
    # A cut curve must say how far it goes, or it would pass for a softer one.
    if high > most:
        said.append(f"goes on to {show(high, 'force')}")
    least = law.least_gas_pressure([FASTEST, -FASTEST])
    # Gas must hold the oil together behind the piston, else it cavitates and the force falls off.
    if least is not None:
        charged = "" if law.inside is None else f"charged to {show(law.inside.gas_pressure, 'pressure')}, "
        said.append(f"{charged}asks for {show(float(np.max(least)), 'pressure')} at {show(FASTEST, 'speed')}")
    return "; ".join(said)


def _title(comparison: Comparison) -> str:
    return sentence(comparison, _rise(comparison), "No set-up has a damper to show")


def _rise(comparison: Comparison) -> Finding:
    """Return how many times the rebound force of SLOW that of FASTEST is, of the first set of each set-up."""
    rises = {}
    for setup, run in comparison.runs.items():
        laws = [damper.valving for _, axle in run.axles for damper in axle.dampers.values()]
        # The first set stands for the set-up: a title can name one ratio.
        slow = abs(float(laws[0].force(-SLOW))) if laws else 0.0
        rises[setup] = abs(float(laws[0].force(-FASTEST))) / slow if slow > 0.0 else nan

    def short(value: float) -> str:
        # From 9.5 on it would round to 10 anyway: two digits in either case.
        return f"{value:.0f} times" if value >= 9.5 else f"{value:.1f} times"

    def says(value: float) -> str:
        return f"rebound at {show(FASTEST, 'speed')} is {short(value)} that at {show(SLOW, 'speed')}"

    return Finding({k: v for k, v in rises.items() if not isnan(v)} or rises, "less", says, short)
