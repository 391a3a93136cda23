"""The truck in side view, to scale, as it stands: what was read from the file, so that a slip of the tape is seen.

Drawn as for a workshop wall: no axes, every height and length written where a tape is held, in the units that are shown.
"""

from collections.abc import Sequence
from math import isfinite

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, Polygon, Wedge

from sim.describe.lowered import Lowered
from sim.describe.shown import show, show_short
from sim.linear.clearances import taped
from sim.linear.standing import AxleStanding, Standing
from sim.lower.lowering import lower
from sim.show.pages.placing import Placed, PlacedAxle, PlacedLine, Spot, placed
from sim.show.pages.scene import scene, standing_frame
from sim.show.plots.canvas import on_canvas
from sim.show.plots.dimensions import TEXT, Place, across, along, beside, gap, length, upright
from sim.show.plots.lettering import signed, wrapped
from sim.show.plots.style import DAMPER, GUIDE, INK, ROAD, SOFT, SPRING, STRAP, drawing
from sim.show.report.other_tyres import raised_by_tyres

BODY, TYRE = "#eef0f1", "#e2e4e6"
WIDTH, HEIGHT = 11.0, 6.2
BESIDE = 0.66
"""Room beside the axles for the heights that are written there [m], past the tyre."""


TAPED = "s"
"""Mark of a point of the outline: no ride is judged there."""


def figure(name: str, standing: Standing) -> Figure:
    """Return the picture of one set-up; it faces right, as it drives in every picture: forward is to the right (docs/nomenclature.md)."""
    with drawing():
        picture = Figure(figsize=(WIDTH, HEIGHT))
        on_canvas(picture)
        axes = picture.add_axes((0.01, 0.07, 0.98, 0.83))
        axes.set_axis_off()
        # Lowered as every run has it: the picture shows the numbers that are computed with.
        setup = lower(standing.vehicle)
        # To scale both ways, or a damper's lean could not be judged by eye.
        axes.set_aspect("equal")
        # Places are behind the front axle, as a file measures them, so they count to the left.
        axes.invert_xaxis()
        _draw(axes, setup, standing)
        for row, line in enumerate(wrapped(_title(name, standing), WIDTH - 0.6, 14.0, bold=True, most_lines=2)):
            picture.text(0.03, 0.955 - 0.04 * row, line, fontsize=14, fontweight="bold", color=INK, va="center")
        picture.legend(
            handles=_handles(bool(standing.clearances)), loc="lower center", ncols=4 if standing.clearances else 6, frameon=False, fontsize=8.0, bbox_to_anchor=(0.5, 0.0), handlelength=2.0,
            columnspacing=1.6,
        )  # fmt: skip
    return picture


def _handles(is_taped: bool) -> list[Line2D]:
    points = [
        Line2D(
            [],
            [],
            color=INK,
            marker=TAPED,
            markersize=5,
            markerfacecolor="white",
            linestyle="none",
            label="taped for clearances",
        )
    ]
    return [
        Line2D([], [], color=SPRING, linewidth=3, label="spring"),
        Line2D([], [], color=GUIDE, linewidth=3, label="arms or leaves that hold the axle"),
        Line2D([], [], color=DAMPER, linewidth=3, label="damper (thick end: tube)"),
        Line2D([], [], color=STRAP, linewidth=2, dashes=(3, 2), label="limit strap"),
        Line2D(
            [],
            [],
            color=GUIDE,
            marker="x",
            markersize=7,
            linestyle="none",
            label="point it turns about (instant centre)",
        ),
        Line2D([], [], color=INK, marker="D", markersize=4, linestyle="none", label="where ride is judged"),
        *(points if is_taped else []),
    ]


def _title(name: str, standing: Standing) -> str:
    front, rear = standing.axles["front"], standing.axles["rear"]
    share = 100 * front.load / (front.load + rear.load)
    moved = max((axle for axle in standing.axles.values()), key=lambda axle: abs(axle.jounce))
    where = "front" if moved is front else "rear"
    # Half a millimetre is below what a tape can tell.
    if abs(moved.jounce) < 5e-4:
        tyres = raised_by_tyres(standing.vehicle)
        height = f"stands as measured, frame over axle, and {tyres}" if tyres else "stands as measured"
    else:
        height = f"its {where} end stands {show(abs(moved.jounce), 'length')} {'lower' if moved.jounce > 0 else 'higher'} than measured, frame over axle"
    return f"{name}: {share:.0f} % of its weight on the front axle, {height}"


