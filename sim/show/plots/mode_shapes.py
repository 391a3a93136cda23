"""The ways in which a set-up moves by itself, drawn to scale in side view with the movement enlarged."""

from math import isfinite, log, pi

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Circle

from sim.describe.shown import place_or_distance, show, show_short
from sim.linear.modes import Mode, end_that_moves, in_words
from sim.linear.standing import Standing
from sim.show.plots.canvas import on_canvas
from sim.show.plots.lettering import clean, wrapped
from sim.show.plots.style import DAMPER, GRID, INK, ROAD, SOFT, SPRING, drawing

COLUMNS = 2
CELL = (5.0, 2.1)  # in
HEAD, FOOT = 1.05, 0.1  # in
ENLARGED_M = 0.17
OVERHANG_M = 0.55
MOVED, OPPOSITE = SPRING, DAMPER


def figure(name: str, standing: Standing) -> Figure:
    """Return the page: a panel a mode, slowest first; the front of the truck is on the right."""
    with drawing():
        # Rounded up: an odd number of modes leaves the last cell empty.
        rows = -(-len(standing.modes) // COLUMNS)
        width = COLUMNS * CELL[0]
        title = wrapped(_title(name, standing), width - 0.6, 14.0, bold=True, most_lines=4, balanced=True)
        head = HEAD + 0.27 * max(len(title) - 2, 0)
        height = head + rows * CELL[1] + FOOT
        picture = Figure(figsize=(width, height))
        on_canvas(picture)
        for line, text in enumerate(title):
            picture.text(0.3 / width, 1 - (0.28 + 0.27 * line) / height, text, fontsize=14, fontweight="bold", color=INK, va="center")  # fmt: skip
        said = (
            "Front on the right; to scale, movement enlarged. Solid: one end of the swing; dashed: the other; grey: at rest. "
            "+ body swings about this point."
        )
        picture.text(0.3 / width, 1 - (0.34 + 0.27 * len(title)) / height, said, fontsize=9.5, color=SOFT, va="center")
        for place, mode in enumerate(standing.modes):
            row, column = divmod(place, COLUMNS)
            low = height - head - (row + 1) * CELL[1]
            axes = picture.add_axes(
                ((column * CELL[0] + 0.15) / width, low / height, (CELL[0] - 0.3) / width, (CELL[1] - 0.4) / height)
            )
            _panel(axes, standing, mode)
            x = (column * CELL[0] + 0.3) / width
            top = low + CELL[1] - 0.14
            picture.text(
                x,
                top / height,
                _said(mode, standing.vehicle.wheelbase),
                fontsize=9.5,
                fontweight="bold",
                color=INK,
                va="center",
            )
            for line, text in enumerate((_how(mode), _about(mode, standing.vehicle.wheelbase))):
                picture.text(x, (top - 0.2 - 0.16 * line) / height, text, fontsize=8.5, color=SOFT, va="center")
    return picture


def _title(name: str, standing: Standing) -> str:
    # What dies away slowest is felt after the road is smooth again: by its rate, damping ratio times frequency, not by its ratio alone.
    least = min(standing.modes, key=_rate)
    who = f"“{clean(name)}”"
    return (
        f"{who}: {in_words(least, standing.vehicle.wheelbase)} at {show(least.frequency_hz, 'frequency')} dies away slowest, by half in {log(2.0) / _rate(least):.2f} s "
        f"(damping ratio {least.damping_ratio:.2f})"
    )


def _rate(mode: Mode) -> float:
    """Return how fast a mode's swings shrink [1/s]; nothing damps it where that is nought."""
    return max(mode.damping_ratio * 2.0 * pi * mode.frequency_hz, 1e-6)


def _said(mode: Mode, wheelbase_m: float) -> str:
    words = in_words(mode, wheelbase_m)
    return f"{words[0].upper()}{words[1:]}"


def _how(mode: Mode) -> str:
    """Return how often it swings, and how well that is damped."""
    # From a damping ratio of 1 on there is no swing, so its number would mislead.
    how = "creeps back" if mode.damping_ratio >= 1.0 else f"damping ratio {mode.damping_ratio:.2f}"
    return f"{show(mode.frequency_hz, 'frequency')}, {how}"


def _about(mode: Mode, wheelbase_m: float) -> str:
    """Return where the body swings about, in words; nothing where it hardly moves."""
    centre = mode.centre_behind_front_axle_m
    if not isfinite(centre):
        return ""
    # A centre tens of metres away moves with rounding, and means no pitch worth the name.
    if abs(centre) >= 50.0:
        return "body rises and falls level"
    if end := end_that_moves(mode, wheelbase_m):
        return f"body swings about the {'rear' if end == 'front' else 'front'} axle ({mode.name})"
    where = show_short(abs(centre), place_or_distance([centre]), (1, 1))
    return f"body swings about a point {where} {'behind' if centre >= 0.0 else 'ahead of'} the front axle"


def _panel(axes: Axes, standing: Standing, mode: Mode) -> None:
    wheelbase = standing.vehicle.wheelbase
    # Places are behind the front axle; the truck faces right, as in every picture.
    axes.set_xlim(wheelbase + OVERHANG_M + 0.55, -OVERHANG_M - 0.55)
    axes.set_ylim(-0.2, standing.cg_above_ground + 0.3)
    # To scale both ways: a wheelbase or a height that was read wrong is seen at once.
    axes.set_aspect("equal")
    axes.set_axis_off()
    axes.plot([-0.9, wheelbase + 0.9], [0.0, 0.0], color=ROAD, linewidth=1.5)
    # At rest first, so that it lies below both ends of the swing, of which one is dashed to tell them apart.
    _truck(axes, standing, mode, 0.0, {"color": "#c4c4c4", "linewidth": 1.5})
    _truck(axes, standing, mode, -ENLARGED_M, {"color": OPPOSITE, "linewidth": 1.4, "linestyle": (0, (4.0, 2.0))})
    _truck(axes, standing, mode, ENLARGED_M, {"color": MOVED, "linewidth": 2.0})
    centre = mode.centre_behind_front_axle_m
    # A centre outside the picture is in the words above it.
    if isfinite(centre) and -OVERHANG_M - 0.5 < centre < wheelbase + OVERHANG_M + 0.5:
        axes.plot(centre, standing.cg_above_ground, "+", color=INK, markersize=13, markeredgewidth=2, zorder=6)


def _truck(axes: Axes, standing: Standing, mode: Mode, size: float, style: dict[str, object]) -> None:
    """Draw body, wheels and housings with the mode's movement so large [m]."""
    shape, wheelbase = mode.shape, standing.vehicle.wheelbase
    behind = np.array([-OVERHANG_M, wheelbase + OVERHANG_M])
    # The mode's pitch is nose down about the sprung centre of gravity: what is ahead of it sinks.
    forward = standing.cg_behind_front_axle - behind
    rise = size * (shape.bounce.real - forward * shape.pitch.real)
    axes.plot(behind, standing.cg_above_ground + rise, solid_capstyle="round", zorder=4, **style)  # type: ignore[arg-type]
    cg = standing.cg_above_ground + size * shape.bounce.real
    axes.plot(standing.cg_behind_front_axle, cg, "o", color=style["color"], markersize=4, zorder=5)
    for name, part in standing.vehicle.axles:
        own = standing.axles[name]
        x = standing.vehicle.axle_behind_front_m(name) - size * shape.axle_ahead.get(name, 0j).real
        z = own.centre_height + size * shape.axle_rise[name].real
        turn = size * shape.housing_turn[name].real  # positive lowers what is ahead of the axle
        arm = 0.24
        colour = str(style["color"])
        axes.add_patch(
            Circle((x, z), part.tyre.radius, fill=False, edgecolor=GRID if size == 0.0 else colour, linewidth=1.0,
                   linestyle="-" if size >= 0.0 else (0, (4.0, 2.0)), zorder=3)
        )  # fmt: skip
        dx, dz = arm * np.cos(turn), arm * np.sin(turn)
        axes.plot([x - dx, x + dx], [z - dz, z + dz], zorder=4, **style)  # type: ignore[arg-type]
