"""Plot: how an axle winds up as the truck drives or brakes, and what its wheels do meanwhile."""

import numpy as np
from matplotlib.figure import Figure

from sim.describe.shown import show
from sim.integrate.result import Run
from sim.integrate.traces import Array, WheelTrace
from sim.measure.comparison import Comparison
from sim.show.plots.across import Across, over_time
from sim.show.plots.ends import heading, ticks_below
from sim.show.plots.finding import Finding, apart, sentence, values
from sim.show.plots.lettering import clean, told_apart, width_in
from sim.show.plots.page import LEFT, LINE, SMALL, WIDTH, Page, page
from sim.show.plots.scale import scale_of
from sim.show.plots.style import drawing

NAME = "wind_up"

PANEL, RIGHT = 1.55, WIDTH - 0.75

TOGETHER, ROW = 4, 0.62
"""So many set-ups are drawn in one panel; more have a row each, so high [in]: swings of seven lines on one another cannot be followed."""

COLUMNS = ((LEFT, 4.85), (5.6, RIGHT))

Drawn = tuple[str, str, dict[str, Array]]
"""What a panel shows, its quantity, and a line a set-up."""


def figure(comparison: Comparison) -> Figure:
    """Return the page: wind-up, torque on the housing, slip and road speed against time, of the axle that winds up more."""
    # One axle only, in panels high enough to see its swings.
    axle = max(("front", "rear"), key=lambda name: _range(comparison, name))
    # Runs held at a speed have no torque and no slip to draw.
    runs = {setup: run for setup, run in comparison.runs.items() if run.drive is not None}
    with drawing():
        title = sentence(comparison, _finding(comparison, axle), "No run drives or brakes")
        subtitle = f"{axle.capitalize()} axle. Wind-up is the turn of the axle beyond what its guide gives it, pinion-up positive."
        sheet = page(comparison, title, subtitle)
        x = over_time(comparison)
        panels: list[Drawn] = [
            ("Wind-up, pinion up", "angle", {s: dict(r.axles)[axle].wind_up_rad for s, r in runs.items()}),
            ("Torque of shafts and brakes on the axle, pinion up", "torque",
             {s: _wheel(r, axle).housing_torque_n_m for s, r in runs.items()}),
            ("Slip of its wheels: 100 % spins on the spot, −100 % is locked", "percent",
             # A wheel that turns against the truck's way slips by up to 200 %, and would squeeze all else.
             {s: np.clip(_wheel(r, axle).slip, -1.2, 1.2) for s, r in runs.items()}),
            ("Road speed", "road_speed", {s: r.drive.speed_m_per_s for s, r in runs.items() if r.drive}),
        ]  # fmt: skip
        if len(runs) > TOGETHER:
            _apart(sheet, x, panels[0], panels[2])
            panels = panels[3:]
        for place, (text, quantity, lines) in enumerate(panels):
            heading(sheet, text, quantity, LEFT, RIGHT)
            panel = sheet.panel(PANEL, x.scale, scale_of(lines.values(), quantity, include=(0.0,)), right=RIGHT)
            panel.level(0.0)
            for setup, line in lines.items():
                panel.trace(x.values[setup], line, sheet.looks[setup])
            if place == len(panels) - 1:
                ticks_below(sheet, panel, x.label)
            sheet.bottom += 0.12
        return sheet.figure()


def _apart(sheet: Page, x: Across, winds: Drawn, slips: Drawn) -> None:
    """Put a row for each set-up, its wind-up on the left and the slip of its wheels on the right, all rows on one scale."""
    columns = [
        (left, right, text, quantity, lines, scale_of(lines.values(), quantity, include=(0.0,), about=3))
        for (left, right), (text, quantity, lines) in zip(COLUMNS, (winds, slips), strict=True)
    ]
    top = sheet.bottom
    for left, right, text, quantity, _, _ in columns:
        sheet.bottom = top
        # Slip's heading has what its numbers mean; half a page is too narrow for that.
        heading(sheet, text.partition(":")[0], quantity, left, right)
    number = width_in(f"{len(winds[2])}  ", SMALL)
    names = told_apart([clean(setup) for setup in winds[2]], COLUMNS[0][1] - COLUMNS[0][0] - number, SMALL)
    for setup, name in zip(winds[2], names, strict=True):
        look = sheet.looks[setup]
        top = sheet.bottom
        sheet.text(COLUMNS[0][0], top + LINE / 2, f"{look.number}  {name}")
        for left, right, _, _, lines, scale in columns:
            sheet.bottom = top + LINE
            panel = sheet.panel(ROW, x.scale, scale, left, right)
            panel.level(0.0)
            panel.trace(x.values[setup], lines[setup], look)
            if setup == list(lines)[-1]:
                ticks_below(sheet, panel, x.label)
        sheet.bottom += 0.06
    sheet.bottom += 0.12


def _wheel(run: Run, axle: str) -> WheelTrace:
    assert run.drive is not None
    return run.drive.front if axle == "front" else run.drive.rear


def _range(comparison: Comparison, axle: str) -> float:
    return max((float(np.ptp(dict(run.axles)[axle].wind_up_rad)) for run in comparison.runs.values()), default=0.0)


def _finding(comparison: Comparison, axle: str) -> Finding:
    up, down = values(comparison, f"{axle}_pinion_up"), values(comparison, f"{axle}_pinion_down")
    # Driving winds a rear pinion up, braking down, and a front one, which points back, the other way: the title takes the way that went further.
    ways = {"up": up, "down": down}
    way = max(ways, key=lambda name: max((v for v in ways[name].values() if not np.isnan(v)), default=0.0))
    turns = Finding(
        ways[way],
        "less",
        lambda v: f"the {axle} pinion winds {way} by {show(v, 'angle')}",
        lambda v: show(v, "angle"),
        "angle",
    )
    left = Finding(
        values(comparison, f"{axle}_wind_up_left"),
        "less",
        lambda v: f"the {axle} axle still swings by {show(v, 'angle')} at the end",
        lambda v: show(v, "angle"),
        "angle",
    )
    # A wheel that locks gives the same torque with any damper: then how the swing dies is what differs.
    return left if apart(comparison, turns) < 1.0 <= apart(comparison, left) else turns
