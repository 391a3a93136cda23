"""Plot: the trade-off that cannot be bettered, with the present, the tuned and every named set-up marked."""

import numpy as np
from matplotlib.figure import Figure

from sim.describe.shown import show_parts
from sim.show.plots.lettering import clean, shortened
from sim.show.plots.page import LINE, MARGIN, SMALL, TICK, TICK_LINE, WIDTH, Page
from sim.show.plots.style import INK, ROAD, SOFT, drawing
from sim.show.plots.tuned_page import around, held, spot, tuned_page
from sim.show.report.brief import BESIDE
from sim.study.tuning.session import Answer

HEIGHT, GAP, LEFT = 4.2, 1.05, 0.95
FAR = 1.5
"""A set-up farther from the front than this many of its lengths is named, not drawn."""


def figure(answer: Answer, tuned: str) -> Figure:
    """Return the page of a trade-off.

    Parameters
    ----------
    answer : Answer
        With a front.
    tuned : str
        Name of the tuned set-up.
    """
    first, *others = answer.tuning.asked.trade_off
    # In plain units, not as shares of now: people compare what they can measure.
    points = {name: [answer.judge.plain(name, tried) for _, tried in answer.front] for name in (first, *others)}
    setups = {**answer.named, tuned: answer.best}
    marked = {s: {name: answer.judge.plain(name, one) for name in points} for s, one in setups.items()}
    flagged = {setup for setup, one in setups.items() if one.flagged}
    # Where the start breaks limits it lies on the better side of the front: without a word that reads as a fault of the search.
    outside_limits = [
        str(n) for n, one in enumerate(setups.values(), 1) if float(answer.judge.broken([one]).sum()) > 0.0
    ]
    with drawing():
        sheet = tuned_page(
            setups, _title(answer, points, marked, first, others[0]),
            "Grey: set-ups within the ranges and limits, none flagged, that cannot be bettered in all these measures at once, seen from "
            f"{'two sides' if len(others) > 1 else 'one side'}. Less of a measure is better unless it says more. Markers: the set-ups of the legend; with a square around it: flagged."
            + (f" Outside the limits: {', '.join(outside_limits)}." if outside_limits else ""),
            spots=True, faults={setup: one.flagged for setup, one in setups.items()},
        )  # fmt: skip
        wide = (WIDTH - LEFT - 0.55 - GAP * (len(others) - 1)) / len(others)
        # Panels beside one another begin level; the page goes on below the longest of them.
        top, lows = sheet.bottom, []
        outside: dict[str, None] = {}
        for place, other in enumerate(others):
            sheet.bottom = top
            _panel(sheet, answer, points, marked, flagged, (first, other), LEFT + place * (wide + GAP), wide, outside)
            lows.append(sheet.bottom)
        sheet.bottom = max(lows)
        if outside:
            sheet.paragraph("Outside the picture: " + "; ".join(outside), SMALL, colour=SOFT)
        return sheet.figure()


