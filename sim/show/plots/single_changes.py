"""Plot: which single change helps most, each with its band."""

import numpy as np
from matplotlib.figure import Figure

from sim.show.plots.lettering import clean, shortened
from sim.show.plots.page import LINE, MARGIN, SMALL, TICK, TICK_LINE, WIDTH
from sim.show.plots.scale import Scale, Ticks
from sim.show.plots.style import INK, LOOKS, SOFT, drawing
from sim.show.plots.tuned_page import better_by, held, tuned_page
from sim.show.report.tuning_words import WORTH_A_WORD, single_said
from sim.study.tuning.session import Answer
from sim.study.tuning.studies import Single, helping

ROW, LEFT, RIGHT = 0.42, 3.4, 0.6


def figure(answer: Answer) -> Figure:
    """Return the page: a bar a move, the best first."""
    singles = answer.singles
    hold = answer.tuning.asked.hold
    sound, flagged = helping(singles)
    with drawing():
        if sound is not None:
            title = single_said(sound)
            title += f" (flagged as the start is, but better: {_said(flagged)})" if flagged else ""
        elif flagged is not None:
            title = (
                f"Every single change that helps is flagged, as the start is: {_said(flagged)}, but {flagged.faults}"
            )
        else:
            title = none_helps(answer)
        sheet = tuned_page(
            [], title,
            f"Each move alone, all else as in “{clean(answer.tuning.start)}”; its best value beside it. Bars: by how much the goal "
            f"gets better; lines: from the least to the most if all dampers are {100 * hold.scatter:.0f} % soft or hard, hot "
            f"({100 * hold.hot:.0f} % force) or cold ({100 * hold.cold:.0f} %)."
            + ("" if all(one.kept for one in singles) else f" No change may break a limit by more than “{clean(answer.tuning.start)}” does.")
            + (" Hatched bars: flagged, no more than the start is." if any(one.faults for one in singles) else ""),
        )  # fmt: skip
        # Bands as well as bars: a gain that scatter can turn into a loss must be seen whole.
        ends = [100 * v for one in singles for v in (one.gain, one.least, one.most)]
        scale = held([0.0, *ends], "number", 8)
        y = Scale(0.0, float(len(singles)), "number", len(singles))
        panel = sheet.bare_panel(ROW * len(singles), scale, _Plain(y.low, y.high, "number"), LEFT, WIDTH - RIGHT)
        # One colour for all: bars here are moves, not set-ups.
        look = LOOKS[2]
        for place, one in enumerate(singles):
            middle = len(singles) - place - 0.5
            gain = 100 * one.gain
            panel.bars(
                np.array([[min(0.0, gain), max(0.0, gain), middle - 0.26, middle + 0.26]]),
                # A bar that is hatched stays readable in grey.
                **(
                    {"facecolor": "white", "edgecolor": look.colour, "hatch": "////"}
                    if one.faults
                    else {"facecolor": look.colour}
                ),
                zorder=3,
            )
            # The band over its bar: if it crosses zero, the change may do harm with dampers as they come.
            panel.line(
                np.array([100 * one.least, 100 * one.most]), np.array([middle, middle]), color=INK, linewidth=1.6, zorder=5,
                marker="|", markersize=9,
            )  # fmt: skip
            lines = clean(one.move.name), clean(f"to {one.move.words(one.value)}")
            # Two lines a row: what is changed, and to what.
            for text, beside in zip(lines, (-0.5, 0.5), strict=True):
                text = shortened(text, LEFT - MARGIN - 0.1, SMALL)
                sheet.text(LEFT - 0.1, panel.y_in(middle) + beside * TICK_LINE, text, SMALL, ha="right")
        panel.upright(0.0, color=INK, linewidth=1.0)
        for value, label in zip(scale.ticks()[0].at, scale.ticks()[0].labels, strict=True):
            sheet.text(panel.x_in(value), sheet.bottom + 0.05 + TICK_LINE / 2, label, TICK, ha="center")
        sheet.bottom += TICK_LINE + 0.05
        sheet.text(LEFT, sheet.bottom + LINE / 2, "goal better than now [%]", SMALL, colour=SOFT)
        sheet.bottom += LINE
        return sheet.figure()


def none_helps(answer: Answer) -> str:
    """Return the title where no change helps by itself: whether several at once do."""
    gain = better_by(answer) if answer.reached else 0.0
    if gain > WORTH_A_WORD:
        return f"No single change helps: the goal gets {_percent(gain)} better, but only by several at once"
    title = "No single change makes the goal better, and neither do several at once"
    if answer.reached and answer.judge.breaks(answer.start):
        title += f": what is tuned keeps the limits that “{clean(answer.tuning.start)}” breaks"
    return title


class _Plain(Scale):
    """A scale without ticks: rows have names."""

    def ticks(self):  # type: ignore[no-untyped-def]
        """Return no ticks."""
        return (Ticks((), (), ""),)


def _said(one: Single) -> str:
    return f"{one.move.name} to {one.move.words(one.value)}, goal {_percent(one.gain)} better"


def _percent(share: float) -> str:
    return f"{100 * share:.2g} %"
