"""Plot: where on its curve each damper works."""

from functools import partial

import numpy as np
from matplotlib.figure import Figure

from sim.describe.shown import show_short
from sim.integrate.traces import Array, DamperTrace
from sim.measure.comparison import Comparison
from sim.show.plots.ends import heading, ticks_above, ticks_below
from sim.show.plots.envelope import LARGEST, cells, drawable
from sim.show.plots.finding import Finding, asked, broke_down, sentence
from sim.show.plots.page import Page, page
from sim.show.plots.panel import Panel
from sim.show.plots.scale import Scale, scale_of
from sim.show.plots.style import Look, drawing

NAME = "damper_force_speed"

PANEL = 2.4
# Between and beside them is room for the ticks of both unit systems.
COLUMNS = ((0.85, 4.45), (5.55, 9.3))
"""Left and right sides of the two columns of panels [in]."""

HARD = 2.5
"""Forces past so many times the curve's own are of hard ends: stated, not drawn."""

Sets = dict[tuple[str, str], dict[str, DamperTrace]]


def figure(comparison: Comparison) -> Figure:
    """Return the page: a panel a damper set, two beside each other."""
    with drawing():
        sets = damper_sets(comparison)
        subtitle = (
            "Force of one damper against its speed; compression is positive and to the right. "
            "Lines: its force-speed curve. Dots: where the run took it, with gas and hard ends. "
            "Large markers: its fastest moments each way."
        )
        sheet = page(comparison, _title(comparison, sets), subtitle)
        if not sets:
            sheet.paragraph("No damper is fitted in any set-up.")
        keys = list(sets)
        speeds = [d.speed_m_per_s for dampers in sets.values() for d in dampers.values()]
        # One speed scale for all panels: which axle works its dampers faster is seen at once.
        x = scale_of(speeds, "speed", include=(0.0,), pad=0.1)
        for start in range(0, len(keys), len(COLUMNS)):
            _row(sheet, sets, keys[start : start + len(COLUMNS)], x)
        return sheet.figure()


def damper_sets(comparison: Comparison) -> Sets:
    """Return the traces by (axle, name of the set), then by set-up; front sets first."""
    # By set first: a panel shows one damper of the truck as every set-up has it, or lacks it.
    sets: Sets = {}
    for axle in ("front", "rear"):
        for setup, run in comparison.runs.items():
            for name, damper in dict(run.axles)[axle].dampers.items():
                sets.setdefault((axle, name), {})[setup] = damper
    return sets


def _row(made: Page, sets: Sets, keys: list[tuple[str, str]], x: Scale) -> None:
    # Panels beside each other begin at one height, though each moves the bottom of the page.
    top = bottom = made.bottom
    for key, (left, right) in zip(keys, COLUMNS, strict=False):
        made.bottom = top
        _panel(made, f"{key[0].capitalize()} '{key[1]}'", sets[key], x, left, right)
        bottom = max(bottom, made.bottom)
    made.bottom = bottom + 0.2


def _panel(made: Page, text: str, dampers: dict[str, DamperTrace], x: Scale, left: float, right: float) -> None:
    speeds = np.linspace(x.low, x.high, 121)
    # The law without gas and hard ends: dots away from it show what those add.
    laws = {setup: damper.valving.force(speeds) for setup, damper in dampers.items()}
    forces = [drawable(damper.force_n) for damper in dampers.values()]
    # A damper that meets its hard end would press the valving into a flat line: its force is named instead.
    y, beyond = _force_scale(list(laws.values()), forces)
    # Set-ups may have one damper or two in this place; forces are always of one.
    counts = sorted({damper.count for damper in dampers.values()})
    of = " or ".join(map(str, counts))
    note = f"; hard ends to {beyond / 1e3:.0f} kN" if beyond else ""
    heading(made, f"{text}, one of {of}{note}: force", "force", left, right)
    ticks_above(made, left, right, x)
    panel = made.panel(PANEL, x, y, left, right)
    panel.level(0.0)
    panel.upright(0.0)
    for setup, damper in dampers.items():
        _damper(panel, made.looks[setup], damper, speeds, laws[setup])
    ticks_below(made, panel, "rebound ◂  damper speed  ▸ compression", rows=1)


def _damper(panel: Panel, look: Look, damper: DamperTrace, speeds: Array, law: Array) -> None:
    panel.line(speeds, law, **look.line, zorder=3)
    speed, force = drawable(damper.speed_m_per_s), drawable(damper.force_n)
    # One dot where there are many: a run's samples as an SVG would be megabytes and look the same.
    dots = cells(speed, force, (panel.x.span, panel.y.span))
    panel.line(
        *dots, linestyle="none", marker=".", markersize=2.6, color=look.colour,
        markeredgewidth=0.0, zorder=2.5,
    )  # fmt: skip
    known = np.isfinite(speed)
    # A run that broke down at once has no fastest moment.
    if known.any():
        ends = np.array([np.nanmin(speed), np.nanmax(speed)])
        panel.line(
            ends, damper.valving.force(ends), linestyle="none", marker=look.marker, markersize=6.0,
            color=look.colour, markeredgecolor="white", markeredgewidth=0.6, zorder=4,
        )  # fmt: skip


def _force_scale(laws: list[Array], forces: list[Array]) -> tuple[Scale, float]:
    """Return a scale that shows the curves, and the largest force if that is far beyond them."""
    valving = max((float(np.max(np.abs(law))) for law in laws), default=0.0)
    known = [np.abs(force[~np.isnan(force)]) for force in forces]
    largest = max((float(force.max()) for force in known if force.size), default=0.0)
    # Without any valving there is nothing to be far beyond; then only what is absurd is cut.
    limit = HARD * valving if valving > 0.0 else LARGEST
    shown = [np.clip(force, -limit, limit) for force in forces]
    return scale_of([*laws, *shown], "force"), largest if largest > limit else 0.0


def _title(comparison: Comparison, sets: Sets) -> str:
    findings = [_fastest(comparison, axle, sets) for axle in ("front", "rear")]
    return sentence(comparison, asked(comparison, *findings), "No set-up has a damper to show")


def _fastest(comparison: Comparison, axle: str, sets: Sets) -> Finding:
    fastest = {}
    for setup, run in comparison.runs.items():
        speeds = [
            float(np.abs(dampers[setup].speed_m_per_s).max())
            for (where, _), dampers in sets.items()
            if where == axle and setup in dampers and dampers[setup].speed_m_per_s.size
        ]
        # Numbers that grew without limit would always win the title.
        fastest[setup] = float("nan") if broke_down(run) else max(speeds, default=float("nan"))
    said = partial(show_short, quantity="speed", decimals=(2, 0))
    return Finding(fastest, "less", lambda v: f"the {axle} dampers work up to {said(v)}", said, "speed")
