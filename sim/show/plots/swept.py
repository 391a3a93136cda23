"""Plot: measures against one input, or a map of two, every set-up; the best and the worst marked."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from sim.describe.shown import other_unit, show, show_parts, system, unit_now
from sim.integrate.traces import Array
from sim.measure.measure import Measure
from sim.show.pages.called import called
from sim.show.plots.aside import aside
from sim.show.plots.contour_numbers import number
from sim.show.plots.ends import heading
from sim.show.plots.lettering import clean, shortened, told_apart, width_in
from sim.show.plots.page import LEFT, LINE, SMALL, TICK, TICK_LINE, WIDTH, Page, page
from sim.show.plots.panel import Panel
from sim.show.plots.scale import Scale, Ticks, nice_step, scale_of
from sim.show.plots.style import INK, SOFT, drawing
from sim.show.plots.swept_title import STOPS, bottoms, title
from sim.show.report.naming import listed
from sim.study.sweep.axes import Axis, caveats
from sim.study.sweep.doubted import Told
from sim.study.sweep.ends import Marks, best_place, where
from sim.study.sweep.sweep import Swept

PANEL, MAP = 1.8, 3.0
RIGHT = WIDTH - 0.75
MOST_MAPS = 4


# Whoever sweeps 30 to 60 psi wants ticks at round psi, whatever they are in SI.
class Written(Scale):
    """A scale in the unit that a person wrote; its values are those numbers."""

    def ticks(self) -> tuple[Ticks, ...]:
        """Return round numbers of that unit, or of the one that stands for it where one system alone is shown."""
        factor, unit = unit_now(self.quantity)
        step = self._step(factor)
        first, last = int(np.ceil(factor * self.low / step - 1e-9)), int(np.floor(factor * self.high / step + 1e-9))
        values = [step * n for n in range(first, last + 1)]
        return (
            Ticks(tuple(v / factor for v in values), tuple(f"{v:g}".replace("-", "−") for v in values), unit),
        )  # fmt: skip

    def _step(self, factor: float) -> float:
        return nice_step(factor * self.span / self.about)


def _heading(moved: Axis) -> str:
    """Return what an input is called, in the form's words where nobody has called it anything, with its unit."""
    return replace(moved, called=moved.called or called(moved.path)).heading


class Counted(Written):
    """A scale of a count: there is no half a damper."""

    def _step(self, factor: float) -> float:
        step = max(super()._step(factor), 1.0)
        return step if step.is_integer() else 2.0 * step  # two and a half


def _along(moved: Axis, low: float, high: float, about: int) -> Written:
    # What is written without a unit and in whole numbers is counted.
    counts = not moved.unit and np.all(moved.numbers == np.round(moved.numbers))
    return (Counted if counts else Written)(low, high, moved.unit, about)


def figure(swept: Swept, measures: Sequence[Measure], told: Sequence[Told] = ()) -> Figure:
    """Return the page of a sweep.

    Parameters
    ----------
    swept : Swept
        What came of it.
    measures : sequence of Measure
        Those of its names, for labels and quantities, in its order.
    told : sequence of Told
        What the numbers in doubt leave of the best places.
    """
    with drawing():
        # A page takes its legend from runs; a sweep has many runs a set-up, so stand-ins carry the names.
        side = aside(swept.values, {setup: _told(swept, setup) for setup in swept.values})
        any_flags = any(swept.flags.values())
        subtitle = "Circles: the best of each set-up; crosses: its worst. Gaps: a run that could not be made or left its validity."
        if len(swept.axes) == 2:
            subtitle = "Darker is worse. Circle: the best place of all maps of a measure; cross: the worst."
        if any_flags and len(swept.axes) == 2:
            subtitle += " Hatched: flagged, and never the best while another place has a value."
        elif any_flags:
            subtitle += " Squares: flagged, and never the best while another point has a value."
        sheet = page(side, bottoms(swept) or title(swept, measures, told), subtitle)
        for text in caveats(swept.axes):
            # What a sweep cannot say stands above its curves, where it is read first.
            sheet.paragraph(text, most_lines=4)
            sheet.bottom += 0.1
        same = [measure for measure in measures if _everywhere(swept, measure)]
        if len(same) == len(measures):  # then that is what was asked
            same = []
        for measure in measures:
            if measure in same:
                continue
            if len(swept.axes) == 1:
                _curves(sheet, swept, measure)
            else:
                _maps(sheet, swept, measure)
        if same:
            # A panel of one value has no scale, and a best place in it is none.
            said = listed(
                [f"{measure.label[0].lower()}{measure.label[1:]} {_everywhere(swept, measure)}" for measure in same]
            )
            sheet.paragraph(f"The same at every point and with every set-up: {said}.", most_lines=4)
        return sheet.figure()


