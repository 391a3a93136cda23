"""Plot: whether the choice still holds if the dampers come out other than ordered, are hot or cold, in every case."""

import numpy as np
from matplotlib.figure import Figure

from sim.show.plots.page import LINE, SMALL, TICK, TICK_LINE, WIDTH
from sim.show.plots.single_changes import _Plain
from sim.show.plots.style import SOFT, drawing
from sim.show.plots.tuned_page import held, tuned_page
from sim.study.tuning.session import Answer

HEIGHT, LEFT, RIGHT = 3.4, 0.85, 0.4


def figure(answer: Answer, tuned: str) -> Figure:
    """Return the page: the goal of both set-ups for every draw."""
    draws = sum(len(way.tuned) for way in answer.drawn)
    # Draw by draw, with the same errors in both: of two scattered means one could not tell (common random numbers).
    better = sum(int(np.sum(way.tuned < way.start)) for way in answer.drawn)
    kept = sum(int(np.sum(way.kept)) for way in answer.drawn)
    with drawing():
        names = (answer.tuning.start, tuned)
        limits = f"; its limits hold in {kept}" if answer.judge.bounds else ""
        title = f"“{tuned}” is better than “{answer.tuning.start}” in {better} of {draws} ways in which dampers may come out{limits}"
        cases = ", ".join(case.name for case in answer.tuning.cases)
        sheet = tuned_page(
            names, title,
            "Each point: both set-ups with the same dampers' errors, one factor for compression and one for rebound of every set. "
            f"Over: {cases}. Scatter of 5 to 15 % is common practice without a source; hot and cold are assumptions of the file.",
        )  # fmt: skip
        sheet.text(LEFT, sheet.bottom + LINE / 2, "Goal: 100 % as it is now; less is better [%]", SMALL, bold=True)
        sheet.bottom += LINE + 0.03
        every = [100 * v for way in answer.drawn for v in (*way.start, *way.tuned)]
        # 100 % is now: with that in the picture better and worse are seen at once.
        y = held([*every, 100.0], "number")
        x = _Plain(0.0, float(len(answer.drawn)), "number")
        panel = sheet.bare_panel(HEIGHT, x, y, LEFT, WIDTH - RIGHT)
        for value, label in zip(y.ticks()[0].at, y.ticks()[0].labels, strict=True):
            sheet.text(LEFT - 0.07, panel.y_in(value), label, TICK, ha="right")
        for place, way in enumerate(answer.drawn):
            for side, (name, values) in enumerate(zip(names, (way.start, way.tuned), strict=True)):
                look = sheet.looks[name]
                count = len(values)
                # Draws beside one another within their column, in the order drawn: it has no other meaning.
                spread = place + 0.28 + 0.44 * side + (np.linspace(-0.12, 0.12, count) if count > 1 else np.zeros(1))
                panel.line(
                    spread, 100 * np.asarray(values), color=look.colour, linestyle="none", marker=look.marker,
                    # Hot and cold are one case each, not a draw from many, and would be lost among small dots.
                    markersize=4 if count > 1 else 8, markerfacecolor=look.colour if side else "white", zorder=4,
                )  # fmt: skip
            sheet.text(panel.x_in(place + 0.5), sheet.bottom + 0.05 + TICK_LINE / 2, way.name, TICK, ha="center")
            if place:
                panel.upright(float(place))
        sheet.bottom += TICK_LINE + 0.05
        sheet.text(
            LEFT,
            sheet.bottom + LINE / 2,
            "hollow: as at the start; filled: tuned. One point for hot and cold.",
            SMALL,
            colour=SOFT,
        )
        sheet.bottom += LINE
        return sheet.figure()
