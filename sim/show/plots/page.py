"""A page: title that says the finding, subtitle, legend, flags; then panels one below the other.

All lengths are inches from the left and from the top, so a page grows with what it must hold and
nothing is laid over something else.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from sim.measure.comparison import SideBySide
from sim.show.plots.canvas import on_canvas
from sim.show.plots.lettering import clean, shortened, signed, width_in, wrapped
from sim.show.plots.panel import Panel
from sim.show.plots.scale import Scale
from sim.show.plots.style import INK, SOFT, Look, looks
from sim.show.report.naming import listed

# Wide enough for two columns of panels, and not wider than a sheet of A4 laid across.
WIDTH, MARGIN = 10.0, 0.3
LEFT, RIGHT = 0.85, 1.75  # in, beside a panel: tick texts; on the right labels of lines too
TITLE, LEAD, SMALL, TICK = 14.0, 11.0, 9.5, 8.5  # points
TITLE_LINE, LEAD_LINE, LINE, TICK_LINE = 0.27, 0.22, 0.2, 0.16  # in, from one line to the next
LONG_S = 300.0  # from here on times are shown in minutes
SAMPLE, GAP = 0.42, 0.3  # in, line sample of the legend and space after a name


@dataclass
class Page:
    """A page being laid out; `bottom` is how far down it is filled [in]."""

    looks: dict[str, Look]
    bottom: float = MARGIN
    texts: list[tuple[float, float, str, dict[str, Any]]] = field(default_factory=list)
    lines: list[tuple[Sequence[float], Sequence[float], dict[str, Any]]] = field(default_factory=list)
    panels: list[Panel] = field(default_factory=list)

    def text(
        self, x: float, y: float, text: str, points: float = SMALL, *, bold: bool = False,
        colour: str = INK, ha: str = "left",
    ) -> None:  # fmt: skip
        """Put one line of text with the middle of its height at y."""
        style = {"fontsize": points, "color": colour, "ha": ha, "va": "center"}
        # Texts wait until the page's height is known: places in a figure are shares of it.
        self.texts.append((x, y, signed(text), style | {"fontweight": "bold" if bold else "normal"}))

    def line(self, x: Sequence[float], y: Sequence[float], **style: Any) -> None:
        """Put a line through points."""
        self.lines.append((x, y, style))

    def paragraph(
        self, text: str, points: float = SMALL, step: float = LINE, most_lines: int = 3, *,
        bold: bool = False, colour: str = INK,
    ) -> None:  # fmt: skip
        """Put wrapped text below what is there."""
        room = WIDTH - 2 * MARGIN
        # Only titles are balanced: a lonely word in large bold letters catches the eye first.
        for line in wrapped(clean(text), room, points, bold, most_lines, balanced=points == TITLE):
            self.text(MARGIN, self.bottom + step / 2, line, points, bold=bold, colour=colour)
            self.bottom += step

    def panel(self, height: float, x: Scale, y: Scale, left: float = LEFT, right: float = WIDTH - RIGHT) -> Panel:
        """Return a panel below what is there, with the ticks of y on both sides.

        Parameters
        ----------
        height : float
            Height of the panel [in].
        x, y : Scale
            Its scales; ticks of x are put by whoever wants them.
        left, right : float
            Where its sides are [in].
        """
        panel = self.bare_panel(height, x, y, left, right)
        sides = ((left - 0.07, "right", left), (right + 0.07, "left", right))
        # Metric on the left, inch on the right; a quantity with one unit has ticks on the left only.
        for ticks, (at, ha, edge) in zip(y.ticks(), sides, strict=False):
            for value, label in zip(ticks.at, ticks.labels, strict=True):
                level = panel.y_in(value)
                self.text(at, level, label, TICK, ha=ha)
                self.line((edge, edge + (at - edge) / 2), (level, level), color=SOFT, linewidth=0.7)
        return panel

    def bare_panel(self, height: float, x: Scale, y: Scale, left: float = LEFT, right: float = WIDTH - RIGHT) -> Panel:
        """Return a panel without ticks below what is there."""
        panel = Panel(left, self.bottom, right - left, height, x, y)
        self.panels.append(panel)
        self.bottom += height
        return panel

    def figure(self) -> Figure:
        """Return the page as a figure of the height it has grown to."""
        height = self.bottom + 0.15
        figure = Figure(figsize=(WIDTH, height))
        on_canvas(figure)
        for panel in self.panels:
            panel.drawn(figure, WIDTH, height)
        for x, y, text, style in self.texts:
            figure.text(x / WIDTH, 1.0 - y / height, text, **style)
        for across, down, style in self.lines:
            points = [value / WIDTH for value in across], [1.0 - value / height for value in down]
            figure.add_artist(Line2D(*points, **style))
        return figure


def page(
    comparison: SideBySide, title: str, subtitle: str, extra: Sequence[tuple[str, str]] = (), spots: bool = False,
    most_lines: int = 6, further: str = "",
) -> Page:  # fmt: skip
    """Return a page with its head.

    Parameters
    ----------
    comparison : SideBySide
        Whose set-ups make the legend and whose flags are named.
    title : str
        The finding.
    subtitle : str
        What is shown.
    extra : sequence of (str, str)
        Further lines of the legend: a colour and what it is.
    spots : bool
        Whether set-ups are drawn as markers and not as lines.
    most_lines : int
        Lines that the title, and what it has no room for, may take.
    further : str
        What the title has no room for.
    """
    sheet = Page(looks(comparison.runs))
    # What is unsafe comes first in a title and what is traded after it: neither may be cut off.
    sheet.paragraph(title, TITLE, TITLE_LINE, most_lines=most_lines, bold=True)
    sheet.bottom += 0.03
    if further:
        sheet.paragraph(further, LEAD, LEAD_LINE, most_lines=most_lines)
        sheet.bottom += 0.03
    sheet.paragraph(subtitle, colour=SOFT)
    sheet.bottom += 0.05
    _legend(sheet, comparison, extra, spots)
    _flags(sheet, comparison)
    sheet.bottom += 0.1
    return sheet


def _legend(made: Page, comparison: SideBySide, extra: Sequence[tuple[str, str]], spots: bool) -> None:
    items = [
        (_spot(look) if spots else look.line, f"{look.number}  {clean(setup)}" + (" (flagged)" if run.flags else ""))
        for (setup, run), look in zip(comparison.runs.items(), made.looks.values(), strict=True)
    ]
    items += [({"color": colour}, text) for colour, text in extra]
    x = MARGIN
    for style, text in items:
        name = shortened(text, WIDTH - 2 * MARGIN - SAMPLE, SMALL)
        wide = SAMPLE + width_in(name, SMALL)
        # A name too long for what is left of the line begins the next one.
        if x > MARGIN and x + wide > WIDTH - MARGIN:
            x, made.bottom = MARGIN, made.bottom + LINE
        y = made.bottom + LINE / 2
        # A marker is a single point; a line sample long enough to show its dashes.
        ends = (x + SAMPLE / 2,) if "marker" in style else (x, x + SAMPLE - 0.08)
        made.line(ends, (y,) * len(ends), **{**style, "linewidth": 2.2})
        made.text(x + SAMPLE, y, name)
        x += wide + GAP
    made.bottom += LINE


def _spot(look: Look) -> dict[str, Any]:
    return {
        "linestyle": "none", "marker": look.marker, "markersize": 7.0, "markeredgewidth": 1.6, "markerfacecolor": "white",
        "markeredgecolor": look.colour,
    }  # fmt: skip


def _flags(made: Page, comparison: SideBySide) -> None:
    def who(setup: str) -> str:
        first = comparison.runs[setup].flags[0]
        when = "" if first.time_s is None else f" at {first.time_s:.2f} s"
        if first.time_s is not None and first.time_s >= LONG_S:
            when = f" at {first.time_s / 60.0:.0f} min"
        return f"{made.looks[setup].number} {clean(setup)}{when}"

    groups: dict[tuple[str, ...], list[str]] = {}
    for setup, run in comparison.runs.items():
        if not run.flags:
            continue
        groups.setdefault(tuple(dict.fromkeys(flag.words for flag in run.flags)), []).append(setup)
    for words, setups in groups.items():
        # The first flag whole, as those after it often follow from it; they are named. Set-ups with the same faults are said once.
        first, *others = setups
        more = f" Also: {'; '.join(words[1:])}." if words[1:] else ""
        more += f" So with {listed([who(setup) for setup in others])}." if others else ""
        made.bottom += 0.03
        # Bold and above the panels: nobody is to read the curves before it.
        text = f"FLAGGED: {who(first)}: {comparison.runs[first].flags[0].sentence}{more}"
        made.paragraph(text, most_lines=7, bold=True)