def _everywhere(swept: Swept, measure: Measure) -> str:
    """Return the value of a measure that reads the same wherever there is one, as it is shown; empty where it does not, or there is none."""
    every = np.concatenate([np.ravel(row[measure.name]) for row in swept.values.values()])
    known = every[np.isfinite(every)]
    # Points without a value are a finding: of runs that could not be made, or did not end.
    if known.size != every.size or not known.size:
        return ""
    shown = {show(float(end), measure.quantity) for end in (known.min(), known.max())}
    return shown.pop() if len(shown) == 1 else ""


def _told(swept: Swept, setup: str) -> tuple[Any, ...]:
    """Return a set-up's faults as a page's head tells them: at how many points, and what it is."""
    points = int(np.prod([a.numbers.size for a in swept.axes]))
    # The worst of its points has the sentence; when in that run it was says nothing of the others.
    return tuple(
        replace(
            fault.flag, time_s=None,
            sentence=f"{fault.count} of {points} points, {'worst' if fault.flag.past_m else 'first'} at {where(swept, fault.where)}: "
            f"{fault.flag.sentence}",
        )
        for fault in swept.faults(setup)
    )  # fmt: skip


def _curves(made: Page, swept: Swept, measure: Measure) -> None:
    moved = swept.axes[0]
    heading(made, measure.label, measure.quantity, LEFT, RIGHT)
    low, high = float(moved.numbers.min()), float(moved.numbers.max())
    # A little room, or the marks of a best place at an end would lie on the frame.
    pad = 0.02 * (high - low)
    x = _along(moved, low - pad, high + pad, 9)
    rows = {setup: row[measure.name] for setup, row in swept.values.items()}
    panel = made.panel(PANEL, x, _scale(rows.values(), measure), right=RIGHT)
    # Zero is where metal meets metal.
    if measure.name in STOPS:
        panel.level(0.0)
    for setup, row in rows.items():
        look = made.looks[setup]
        panel.line(moved.numbers, row, **look.line, zorder=3)
        marks = swept.flagged(setup)
        # A size of its own for each set-up: where lines lie on one another it is seen whose points are flagged.
        for at in np.flatnonzero(marks & np.isfinite(row)):
            _mark(
                panel,
                float(moved.numbers[at]),
                float(row[at]),
                "s",
                look.colour,
                size=6.0 + 2.0 * look.number,
                hollow=True,
            )
        # A circle and a cross: told apart without colour.
        for worst, marker in ((False, "o"), (True, "x")):
            place = best_place(row, measure, worst, marks)
            if place is not None:
                _mark(panel, float(moved.numbers[place]), float(row[place]), marker, look.colour)
    _below(made, panel, moved)
    made.bottom += 0.12


def _scale(rows: Any, measure: Measure) -> Scale:
    rows = list(rows)
    try:
        scale = scale_of(rows, measure.quantity, include=(0.0,))
        # A short range grows both ways, but no share of time is below nothing.
        below = any(np.nanmin(row, initial=0.0) < 0.0 for row in rows)
        if measure.quantity != "percent" or below:
            return scale
        return Scale(-0.03 * (scale.high - scale.low), scale.high - scale.low, measure.quantity, scale.about)
    except KeyError:  # a quantity for which no least span is laid down
        known = np.concatenate([row.ravel() for row in rows])
        known = known[np.isfinite(known)]
        high, low = (float(known.max()), min(0.0, float(known.min()))) if known.size else (1.0, 0.0)
        return Scale(low, high + 0.05 * (high - low or 1.0), measure.quantity)


