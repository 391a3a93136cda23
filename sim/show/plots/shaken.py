"""Plot: what of a shaking road arrives at the seat, in the suspension and under the tyres, by frequency."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from sim.describe.shown import show
from sim.integrate.traces import Array
from sim.linear.response import FRONT_LOAD, FRONT_TRAVEL, REAR_LOAD, REAR_TRAVEL, Responses
from sim.show.plots.ends import heading
from sim.show.plots.finding import Finding, sentence
from sim.show.plots.lettering import clean
from sim.show.plots.logarithmic import ByDoubling
from sim.show.plots.page import LINE, SMALL, TICK, TICK_LINE, Page, page
from sim.show.plots.panel import Panel
from sim.show.plots.style import drawing

NAME = "shaken"

PANEL = 1.75
COLUMNS = ((0.62, 4.72), (5.5, 9.6))
"""Sides of the panels of each column [in]."""

DECADES = 1.7
"""Height of a panel: from the largest value in a run of the full model down by so many powers of ten."""


def figure(responses: Responses) -> Figure:
    """Return the page: a panel for each output, linear view as lines, runs of the full model as points."""
    with drawing():
        first = next(iter(responses.runs.values()))
        speed = show(first.road_speed_m_per_s, "speed")
        subtitle = (
            f"How much of a road that rises and falls as a sine, at up to {speed}, arrives at each frequency; driving at "
            f"{show(first.speed_m_per_s, 'road_speed')}. Lines: computed for small movements. Points: runs of the full model, with knees, "
            "leaf friction, bump stops and lift-off. Dashed: as much as the road, or as the load at rest, where wheels lift."
        )
        if any(run.flags for run in responses.runs.values()):
            subtitle += " Squares: that run is flagged; a gap: it left what the model holds for."
        sheet = page(responses, title(responses), subtitle)
        # Outputs are points of the body first, whatever the file calls them, then the four of the axles.
        points = [name for name in first.linear if name not in (FRONT_TRAVEL, REAR_TRAVEL, FRONT_LOAD, REAR_LOAD)]
        rows = [points[i : i + 2] for i in range(0, len(points), 2)]
        # Front on the left and rear on the right, travel above load.
        rows += [[FRONT_TRAVEL, REAR_TRAVEL], [FRONT_LOAD, REAR_LOAD]]
        for place, row in enumerate(rows):
            _row(sheet, responses, row, last=place == len(rows) - 1)
        return sheet.figure()


def title(responses: Responses) -> str:
    """Return which set-up swings the load of its tyres least, and which most."""
    return sentence(responses, _worst_load(responses), "No set-up could be shaken")


HARSH_HZ = 4.0
"""From here on to 12.5 Hz people feel what goes up and down most: Wk of ISO 2631-1, from memory."""


def seat(responses: Responses) -> list[str]:
    """Return how much of the road reaches the first point at which the ride is judged: at most, and where it is felt as harsh; empty where there is none."""
    names = [name for one in responses.runs.values() for name in one.driven]
    point = next((name for name in names if name not in (FRONT_TRAVEL, REAR_TRAVEL, FRONT_LOAD, REAR_LOAD)), None)
    if point is None:
        return []
    said = []
    for least, where in (
        (0.0, "at most"),
        (HARSH_HZ, f"at {HARSH_HZ:.0f} Hz and more, which is felt as harsh, at most"),
    ):
        most = {}
        for setup, run in responses.runs.items():
            sizes = np.abs(run.driven[point])[run.driven_hz >= least]
            most[setup] = float(np.nanmax(sizes)) if np.isfinite(sizes).any() else float("nan")

        def says(value: float, where: str = where) -> str:
            return f"{_place(point)} moves {where} {value:.2f} times as far as the road"

        finding = Finding(
            most, "less", says, lambda value: f"{value:.2f} times", "number", "times the road's movement", f"what reaches “{clean(point)}”"
        )  # fmt: skip
        said.append(sentence(responses, finding, ""))
    return [text for text in said if text]


def _place(point: str) -> str:
    """Return a point of the body as a sentence has it; the driver's is where the seat is."""
    return "the driver's seat" if point == "driver" else f"the point “{clean(point)}”"


