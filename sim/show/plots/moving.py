"""The trucks of a comparison in motion, as a GIF or a film to send: the same geometry as in the report."""

from collections.abc import Callable, Mapping
from itertools import count
from pathlib import Path
from typing import Any

import numpy as np
from matplotlib.animation import AbstractMovieWriter, FFMpegWriter, PillowWriter
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Circle, FancyArrow, Polygon
from matplotlib.transforms import Affine2D

from sim.describe.shown import show
from sim.integrate.result import Run
from sim.measure.comparison import Comparison
from sim.show.pages.placing import Placed, PlacedLine, Spot, placed
from sim.show.pages.scene import frames, road, scene
from sim.show.plots.canvas import on_canvas
from sim.show.plots.lettering import clean, wrapped
from sim.show.plots.style import INK, ROAD, SOFT, drawing

BODY, DAMPER, SPRING, GUIDE, GROUND, ALARM = "#e6eaec", "#a4263f", "#1f4e8c", "#755800", "#cfc8b8", "#9c1620"

PACE = 0.25
"""Share of the speed at which it is shown: an axle that hops at 12 Hz is then seen to hop."""

RATE = {".gif": 12.5, ".mp4": 25.0}
"""Pictures a second: a GIF has whole hundredths of a second between them."""

DPI = {".gif": 72, ".mp4": 120}
"""Dots an inch: a GIF of some seconds stays small enough for a message."""

GIF_S = 3.0
"""Of the run that a GIF shows [s], around the moment of least travel: longer ones are too large for a message."""

WIDE, HIGH = 4.6, 2.5
"""Size of one truck's panel [in]."""

FULL_PUSH_M = 0.55
"""Length of the arrow of a push's largest force."""

MOST_SETUPS = 4


def written(comparison: Comparison, path: Path) -> Path:
    """Write the motion of a comparison's set-ups: `.gif` around the moment of least travel, `.mp4`, by ffmpeg, the whole run."""
    whole, rate = path.suffix != ".gif", RATE[path.suffix]
    runs = dict(list(comparison.runs.items())[:MOST_SETUPS])
    first, last = (0.0, max(float(run.time_s[-1]) for run in runs.values())) if whole else around(runs)
    # Typed as whole numbers, but every writer takes a fraction.
    writer: AbstractMovieWriter = (FFMpegWriter if whole else PillowWriter)(fps=rate)  # type: ignore[arg-type]
    with drawing():
        figure, draw = _stage(runs)
        with writer.saving(figure, str(path), dpi=DPI[path.suffix]):
            for number in count():
                time = first + number * PACE / rate
                if time > last:
                    break
                draw(time)
                writer.grab_frame()
    return path


def around(runs: Mapping[str, Run]) -> tuple[float, float]:
    """Return from when to when a GIF shows a run [s]: around the moment at which an axle is nearest to its bump stop."""
    when, least = 0.0, np.inf
    for run in runs.values():
        for _, axle in run.axles:
            # Without a stop the travel itself says when most happens.
            left = (axle.jounce_at_stop_m or 0.0) - axle.jounce_m
            place = int(np.argmin(left))
            if left[place] < least:
                when, least = float(run.time_s[place]), float(left[place])
    longest = max(float(run.time_s[-1]) for run in runs.values())
    first = min(max(when - 0.5 * GIF_S, 0.0), max(longest - GIF_S, 0.0))
    return first, min(first + GIF_S, longest)


