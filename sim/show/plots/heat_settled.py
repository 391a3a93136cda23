"""Plot of a long run: how hot each damper became, where it would settle, and how far that is from its limit."""

from math import isnan, nan

import numpy as np
from matplotlib.figure import Figure

from sim.describe.shown import show, show_parts
from sim.show.plots.clock import Thermometer
from sim.show.plots.ends import ticks_below
from sim.show.plots.finding import Finding, sentence
from sim.show.plots.lettering import clean, told_apart
from sim.show.plots.page import LINE, SMALL, TICK, WIDTH, Page, page
from sim.show.plots.panel import Panel
from sim.show.plots.scale import Scale
from sim.show.plots.side_by_track import NO_TUBE, Side, known
from sim.show.plots.style import INK, SOFT, drawing
from sim.show.report.naming import quoted
from sim.study.endurance.history import Key, SetHistory

BAR = 0.26  # in


def figure(side: Side) -> Figure:
    """Return the page of hottest and settled temperatures, a bar for each set of each set-up."""
    with drawing():
        subtitle = (
            "Bars: from the coldest to the hottest oil on this track. Diamonds: where the oil would stay if the last drive never "
            "ended, with the force then left. Upright dashes: the hot limit of each damper."
        )
        sheet = page(side, title(side), subtitle)
        sets = [
            (name, key, s) for name, run in side.runs.items() for key, s in run.sets.items() if not isnan(s.hottest)
        ]
        # Without a tube's size there is nothing that takes up heat; a page without panels says so.
        if not sets:
            sheet.paragraph("No damper of these set-ups has a tube.", bold=True)
            return sheet.figure()
        # The limits too: one scale for both axles, so that bars of both can be compared.
        ends = [v for _, _, s in sets for v in (s.coldest, s.hottest, s.settled, _limit_of(s)) if not isnan(v)]
        margin = 0.05 * (max(ends) - min(ends))
        x = Thermometer(min(ends) - margin, max(ends) + margin, "temperature", 7)
        panel = None
        for axle in ("front", "rear"):
            of_axle = [entry for entry in sets if entry[1][0] == axle]
            if of_axle:
                panel = _bars(sheet, axle, of_axle, x)
                sheet.bottom += 0.12
        assert panel is not None
        sheet.bottom -= 0.12
        ticks_below(sheet, panel, "Temperature of the oil")
        return sheet.figure()


def title(side: Side) -> str:
    """Return which set-up's hottest oil stays farthest from its limit, and which one's comes closest to it or passes it."""
    # The damper that is closest to its limit decides: the others cannot cool it.
    margins = {name: min((s.margin for s in known(run)), default=nan) for name, run in side.runs.items()}

    def short(kelvin: float) -> str:
        return f"{show(abs(kelvin), 'warmth')} {'below' if kelvin >= 0.0 else 'above'} it"

    said = sentence(
        side,
        Finding(
            margins,
            "more",
            # Of this track: beside the bars stands how far from it the oil would settle, which is another figure.
            lambda v: f"the hottest oil of this track is {short(v).removesuffix('it')}its limit",
            short,
            "temperature",
        ),
        NO_TUBE,
    )
    return f"{said}{_whose(side)}"


def _whose(side: Side) -> str:
    """Return on which axle the damper is that comes closest to its limit, where that is another one with another set-up; else empty.

    Four dampers in front cool those, and the truck's hottest is then a rear one: else its small gain reads as that of the front.
    """
    axles: dict[str, list[str]] = {}
    for name, run in side.runs.items():
        margins = {key: history.margin for key, history in run.sets.items() if not isnan(history.margin)}
        if margins:
            axles.setdefault(min(margins, key=lambda key: margins[key])[0], []).append(name)
    if len(axles) < 2:
        return ""
    # As many names as a title has room for: the bars show the others.
    said = [
        f"a {axle} damper with {quoted(clean(names[0]))}{f' and {len(names) - 1} more' if len(names) > 1 else ''}"
        for axle, names in axles.items()
    ]
    return f"; the one closest to it is {' and '.join(said)}"


def _limit_of(history: SetHistory) -> float:
    return history.damper.tube.hot_limit if history.damper.tube is not None else nan


BARS_LEFT, BARS_RIGHT = 0.85, WIDTH - 3.0


def _bars(made: Page, axle: str, sets: list[tuple[str, Key, SetHistory]], x: Thermometer) -> Panel:
    made.text(BARS_LEFT, made.bottom + LINE / 2, f"{axle.capitalize()} dampers", SMALL, bold=True)
    made.text(BARS_RIGHT + 0.1, made.bottom + LINE / 2, "would settle at, with force left", TICK, colour=SOFT)
    made.bottom += LINE + 0.03
    count = len(sets)
    # Rows count down from zero, so that the first set-up of the legend is on top.
    panel = made.bare_panel(BAR * count, x, Scale(-count, 0.0, "number", 1), BARS_LEFT, BARS_RIGHT)
    # A set's name is only said where an axle has more than one.
    keys = list(dict.fromkeys(key for _, key, _ in sets))
    called = dict(zip(keys, told_apart([clean(key[1]) for key in keys], 0.5, TICK), strict=True))
    for row, (name, key, history) in enumerate(sets):
        look, middle = made.looks[name], -row - 0.5
        panel.bars(
            np.array([[history.coldest, history.hottest, middle - 0.28, middle + 0.28]]), color=look.colour, zorder=2
        )
        limit = _limit_of(history)
        ends = np.array([limit, limit]), np.array([middle - 0.5, middle + 0.5])
        # White below the dashes: they must be seen on a dark bar as well as beside it.
        panel.line(*ends, color="white", linewidth=3.2, zorder=3)
        panel.line(*ends, color=INK, linestyle=(0, (3.0, 1.5)), linewidth=1.3, zorder=4)
        y = panel.top + BAR * (row + 0.5)
        made.text(
            BARS_LEFT - 0.08,
            y,
            f"{look.number}" + (f" {called[key]}" if len(keys) > 1 else ""),
            SMALL,
            ha="right",
        )
        # Settled is at the power of the last drive: without any drive there is none.
        if not isnan(history.settled):
            panel.line(
                np.array([history.settled]), np.array([middle]), linestyle="none", marker="D", markersize=7.0,
                markerfacecolor="white", markeredgecolor=INK, markeredgewidth=1.3, zorder=5,
            )  # fmt: skip
            short = history.settled - limit
            # One unit: the page ends where two would begin.
            apart, unit = show_parts(abs(short), "warmth")[0]
            verdict = "too hot" if short > 0.0 else "below the limit"
            text = f"{show(history.settled, 'temperature')}, {100 * history.settled_force:.0f} %, {apart:.0f} {unit} {verdict}"
            made.text(BARS_RIGHT + 0.1, y, text, TICK)
    return panel