def _draw(axes: Axes, setup: Lowered, standing: Standing) -> None:
    """Draw everything in metres behind the front axle and above the ground."""
    drawn = scene(setup.vehicle)
    world = placed(drawn, standing_frame(drawn))
    wheelbase = setup.vehicle.wheelbase
    radius = max(part.tyre.radius for _, part in setup.vehicle.axles)
    _body(axes, world, [drawn["body"]["outline"], drawn["body"]["rail"]])
    left, right = -radius - BESIDE, wheelbase + radius + BESIDE
    axes.plot([left, right], [0.0, 0.0], color=ROAD, linewidth=2.5, zorder=1)
    for x in np.arange(left, right, 0.12):
        axes.plot([x, x + 0.05], [-0.008, -0.05], color=ROAD, linewidth=0.7, zorder=1)
    for name, part in setup.vehicle.axles:
        axle, own = world.axles[name], standing.axles[name]
        outwards = 1.0 if name == "rear" else -1.0
        _axle(axes, axle, own, part.tyre.radius, outwards)
        _measures_of_axle(axes, axle, own, part.tyre.radius, outwards)
    for forward, up in setup.points.values():
        axes.plot(*_behind(world.on_body(forward, up)), "D", color=INK, markersize=4, zorder=7)
    for forward, up in taped(setup).values():
        axes.plot(
            *_behind(world.on_body(forward, up)), TAPED, color=INK, markersize=5, markerfacecolor="white", zorder=8
        )
    front, rear = (_behind(world.axles[name].centre) for name in ("front", "rear"))
    _centre_of_gravity(axes, _behind(world.on_body(0.0, 0.0)), front)
    # As it stands: arms and leaves move axles along the truck as they travel.
    across(axes, (front[0], rear[0]), -0.42, f"wheelbase {length(rear[0] - front[0])}", (front[1], rear[1]))
    # A fixed least height, so that pictures of several set-ups can be laid beside one another.
    axes.set_xlim(right + 0.05, left - 0.05)
    top = max(_behind(world.on_body(*place))[1] for place in drawn["body"]["outline"])
    axes.set_ylim(-0.52, max(1.6, top + 0.1))


def _body(axes: Axes, world: Placed, outlines: Sequence[Sequence[Sequence[float]]]) -> None:
    """Draw the body around what is measured: its outline is of no file, so it stays pale."""
    for outline, edge in zip(outlines, (ROAD, SOFT), strict=True):
        places = [_behind(world.on_body(*place)) for place in outline]
        axes.add_patch(Polygon(places, closed=True, facecolor=BODY, edgecolor=edge, linewidth=0.9, zorder=0.4))


def _axle(axes: Axes, axle: PlacedAxle, own: AxleStanding, radius: float, outwards: float) -> None:
    centre = _behind(axle.centre)
    axes.add_patch(Circle(centre, radius, facecolor=TYRE, edgecolor=INK, linewidth=1.3, alpha=0.75, zorder=1.2))
    axes.add_patch(
        Circle(centre, 0.55 * radius, facecolor="white", edgecolor=SOFT, linewidth=0.8, alpha=0.75, zorder=1.3)
    )
    axes.plot(*centre, "+", color=INK, markersize=9, markeredgewidth=1.2, zorder=6)
    for _, points, joints in axle.members:
        axes.plot(*zip(*map(_behind, points), strict=True), color=GUIDE, linewidth=3, solid_capstyle="round", zorder=3)
        for joint in joints:
            axes.plot(*_behind(joint), "o", color="white", markeredgecolor=GUIDE, markersize=5, zorder=4)
    for line in axle.lines:
        _line(axes, line, centre[0], outwards)
    # Parallel links meet nowhere: then there is no centre to mark.
    if isfinite(own.instant_centre_ahead) and isfinite(own.instant_centre_above):
        axes.plot(
            centre[0] - own.instant_centre_ahead, own.instant_centre_above, "x", color=GUIDE, markersize=8, zorder=7
        )