def _stage(runs: Mapping[str, Run]) -> tuple[Figure, Callable[[float], None]]:
    """Return a figure with a panel a set-up, and what draws a moment of the run [s] on it."""
    columns = min(len(runs), 2)
    rows = -(-len(runs) // columns)
    figure = Figure(figsize=(columns * WIDE, rows * HIGH + 0.35))
    on_canvas(figure)
    head = figure.text(0.012, 1.0 - 0.17 / (rows * HIGH + 0.35), "", fontsize=9, color=SOFT, va="center")
    share = rows * HIGH / (rows * HIGH + 0.35)
    actors = []
    for number, (name, run) in enumerate(runs.items()):
        row, column = divmod(number, columns)
        axes = figure.add_axes((column / columns, share * (rows - 1 - row) / rows, 1.0 / columns, share / rows))
        axes.set_axis_off()
        # In lines, as there is no legend with the whole name.
        called = "\n".join(wrapped(clean(name), WIDE - 0.3, 10.0, bold=True, most_lines=3))
        axes.text(0.02, 0.97, called, transform=axes.transAxes, va="top",
                  fontsize=10, fontweight="bold", color=INK)  # fmt: skip
        actors.append(_Actor(axes, run, name))

    climb = actors[0].climb
    hill = f"; a hill of {np.degrees(climb):.1f} deg ({100.0 * np.tan(climb):.0f} %)" if climb else ""

    def draw(time: float) -> None:
        run = next(iter(runs.values()))
        way = float(np.interp(time, run.time_s, run.distance_m))
        head.set_text(f"{time:.2f} s, {show(way, 'distance')}; at a quarter of the speed, to scale{hill}")
        for actor in actors:
            actor.draw(time)

    return figure, draw


class _Actor:
    """One truck on its axes."""

    def __init__(self, axes: Axes, run: Run, name: str) -> None:
        self.axes, self.scene = axes, scene(run.vehicle, name)
        self.frames, self.road = frames(run), road(run)
        self.moving: list[Any] = []
        behind = [self.scene["cg_behind_front_axle_m"] - forward for forward, _ in self.scene["body"]["outline"]]
        self.left, self.right = -max(behind) - 0.3, -min(behind) + 0.3
        self.climb = float(self.road["climb_rad"])

    def draw(self, time: float) -> None:
        """Draw a moment of the run [s]."""
        for artist in self.moving:
            artist.remove()
        self.moving = []
        channels = self.frames["channels"]
        # By the nearest frame: they are closer than what is shown.
        number = min(round(time / self.frames["step_s"]), len(channels["distance_m"]) - 1)
        frame = {key: float(values[number]) for key, values in channels.items()}
        world = placed(self.scene, frame)
        way = frame["distance_m"]
        base = self._ground(way - 0.5 * self.scene["wheelbase_m"])
        self._frame(way, base)
        self._body(world)
        # A picture that is turned by a hill shows more of the road at both sides.
        more = 0.5 * (self.right - self.left) if self.climb else 0.0
        x = np.linspace(way + self.left - more, way + self.right + more, 161)
        ground = np.array([self._ground(place) for place in x])
        self._keep(self.axes.fill_between(x, ground, base - 1.0 - 2.0 * more, color=GROUND, linewidth=0, zorder=3))
        self._keep(*self.axes.plot(x, ground, color=ROAD, linewidth=1.2, zorder=3.1))
        for name, axle in world.axles.items():
            self._axle(name, axle, frame[f"{name}.tyre_load_n"] <= 0.0)
        if force := frame.get("push_up_n", 0.0):
            self._push(world, force)

    def _push(self, world: Placed, force: float) -> None:
        """Draw an arrow that ends where a force acts on the body, as long as it is large."""
        tip = world.on_body(*self.frames["push"]["at"])
        long = np.copysign(FULL_PUSH_M * abs(force) / self.frames["push"]["most_n"], force)
        arrow = FancyArrow(
            tip.x, tip.z - long, 0.0, long, width=0.036, head_width=0.11, head_length=min(0.11, abs(long)), length_includes_head=True,
            facecolor=INK, edgecolor="white", linewidth=0.5, zorder=9,
        )  # fmt: skip
        self._keep(self.axes.add_patch(arrow))

    def _ground(self, x: float) -> float:
        heights = self.road["height_m"]
        places = self.road["from_m"] + self.road["step_m"] * np.arange(len(heights))
        return float(np.interp(x, places, heights))

    def _frame(self, way: float, base: float) -> None:
        """Show what is around the truck; on a hill turned up by its slope, and so much farther off that all of it has room."""
        wide, high = self.right - self.left, (self.right - self.left) * HIGH / WIDE
        sine, cosine = abs(np.sin(self.climb)), np.cos(self.climb)
        off = max(cosine + high / wide * sine, cosine + wide / high * sine)
        x, z = way + 0.5 * (self.left + self.right), base - 0.25 + 0.5 * high
        self.axes.set_xlim(x - 0.5 * off * wide, x + 0.5 * off * wide)
        self.axes.set_ylim(z - 0.5 * off * high, z + 0.5 * off * high)
        self.turned = Affine2D().rotate_around(x, z, self.climb) + self.axes.transData

    def _keep(self, *artists: Any) -> None:
        if self.climb:
            for artist in artists:
                artist.set_transform(self.turned)
        self.moving += artists

    def _body(self, world: Placed) -> None:
        for key, colour, height in (("outline", BODY, 1.0), ("rail", "#b9bfc3", 4.0)):
            places = [world.on_body(*place) for place in self.scene["body"][key]]
            self._keep(
                self.axes.add_patch(Polygon(places, facecolor=colour, edgecolor=SOFT, linewidth=0.8, zorder=height))
            )

    def _axle(self, name: str, axle: Any, lifted: bool) -> None:
        radius = self.scene["axles"][name]["tyre"]["radius_m"]
        # Dashes and a word, not colour alone: pictures are copied in grey.
        style: dict[str, Any] = {"edgecolor": ALARM if lifted else INK, "linestyle": "--" if lifted else "-"}
        self._keep(
            self.axes.add_patch(Circle(axle.centre, radius, facecolor=(1, 1, 1, 0.8), linewidth=2.2, zorder=2, **style))
        )
        if lifted:
            self._keep(self.axes.text(axle.centre.x, axle.centre.z - 0.6 * radius, "off the ground", fontsize=7, color=ALARM,
                                      ha="center", zorder=9))  # fmt: skip
        for _, points, _ in axle.members:
            self._line(points, GUIDE, 2.6, 5)
        self._keep(self.axes.add_patch(Circle(axle.centre, 0.075, color=INK, zorder=6)))
        if axle.stop is not None:
            met = axle.stop.gap_left_m < 0.0
            self._line((axle.stop.top, axle.stop.face), ALARM if met else INK, 7.0, 5, solid_capstyle="butt")
        for own in axle.lines:
            self._spring_or_damper(own)

    def _spring_or_damper(self, own: PlacedLine) -> None:
        role, ends = own.line["role"], (own.body, own.axle)
        if role == "coil":
            t = np.linspace(0.0, 1.0, 49)
            across = 0.045 * np.sin(2 * np.pi * 6 * t)
            dx, dz = own.axle.x - own.body.x, own.axle.z - own.body.z
            length = float(np.hypot(dx, dz))
            self._keep(*self.axes.plot(own.body.x + dx * t - dz / length * across, own.body.z + dz * t + dx / length * across,
                                       color=SPRING, linewidth=1.1, zorder=7))  # fmt: skip
        elif role == "damper":
            self._line(ends, DAMPER, 1.4, 8)
            share = min(0.86 * (own.line["collapsed_m"] or 0.6 * own.length_m) / own.length_m, 0.95)
            span = (0.03, share) if own.line["tube_end"] == "up" else (1.0 - share, 0.97)
            tube = [Spot(*(a + t * (b - a) for a, b in zip(*ends, strict=True))) for t in span]
            self._line(tube, DAMPER, 4.5, 8, solid_capstyle="butt")
        else:
            taut = role == "strap" and own.left_out_m is not None and own.left_out_m <= 0.0
            style = "-" if taut or role == "link" else "--"
            self._line(ends, ALARM if taut else SOFT, 1.2, 7, linestyle=style)

    def _line(self, points: Any, colour: str, width: float, height: float, **style: Any) -> None:
        x, z = zip(*points, strict=True)
        self._keep(*self.axes.plot(x, z, color=colour, linewidth=width, zorder=height, **style))
