"""The truck in side view, to scale, as it stands: what was read from the file, so that a slip of the tape is seen."""

from math import isfinite

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Circle

from sim.describe.lowered import Lowered
from sim.describe.shown import show
from sim.linear.standing import Standing
from sim.lower.lowering import lower
from sim.show.pages.placing import Spot, placed
from sim.show.pages.scene import scene, standing_frame
from sim.show.plots.lettering import wrapped
from sim.show.plots.style import INK, ROAD, SOFT, drawing

FRAME, SPRING, DAMPER, GUIDE, STRAP = "#222222", "#004488", "#bb5566", "#997700", "#8c8c8c"


def figure(name: str, standing: Standing) -> Figure:
    """Return the picture of one set-up; the front of the truck is on the left, as in its file's measures."""
    with drawing():
        picture = Figure(figsize=(10.0, 5.2))
        FigureCanvasAgg(picture)
        # One picture with metres along its sides: it is to be measured, so it has plain axes and no panels.
        axes = picture.add_axes((0.07, 0.2, 0.9, 0.64))
        # Lowered as every run has it: the picture shows the numbers that are computed with.
        setup = lower(standing.vehicle)
        _draw(axes, setup, standing)
        # To scale both ways, or a damper's lean could not be judged by eye.
        axes.set_aspect("equal")
        axes.set_xlabel("behind the front axle [m]", color=SOFT)
        axes.set_ylabel("above the ground [m]", color=SOFT)
        axes.grid(color="#eeeeee", linewidth=0.6)
        axes.set_axisbelow(True)
        for row, line in enumerate(wrapped(_title(name, standing), 9.4, 14.0, bold=True, most_lines=2)):
            picture.text(0.03, 0.955 - 0.045 * row, line, fontsize=14, fontweight="bold", color=INK, va="center")
        handles = [
            Line2D([], [], color=SPRING, linewidth=3, label="spring, seat to seat"),
            Line2D([], [], color=GUIDE, linewidth=3, label="guide of the axle"),
            Line2D([], [], color=DAMPER, linewidth=2, label="damper (thick end: tube)"),
            Line2D([], [], color=STRAP, linewidth=2, dashes=(3, 2), label="limit strap"),
            Line2D([], [], color=FRAME, marker="P", markersize=9, linestyle="none", label="centre of the sprung mass"),
            Line2D([], [], color=FRAME, marker="^", markersize=7, linestyle="none", label="bump stop, at its gap"),
            Line2D([], [], color=GUIDE, marker="x", markersize=8, linestyle="none", label="instant centre"),
            Line2D([], [], color=SOFT, marker="D", markersize=5, linestyle="none", label="point where ride is judged"),
        ]
        picture.legend(
            handles=handles, loc="lower center", ncols=4, frameon=False, fontsize=8.5, bbox_to_anchor=(0.5, 0.0),
            handlelength=2.2,
        )  # fmt: skip
    return picture


def _title(name: str, standing: Standing) -> str:
    front, rear = standing.axles["front"], standing.axles["rear"]
    share = 100 * front.load / (front.load + rear.load)
    moved = max((axle for axle in standing.axles.values()), key=lambda axle: abs(axle.jounce))
    where = "front" if moved is front else "rear"
    # Half a millimetre is below what a tape can tell.
    if abs(moved.jounce) < 5e-4:
        height = "stands as measured"
    else:
        height = f"its {where} end stands {show(abs(moved.jounce), 'length')} {'lower' if moved.jounce > 0 else 'higher'} than measured"
    return f"{name}: {share:.0f} % of its weight on the front axle, {height}"


def _draw(axes: Axes, setup: Lowered, standing: Standing) -> None:
    """Draw everything in metres behind the front axle and above the ground."""
    drawn = scene(setup.vehicle)
    world = placed(drawn, standing_frame(drawn))
    wheelbase = setup.vehicle.wheelbase
    axes.axhline(0.0, color=ROAD, linewidth=2.5)
    axes.set_xlim(-0.75, wheelbase + 0.75)
    # A fixed least height, so that pictures of several set-ups can be laid beside one another.
    axes.set_ylim(-0.08, max(1.45, standing.cg_above_ground + 0.35))
    for name, part in setup.vehicle.axles:
        axle, own = world.axles[name], standing.axles[name]
        centre = _behind(axle.centre)
        axes.add_patch(Circle(centre, part.tyre.radius, facecolor="#f3f3f3", edgecolor=ROAD, linewidth=1.5, zorder=1))
        axes.plot(*centre, "o", color=FRAME, markersize=6, zorder=6)
        for _, points, joints in axle.members:
            axes.plot(
                *zip(*map(_behind, points), strict=True), color=GUIDE, linewidth=3, solid_capstyle="round", zorder=3
            )
            for joint in joints:
                axes.plot(*_behind(joint), "o", color=GUIDE, markersize=5, zorder=4)
        for line in axle.lines:
            _line(axes, line.line["role"], (_behind(line.body), _behind(line.axle)), line.line["tube_end"] or "")
        if axle.stop is not None:
            axes.plot(*_behind(axle.stop.face), "^", color=FRAME, markersize=7, zorder=6)
        # Parallel links meet nowhere: then there is no centre to mark.
        if isfinite(own.instant_centre_ahead) and isfinite(own.instant_centre_above):
            axes.plot(
                centre[0] - own.instant_centre_ahead, own.instant_centre_above, "x", color=GUIDE, markersize=8, zorder=7
            )
    axes.plot(*_behind(world.on_body(0.0, 0.0)), "P", color=FRAME, markersize=10, zorder=7)
    for forward, up in setup.points.values():
        axes.plot(*_behind(world.on_body(forward, up)), "D", color=SOFT, markersize=5, zorder=7)


def _behind(spot: Spot) -> tuple[float, float]:
    """Return a place as the file measures it: behind the front axle, where the world counts forwards."""
    return -float(spot.x), float(spot.z)


def _line(axes: Axes, role: str, ends: tuple[tuple[float, float], tuple[float, float]], tube_end: str) -> None:
    (x0, y0), (x1, y1) = ends
    if role == "coil":
        t = np.linspace(0.0, 1.0, 73)
        # Six turns of a sine, 90 mm across, say coil; its true wire is not in the file.
        across = 0.045 * np.sin(2 * np.pi * 6 * t)
        length = float(np.hypot(x1 - x0, y1 - y0))
        axes.plot(
            x0 + (x1 - x0) * t - (y1 - y0) / length * across, y0 + (y1 - y0) * t + (x1 - x0) / length * across,
            color=SPRING, linewidth=1.6, zorder=4,
        )  # fmt: skip
        return
    if role == "strap":
        axes.plot([x0, x1], [y0, y1], color=STRAP, linewidth=2, dashes=(3, 2), zorder=4)
        return
    axes.plot([x0, x1], [y0, y1], color=DAMPER, linewidth=2, marker="o", markersize=4, zorder=5)
    middle = (0.5 * (x0 + x1), 0.5 * (y0 + y1))
    # The thick half is the tube: which end is up changes what is unsprung.
    tube = (x0, y0) if tube_end == "up" else (x1, y1)
    axes.plot([middle[0], tube[0]], [middle[1], tube[1]], color=DAMPER, linewidth=6, zorder=5, solid_capstyle="butt")
