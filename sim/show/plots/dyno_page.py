"""The page of a damper on the test machine: its curve, its loops' branches, and how far it is from what was ordered."""

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from sim.describe.parts.dampers.laws import Law
from sim.describe.parts.dampers.measured import Measured
from sim.describe.shown import show
from sim.integrate.traces import Array
from sim.show.plots.aside import aside
from sim.show.plots.ends import heading, ticks_above, ticks_below
from sim.show.plots.lettering import clean
from sim.show.plots.page import LEFT, WIDTH, Page, page
from sim.show.plots.panel import Panel
from sim.show.plots.scale import Scale, scale_of
from sim.show.plots.style import GRID, INK, drawing
from sim.study.dyno import LEAST_ALLOWED, Point, has_loops, sides, worst

RIGHT = WIDTH - 0.75
PANEL, ERRORS = 3.6, 1.6


def figure(
    name: str,
    law: Measured,
    target: Law | None,
    wanted: str,
    points: Sequence[Point],
    tolerance: float,
    cause: str = "",
) -> Figure:
    """Return the page.

    Parameters
    ----------
    name : str
        Of the file.
    law : Measured
        The damper.
    target, wanted : Law or None, str
        What it was to be, and how that is called.
    points : sequence of Point
        Comparison at its points; empty without target.
    tolerance : float
        Share that passes.
    cause : str
        What of the record's writing would explain that it fails; empty for nothing.
    """
    with drawing():
        # The prefix keeps both names apart even if the file is called as what was ordered.
        measured = f"measured: {name}"
        names = [measured] if target is None else [measured, wanted]
        subtitle = "Force of one damper without gas, compression positive and to the right."
        if has_loops(law):
            subtitle += " Thin: both branches of the loops; thick: their mean."
        if target is not None:
            subtitle += f" Grey: within {100 * tolerance:.0f} %. Crosses: outside."
        # A sound damper may fail by how its record was written: whoever sees the picture alone would send it back.
        subtitle += f" {cause}" if cause else ""
        sheet = page(aside(names), _title(name, law, wanted, points), subtitle)
        looks = sheet.looks
        # As far as the machine went; beyond it a comparison would be one of guesses.
        top = max(float(side.speed[-1]) for _, _, side in sides(law))
        x = scale_of([np.array([-top, top])], "speed", pad=0.06)
        speeds = np.linspace(x.low, x.high, 400)
        forces = [law.force(speeds)] + ([] if target is None else [np.asarray(target.force(speeds))])
        ticks_above(sheet, LEFT, RIGHT, x)
        heading(sheet, "Force", "force", LEFT, RIGHT)
        panel = sheet.panel(PANEL, x, scale_of(forces, "force"), right=RIGHT)
        panel.level(0.0)
        panel.upright(0.0)
        # The band lies lowest, then the order, then what was measured: the last word is the machine's.
        if target is not None:
            _band(panel, speeds, np.asarray(target.force(speeds)), tolerance)
            panel.line(speeds, np.asarray(target.force(speeds)), **looks[wanted].line, zorder=3)
        _measured(panel, law, looks[measured].colour)
        for point in points:
            # Only failures are crossed: a page without crosses is seen to pass from across the shop.
            if not point.passes:
                # Points hold sizes of speed and force; rebound is drawn negative.
                sense = 1.0 if point.way == "compression" else -1.0
                _cross(panel, sense * point.speed, sense * point.measured)
        ticks_below(sheet, panel, "rebound ◂  damper speed  ▸ compression", rows=1)
        if points:
            sheet.bottom += 0.15
            _errors(sheet, x, points, tolerance)
        return sheet.figure()