def _measures_of_axle(axes: Axes, axle: PlacedAxle, own: AxleStanding, radius: float, outwards: float) -> None:
    """Write what is measured at an axle: height of its centre, load, gap of its bump stop, droop left."""
    x, z = _behind(axle.centre)
    upright(axes, x + outwards * (radius + 0.1), z, length(z), x, outwards)
    axes.text(
        x, -0.16, signed(show_short(own.load, "load", (0, 0))), fontsize=TEXT + 1.0, fontweight="bold", color=INK, ha="center", va="center", zorder=8
    )  # fmt: skip
    axes.text(x, -0.245, "on the ground", fontsize=TEXT, color=SOFT, ha="center", va="center", zorder=8)
    said = []
    if axle.stop is not None:
        face, meets = _behind(axle.stop.face), _behind(axle.stop.meets)
        axes.plot(*_behind(axle.stop.top), "v", color=INK, markersize=6, zorder=6)
        axes.plot(*face, "_", color=INK, markersize=9, markeredgewidth=1.6, zorder=6)
        gap(axes, (face, meets))
        said.append(f"bump left {length(own.travel_left_up)}")
    # To its strap, or without one to where it hangs or a damper is fully out.
    if isfinite(own.droop_left):
        said.append(f"droop left {length(own.droop_left)}")
    for row, text in enumerate(said):
        beside(axes, (x + outwards * (radius + 0.04), z + 0.27 - 0.085 * row), text, outwards)


def _centre_of_gravity(axes: Axes, at: Place, front: Place) -> None:
    """Draw the quartered circle of the sprung mass' centre, and how far behind the front axle and how high it is."""
    for start in (0.0, 180.0):
        axes.add_patch(Wedge(at, 0.045, start, start + 90.0, facecolor=INK, zorder=7))
        axes.add_patch(
            Wedge(at, 0.045, start + 90.0, start + 180.0, facecolor="white", edgecolor=INK, linewidth=0.8, zorder=7)
        )
    across(axes, (front[0], at[0]), -0.33, f"sprung mass {length(at[0] - front[0])} behind", (-0.06, at[1]))
    upright(axes, at[0], at[1], length(at[1]), at[0])


def _behind(spot: Spot) -> Place:
    """Return a place as the file measures it: behind the front axle, where the world counts forwards."""
    return -float(spot.x), float(spot.z)


def _line(axes: Axes, line: PlacedLine, centre: float, outwards: float) -> None:
    ends = _behind(line.body), _behind(line.axle)
    (x0, y0), (x1, y1) = ends
    role, tube_end = line.line["role"], line.line["tube_end"] or ""
    long = float(line.length_m)
    if role == "coil":
        t = np.linspace(0.0, 1.0, 73)
        # Six turns of a sine, 90 mm across, say coil; its true wire is not in the file.
        wave = 0.045 * np.sin(2 * np.pi * 6 * t)
        run = float(np.hypot(x1 - x0, y1 - y0))
        axes.plot(
            x0 + (x1 - x0) * t - (y1 - y0) / run * wave, y0 + (y1 - y0) * t + (x1 - x0) / run * wave,
            color=SPRING, linewidth=1.6, zorder=4,
        )  # fmt: skip
        # Dampers mostly lean to the truck's middle, so there is room on the other side.
        along(axes, ends, length(long), 0.1 * outwards, SPRING)
        return
    if role == "strap":
        axes.plot([x0, x1], [y0, y1], color=STRAP, linewidth=2, dashes=(3, 2), zorder=4)
        return
    axes.plot([x0, x1], [y0, y1], color=DAMPER, linewidth=2, marker="o", markersize=4, zorder=5)
    middle = (0.5 * (x0 + x1), 0.5 * (y0 + y1))
    # The thick half is the tube: which end is up changes what is unsprung.
    tube = (x0, y0) if tube_end == "up" else (x1, y1)
    axes.plot([middle[0], tube[0]], [middle[1], tube[1]], color=DAMPER, linewidth=6, zorder=5, solid_capstyle="butt")
    # On the side away from the axle's centre, where stop and strap are.
    along(axes, ends, length(long), 0.09 if middle[0] >= centre else -0.09, DAMPER)