def _other(moved: Axis) -> tuple[float, str] | None:
    """Return the other system's unit of an input, where both are shown."""
    return other_unit(moved.unit) if system() == "both" else None


def _below(made: Page, panel: Panel, moved: Axis, called_here: bool = True) -> None:
    other = _other(moved)
    for factor, unit in ((1.0, moved.unit), *([other] if other else [])):
        # Round numbers in each unit, so that neither row has odd ones.
        ticks = _along(replace(moved, unit=unit), panel.x.low * factor, panel.x.high * factor, panel.x.about).ticks()[0]
        y = made.bottom + 0.05 + TICK_LINE / 2
        for value, label in zip(ticks.at, ticks.labels, strict=True):
            made.text(panel.x_in(value / factor), y, label, TICK, ha="center")
        if other and panel.left == LEFT:  # maps beside one another share it
            made.text(panel.left - 0.25, y, f"[{unit}]", TICK, ha="right")
        made.bottom += TICK_LINE
    made.bottom += 0.05
    if not called_here:
        return
    middle = panel.left + panel.width / 2
    made.text(middle, made.bottom + LINE / 2, shortened(clean(_heading(moved)), panel.width, SMALL), SMALL, ha="center")
    made.bottom += LINE


def _mark(
    panel: Panel, x: float, y: float, marker: str, colour: str, size: float = 7.0, hollow: bool = False
) -> None:  # fmt: skip
    style: dict[str, Any] = {
        "linestyle": "none", "marker": marker, "markersize": size, "markerfacecolor": "none" if hollow else "white",
        "markeredgecolor": colour, "markeredgewidth": 1.2 if hollow else 1.8, "zorder": 4 if hollow else 5, "clip_on": False,
    }  # fmt: skip

    def draw(axes: Axes) -> object:
        return axes.add_line(Line2D([x], [y], **style))

    panel.drawings.append(draw)


def _maps(made: Page, swept: Swept, measure: Measure) -> None:
    names = list(swept.values)[:MOST_MAPS]
    across, up = swept.axes
    # All maps of a measure share their shades: a set-up that is worse everywhere must look darker everywhere.
    every = np.stack([swept.values[name][measure.name] for name in names])
    flagged = np.stack([swept.flagged(name) for name in names])
    known = every[np.isfinite(every)]
    low, high = (float(known.min()), float(known.max())) if known.size else (0.0, 1.0)
    # Over all maps at once: one best place, not one a map.
    ends = {worst: best_place(every, measure, worst, flagged) for worst in (False, True)}
    wide = (WIDTH - 2 * LEFT - 0.6 * (len(names) - 1)) / len(names)
    reach = f"{measure.label}, {show(low, measure.quantity)} to {show(high, measure.quantity)}"
    made.text(LEFT, made.bottom + LINE / 2, shortened(reach, WIDTH - LEFT - 0.3, SMALL, bold=True), bold=True)
    made.bottom += LINE + 0.03
    top, other = made.bottom, _other(up)
    short = told_apart([clean(name) for name in names], wide - width_in(f"{len(names)}  ", SMALL), SMALL)
    named = clean(_heading(across))
    fits = shortened(named, wide, SMALL) == named
    for place, name in enumerate(names):
        made.bottom = top
        left = LEFT + place * (wide + 0.6)
        # One map alone needs no name: the legend has it.
        if len(names) > 1:
            made.text(left, made.bottom + LINE / 2, f"{made.looks[name].number}  {short[place]}", SMALL)
        made.bottom += LINE if len(names) > 1 else 0.06
        x = _along(across, float(across.numbers.min()), float(across.numbers.max()), 5)
        y = _along(up, float(up.numbers.min()), float(up.numbers.max()), 6)
        panel = made.bare_panel(MAP, x, y, left, left + wide)
        for value, label in zip(y.ticks()[0].at, y.ticks()[0].labels, strict=True):
            made.text(left - 0.07, panel.y_in(value), label, TICK, ha="right")
        # Once, beside the last map, there is room for the other system.
        if other and place == len(names) - 1:
            ticks = Written(y.low * other[0], y.high * other[0], other[1], y.about).ticks()[0]
            for value, label in zip(ticks.at, ticks.labels, strict=True):
                made.text(left + wide + 0.07, panel.y_in(value / other[0]), label, TICK)
        _shade(panel, across, up, every[place], low, high, measure)
        _hatched(panel, across, up, flagged[place])
        for worst, marker in ((False, "o"), (True, "x")):
            end = ends[worst]
            if end is not None and end[0] == place:
                _mark(panel, float(across.numbers[end[1]]), float(up.numbers[end[2]]), marker, INK)
        _below(made, panel, across, fits)
    # Under a narrow map there is no room for a long name: it stands beneath them all.
    sides = [
        *([] if fits else [f"across: {named}"]),
        f"upright: {clean(_heading(up))}{f', on the right [{other[1]}]' if other else ''}",
    ]
    for text in sides:
        made.text(LEFT, made.bottom + LINE / 2, shortened(text, WIDTH - LEFT - 0.3, SMALL), SMALL, colour=SOFT)
        made.bottom += LINE
    made.bottom += 0.1