def _panel(
    made: Page, answer: Answer, points: dict[str, list[float]], marked: dict[str, dict[str, float]],
    flagged: set[str], pair: tuple[str, str], left: float, wide: float, outside: dict[str, None],
) -> None:  # fmt: skip
    measures = {m.name: m for m in answer.judge.measures}
    across, up = (measures[name] for name in pair)
    ends = {name: (min(points[name]), max(points[name])) for name in pair}
    near: list[str] = []
    known: list[str] = []
    # A far set-up would shrink the front to a dot: it is named below the picture with its values.
    for setup, row in marked.items():
        inside = all(
            np.isfinite(row[n]) and ends[n][0] - FAR * _long(ends[n]) <= row[n] <= ends[n][1] + FAR * _long(ends[n])
            for n in pair
        )
        (near if inside else known).append(setup)
    for setup in known:
        values = ", ".join(_short(marked[setup][n], measures[n].quantity) for n in pair)
        outside[f"{made.looks[setup].number} {clean(setup)} ({values})"] = None
    x = held([*points[pair[0]], *(marked[s][pair[0]] for s in near)], across.quantity, about=5)
    y = held([*points[pair[1]], *(marked[s][pair[1]] for s in near)], up.quantity, about=6)
    heading = f"up: {_word(up.label, up.better)} {_units(up.quantity, 'right')}"
    said = shortened(clean(heading), wide + 0.5, SMALL, bold=True)
    made.text(left - 0.5, made.bottom + LINE / 2, said, bold=True)
    made.bottom += LINE + 0.03
    panel = made.bare_panel(HEIGHT, x, y, left, left + wide)
    for value, label in zip(y.ticks()[0].at, y.ticks()[0].labels, strict=True):
        made.text(left - 0.07, panel.y_in(value), label, TICK, ha="right")
    for inch in y.ticks()[1:]:
        for value, label in zip(inch.at, inch.labels, strict=True):
            # The inch ticks on the right, soft: beside the metric ones they are for reading only.
            made.text(left + wide + 0.07, panel.y_in(value), label, TICK, ha="left", colour=SOFT)
    # Only with two measures is the front a line; with more, its points seen from one side are a cloud.
    if len(points) == 2:
        panel.line(np.array(points[pair[0]]), np.array(points[pair[1]]), color=ROAD, linewidth=1.5, zorder=3)
    panel.line(
        np.array(points[pair[0]]), np.array(points[pair[1]]), color=ROAD, linestyle="none", marker=".", markersize=5, zorder=3
    )  # fmt: skip
    for setup in near:
        look = made.looks[setup]
        if setup in flagged:
            around(panel, marked[setup][pair[0]], marked[setup][pair[1]])
        # The tuned one is the last and filled: it is what the page is about.
        spot(panel, marked[setup][pair[0]], marked[setup][pair[1]], look, filled=setup == list(marked)[-1])
        # The last, the tuned one, above its marker, the others below: where two meet, both can be read.
        side = -1.0 if setup == list(marked)[-1] else 1.0
        place = panel.x_in(marked[setup][pair[0]]), panel.y_in(marked[setup][pair[1]])
        made.text(
            place[0] - 0.13 * side, place[1] + 0.15 * side, str(look.number), TICK, bold=True, colour=INK, ha="center"
        )
    for number, ticks in enumerate(x.ticks()):
        for value, label in zip(ticks.at, ticks.labels, strict=True):
            # The same below: metric first and dark, inch units soft.
            colour = SOFT if number else INK
            made.text(panel.x_in(value), made.bottom + 0.05 + TICK_LINE / 2, label, TICK, ha="center", colour=colour)
        made.bottom += TICK_LINE + 0.02
    made.bottom += 0.05
    label = f"across: {_word(across.label, across.better)} {_units(across.quantity, 'below')}"
    label = shortened(clean(label), wide + 0.6, SMALL)
    made.text(left + wide / 2, made.bottom + LINE / 2, label, SMALL, ha="center")
    made.bottom += LINE + MARGIN / 3


def _word(label: str, better: str | None) -> str:
    return f"{label} (more is better)" if better == "more" else label


def _units(quantity: str, where: str) -> str:
    """Return the units of an axis in brackets: metric, and inch where the trade has one."""
    first, *others = (unit for _, unit in show_parts(1.0, quantity))
    return f"[{first}; {where}: {others[0]}]" if others else f"[{first}]" if first else ""


def _long(ends: tuple[float, float]) -> float:
    # A front of one point has no length; a tenth of its value then says what is far.
    return ends[1] - ends[0] or 0.1 * abs(ends[1])


def _short(value: float, quantity: str) -> str:
    texts = [f"{number:.3g} {unit}".strip() for number, unit in show_parts(value, quantity)]
    # A g beside m/s² says no more than its metric figure does in a sentence.
    return f"{texts[0]} ({texts[1]})" if len(texts) > 1 and quantity in BESIDE else texts[0]


def _title(
    answer: Answer, points: dict[str, list[float]], marked: dict[str, dict[str, float]], first: str, other: str
) -> str:
    measures = {m.name: m for m in answer.judge.measures}
    start = answer.tuning.start
    tuned = list(marked)[-1]
    parts = []
    for name in (first, other):
        # The best of each alone: what the trade-off costs is how far the tuned one stays from both.
        best = min(points[name]) if measures[name].better != "more" else max(points[name])
        parts.append(
            f"{measures[name].label[0].lower()}{measures[name].label[1:]} {_short(marked[start][name], measures[name].quantity)} now, "
            f"{_short(marked[tuned][name], measures[name].quantity)} tuned, {_short(best, measures[name].quantity)} at best within the limits"
        )
    said = "; ".join(parts)
    # Figures over all cases stand in no table, where every case has its own.
    cases = len(answer.tuning.cases)
    if cases > 1:
        over = "Worst" if answer.tuning.asked.judge == "worst case" else "Mean"
        return f"{over} of {cases} cases: {said}"
    return said[0].upper() + said[1:]