def _measured(panel: Panel, law: Measured, colour: str) -> None:
    for _, sense, side in sides(law):
        # From no force at no speed: the machine has no point there, and gas and friction are left out.
        at, force = np.concatenate(([0.0], side.speed)), np.concatenate(([0.0], side.force))
        if has_loops(law):
            panel.line(sense * at, sense * force, color=colour, linewidth=2.0, zorder=4)
            # The gap between a loop's branches lies half above and half below their mean.
            for branch in (0.5, -0.5):
                panel.line(
                    sense * side.speed,
                    sense * (side.force + branch * side.hysteresis),
                    color=colour,
                    linewidth=0.8,
                    zorder=4,
                )
        else:
            # The law between the measured points is a smooth curve: their straight joins would not be what is run.
            fine = np.linspace(0.0, side.speed[-1], 200)
            panel.line(sense * fine, np.asarray(law.force(sense * fine)), color=colour, linewidth=1.4, zorder=4)
            panel.line(
                sense * side.speed,
                sense * side.force,
                linestyle="none",
                marker="o",
                markersize=5.0,
                color=colour,
                zorder=5,
            )


def _band(panel: Panel, speeds: Array, target: Array, tolerance: float) -> None:

    # At low speed a share of a small force is less than a seal rubs, so the allowance has a floor.
    room = np.maximum(tolerance * np.abs(target), LEAST_ALLOWED)

    def draw(axes: Axes) -> object:
        return axes.fill_between(speeds, target - room, target + room, color=GRID, linewidth=0.0, zorder=1)

    panel.drawings.append(draw)


def _cross(panel: Panel, x: float, y: float) -> None:
    panel.line(
        np.array([x]),
        np.array([y]),
        linestyle="none",
        marker="x",
        markersize=10.0,
        markeredgewidth=2.2,
        color=INK,
        zorder=6,
    )


def _errors(made: Page, x: Scale, points: Sequence[Point], tolerance: float) -> None:
    """Draw each point's error as a bar, with the tolerance as lines."""
    shares = np.array([point.share for point in points])
    # Even both ways about zero, and the tolerance always in sight however good the damper is.
    most = max(1.25 * tolerance, float(np.nanmax(np.abs(shares), initial=0.0)) * 1.1)
    heading(made, "Measured less ordered, of the force ordered", "percent", LEFT, RIGHT)
    panel = made.panel(ERRORS, x, Scale(-most, most, "percent", 4), right=RIGHT)
    for level in (-tolerance, tolerance):
        panel.level(level, linestyle=(0, (4.0, 1.5)))
    panel.level(0.0)
    # Bars as wide on any range of speeds: their width means nothing.
    half = 0.006 * x.span
    boxes = {True: [], False: []}  # type: dict[bool, list[list[float]]]
    for point, share in zip(points, shares, strict=True):
        # An order of no force at a speed has no share to be off by.
        if not np.isnan(share):
            at = point.speed if point.way == "compression" else -point.speed
            boxes[point.passes].append([at - half, at + half, min(share, 0.0), max(share, 0.0)])
    panel.bars(np.array(boxes[True]), facecolor=made.looks[next(iter(made.looks))].colour, alpha=0.45)
    panel.bars(np.array(boxes[False]), facecolor=INK)
    ticks_below(made, panel, "rebound ◂  damper speed  ▸ compression; dark: outside the tolerance", rows=1)


def _title(name: str, law: Measured, wanted: str, points: Sequence[Point]) -> str:
    who = f"“{clean(name)}”"
    if not points:
        ends = [
            f"{show(float(side.force[-1]), 'force')} at {show(float(side.speed[-1]), 'speed')} in {way}"
            for way, _, side in sides(law)
        ]
        return f"{who} gives {' and '.join(ends)}"
    order = f"“{clean(wanted)}”"
    missed = [point for point in points if not point.passes]
    if not missed:
        # Without a target force its share is not known and must not win.
        far = max(points, key=lambda p: abs(p.share) if p.target > 0.0 else 0.0)
        return (
            f"{who} passes as {order}: all {len(points)} points within tolerance, the furthest {100 * far.share:+.0f} %"
        )
    # By what is allowed at that point, not by share: the floor at low speeds would make small errors look largest.
    far = worst(missed)
    return (
        f"{who} fails as {order}: {len(missed)} of {len(points)} points outside, {100 * far.share:+.0f} % in {far.way} "
        f"at {show(far.speed, 'speed')}"
    )