def _hatched(panel: Panel, across: Axis, up: Axis, flagged: Marks) -> None:
    """Hatch around every point that is flagged, half way to its neighbours."""
    x, y = (_cells(axis.numbers) for axis in (across, up))
    boxes = [[*x[i], *y[j]] for i, j in np.argwhere(flagged)]
    panel.bars(np.array(boxes), facecolor="none", edgecolor=INK, hatch="///", zorder=1.5)


def _cells(numbers: Array) -> list[tuple[float, float]]:
    """Return the low and the high end of the cell around each number; the outer ones end at their number."""
    ordered = np.sort(numbers)
    ends = np.concatenate([ordered[:1], 0.5 * (ordered[:-1] + ordered[1:]), ordered[-1:]])
    at = np.searchsorted(ordered, numbers)
    return [(float(ends[i]), float(ends[i + 1])) for i in at]


def _shade(panel: Panel, across: Axis, up: Axis, values: Array, low: float, high: float, measure: Measure) -> None:
    """Draw shades of grey with lines of equal value and their numbers."""
    span = high - low or 1.0

    def draw(axes: Axes) -> object:
        # Darker is worse, whichever way is better; never so dark that lines and numbers cannot be read.
        shades, below, above = ("Greys", 0.1, 0.6) if measure.better != "more" else ("Greys_r", 0.6, 0.1)
        mesh = axes.pcolormesh(
            across.numbers, up.numbers, values.T, cmap=shades, vmin=low - below * span, vmax=high + above * span, shading="gouraud",
            zorder=0.4, rasterized=True,
        )  # fmt: skip
        # On a map with gaps, or nearly flat, lines would be of rounding and not of the truck.
        if np.isfinite(values).all() and np.ptp(values) > 0.05 * span:
            factor = show_parts(1.0, measure.quantity)[0][0]
            step = nice_step(span * factor / 7.0)  # the same on every map of a measure
            levels = step * np.arange(np.ceil(low * factor / step), np.floor(high * factor / step) + 1) / factor
            lines = axes.contour(
                across.numbers, up.numbers, values.T, levels=levels, colors=INK, linewidths=0.8, linestyles="solid"
            )
            exact = (n for n in range(12) if abs(round(step, n) - step) < 1e-9 * step)
            digits = next(exact)  # so that one line's number differs from the next one's
            number(
                axes, lines, lambda v: f"{v * factor:.{digits}f}".replace("-", "−"), (panel.x.low, panel.x.high), (panel.y.low, panel.y.high)
            )  # fmt: skip
        # Mesh and contours move the limits; the ticks on the page were laid out for these.
        axes.set_xlim(panel.x.low, panel.x.high)
        axes.set_ylim(panel.y.low, panel.y.high)
        return mesh

    panel.drawings.append(draw)