def _row(made: Page, responses: Responses, names: Sequence[str], last: bool) -> None:
    top = made.bottom
    loads = names[0] in (FRONT_LOAD, REAR_LOAD)
    quantity = "percent" if loads else "number"
    # The runs set the scale: the linear view has no friction or stops, and its peaks may be far higher.
    sizes = np.abs(np.concatenate([run.driven[name] for run in responses.runs.values() for name in names]))
    highest = float(np.nanmax(sizes)) if np.isfinite(sizes).any() else 1.0
    top_value = float(np.log10(1.3 * highest))
    y = ByDoubling(top_value - DECADES, top_value, quantity)
    # Not strict: an odd number of points leaves the last row half empty.
    for name, (left, right) in zip(names, COLUMNS, strict=False):
        made.bottom = top
        _titled(made, name, loads, left, right)
        ends = [run.frequency_hz for run in responses.runs.values()]
        x = ByDoubling(float(np.log10(ends[0][0])), float(np.log10(ends[0][-1])), "frequency")
        panel = made.bare_panel(PANEL, x, y, left, right)
        for ticks in y.ticks()[:1]:
            for value, label in zip(ticks.at, ticks.labels, strict=True):
                made.text(left - 0.07, panel.y_in(value), label, TICK, ha="right")
        # Zero is the logarithm of one: as much as the road.
        if y.low < 0.0 < y.high:
            panel.level(0.0, linestyle=(0, (5.0, 2.0)))
        for setup, run in responses.runs.items():
            look = made.looks[setup]
            panel.line(np.log10(run.frequency_hz), np.log10(np.abs(run.linear[name])), **look.line, zorder=3)
            # Points not joined: each is a run of its own, and between them nothing was computed.
            _points(panel, np.log10(run.driven_hz), np.log10(np.abs(run.driven[name])), look.colour, look.marker)
            flagged = np.array([bool(flags) for flags in run.faults], dtype=bool)
            if flagged.any():
                at_fault = np.log10(np.abs(run.driven[name][flagged]))
                _points(panel, np.log10(run.driven_hz[flagged]), at_fault, look.colour, "s", 6.0 + 1.5 * look.number)
        for at, label in zip(x.ticks()[0].at, x.ticks()[0].labels, strict=True):
            made.text(panel.x_in(at), made.bottom + 0.05 + TICK_LINE / 2, label, TICK, ha="center")
        made.bottom += TICK_LINE + 0.05
        if last:
            middle = (left + right) / 2
            made.text(middle, made.bottom + LINE / 2, "Frequency of the road under a wheel [Hz]", SMALL, ha="center")
            made.bottom += LINE
    made.bottom += 0.12


def _titled(made: Page, name: str, loads: bool, left: float, right: float) -> None:
    if loads:
        heading(made, f"{name.capitalize()}: swing, of its load at rest", "percent", left, right)
        return
    what = f"{name.capitalize()}" if name in (FRONT_TRAVEL, REAR_TRAVEL) else f"Movement of “{name}”"
    # A ratio of lengths has no unit, so this heading has none.
    made.text(left, made.bottom + LINE / 2, f"{what}, per movement of the road", bold=True)
    made.bottom += LINE + 0.03


def _points(panel: Panel, x: Array, y: Array, colour: str, marker: str, around: float = 0.0) -> None:
    """Put points, or hollow marks of a size around them."""
    style: dict[str, Any] = {"linestyle": "none", "marker": marker, "markersize": 3.6, "color": colour, "zorder": 4}
    if around:
        style |= {"markersize": around, "markerfacecolor": "none", "markeredgewidth": 1.1}

    # A point of the first or the last frequency is drawn whole, so that only those within the panel are drawn at all.
    shown = (y >= panel.y.low) & (y <= panel.y.high)

    def draw(axes: Axes) -> object:
        return axes.add_line(Line2D(x[shown], y[shown], clip_on=False, **style))

    panel.drawings.append(draw)


def _worst_load(responses: Responses) -> Finding:
    """Return how far the tyre load swings at worst at wheel hop and above body motions, of the axle that is worse."""
    peaks = {}
    for axle in (FRONT_LOAD, REAR_LOAD):
        for setup, run in responses.runs.items():
            sizes = np.abs(run.driven[axle])
            peaks[axle, setup] = float(np.nanmax(sizes)) if np.isfinite(sizes).any() else float("nan")
    # Bare springs swing furthest at either axle, and say nothing of the dampers that are compared.
    judged = [setup for setup, run in responses.runs.items() if not run.bare] or list(responses.runs)
    # The axle whose tyres come nearer to lifting: grip is lost there first.
    axle = max((FRONT_LOAD, REAR_LOAD), key=lambda a: float(np.nan_to_num([peaks[a, s] for s in judged]).max()))
    values = {setup: peaks[axle, setup] for setup in responses.runs}

    def short(value: float) -> str:
        # “12.0 %” would read as if the tenth mattered.
        return show(value, "percent").replace(".0", "")

    def says(value: float) -> str:
        return f"the {axle} swings by up to {short(value)} of its load at rest on a shaking road"

    return Finding(values, "less", says, short)
