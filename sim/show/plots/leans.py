"""Plot: what the mounts of an axle's dampers do to its wind-up, a column for each way of moving them, rows for each road."""

from functools import partial
from math import isnan

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from sim.describe.parts.slip import Relaxation
from sim.describe.shown import heading_of, show_parts
from sim.integrate.status import in_words, once
from sim.integrate.traces import Array
from sim.show.plots.ends import heading
from sim.show.plots.finding import named
from sim.show.plots.lettering import clean, shortened
from sim.show.plots.page import LEFT, LINE, SMALL, TICK, TICK_LINE, WIDTH, Page, page
from sim.show.plots.panel import Panel
from sim.show.plots.scale import Scale, scale_of
from sim.show.plots.style import INK, SOFT, Look, drawing
from sim.show.plots.swept import Written
from sim.study.lean import GRIP, MEASURES, Change, Leaned, Leans, Moved
from sim.study.mounts import MOVES

PANEL, APART = 1.25, 0.3
DRAWN = ("peak", "decay")
BELOW = {
    "upper": "lean: back − / + forward",
    "lower": "behind − / + ahead",
    "both": "behind − / + ahead",
    "staggered": "each way",
}


def figure(leans: Leans) -> Figure:
    """Return the page: greatest wind-up and how its swings die against place of the mounts, each set-up a line."""
    with drawing():
        subtitle = (
            f"The {leans.axle} dampers, mounts moved in side view. Lean [deg]: positive, the upper end is ahead of the lower one. "
            f"Other places [{heading_of('length')}]: lower mounts from the axle's centre. Marks: as the set-up's file has it. Squares: the run is "
            "flagged. Hatched: a damper does not fit there, with any set-up."
        )
        sheet = page(leans, title(leans), subtitle)
        for text in paragraphs(leans):
            sheet.paragraph(text, most_lines=4, bold=text == turning(leans))
        sheet.bottom += 0.1
        # Each road in rows of its own: on a smooth one the mounts may not matter, on washboard they may.
        for relaxation, roads in shown(leans).items():
            for road in roads:
                _road(sheet, leans, relaxation, road)
        return sheet.figure()


def shown(leans: Leans) -> dict[Relaxation, dict[str, dict[str, Leaned]]]:
    """Return what is shown: the file's way that grip follows load, and the other one where the advice turns on it."""
    # Twice the panels only where it changes the advice: a mechanic cannot know how grip builds up.
    return leans.roads if leans.turns() else {leans.relaxation: leans.roads[leans.relaxation]}


def _road(made: Page, leans: Leans, relaxation: Relaxation, road: str) -> None:
    setups = leans.roads[relaxation][road]
    said = f"{clean(road)}: {GRIP[relaxation]}" if len(shown(leans)) > 1 else clean(road)
    made.text(LEFT, made.bottom + LINE / 2, shortened(said, WIDTH - LEFT - 0.3, SMALL, bold=True), bold=True)
    made.bottom += LINE + 0.04
    wide = (WIDTH - LEFT - 0.3 - APART * (len(MOVES) - 1)) / len(MOVES)
    for measure in DRAWN:
        label, quantity, _, _ = MEASURES[measure]
        rows = [np.array([t.values[measure] for t in row.all()]) for row in setups.values()]
        # One scale across all moves: a move that does little must look so.
        scale = scale_of(rows, quantity, include=(0.0,), about=4)
        heading(made, label, quantity, LEFT, WIDTH - 0.3)
        top = made.bottom
        for place, move in enumerate(MOVES):
            made.bottom = top
            left = LEFT + place * (wide + APART)
            panel = _panel(made, scale, setups, move, left, wide, first=place == 0)
            for setup, row in setups.items():
                _line(panel, row, move, measure, made.looks[setup])
            # Both measures stand over the same places, so the ticks stand once, below the lower one.
            if measure == DRAWN[-1]:
                _below(made, panel, move)
        made.bottom += 0.1
    made.bottom += 0.1


def _panel(
    made: Page, y: Scale, setups: dict[str, Leaned], move: str, left: float, wide: float, first: bool
) -> Panel:  # fmt: skip
    factor, unit = show_parts(1.0, MOVES[move].quantity)[0]
    places = np.array([t.at for row in setups.values() for t in row.moves[move].tried]) * factor
    # Over all set-ups: where a damper fits differs between them, and the columns must agree.
    low, high = (float(places.min()), float(places.max())) if places.size else (0.0, 1.0)
    panel = made.bare_panel(PANEL, Written(low, high, unit, 4), y, left, left + wide)
    # All moves share the scale upward; its numbers stand once, on the left.
    if first:
        for value, label in zip(y.ticks()[0].at, y.ticks()[0].labels, strict=True):
            made.text(left - 0.07, panel.y_in(value), label, TICK, ha="right")
    panel.level(0.0)
    reasons = [row.moves[move].left_out for row in setups.values()]
    if not places.size:
        # A move that cannot be done at all has its reason in the empty panel.
        said = shortened(clean(reasons[0]), wide - 0.1, TICK)
        made.text(left + wide / 2, panel.top + PANEL / 2, said, TICK, ha="center", colour=SOFT)
    _hatched(panel, [row.moves[move] for row in setups.values()], factor)
    return panel


def _hatched(panel: Panel, rows: list[Moved], factor: float) -> None:
    """Hatch the places that are left out with every set-up."""
    # All set-ups are tried at the same places, so the first one's serve for all.
    tried = [row.tried for row in rows if row.tried]
    if not tried:
        return
    at = [factor * t.at for t in tried[0]]
    # Half way to the neighbours on both sides: beyond it the next place speaks.
    half = 0.5 * (at[1] - at[0])
    out = [place for i, place in enumerate(at) if all(row[i].left_out for row in tried)]
    boxes = [[max(x - half, panel.x.low), min(x + half, panel.x.high), panel.y.low, panel.y.high] for x in out]
    panel.bars(np.array(boxes), facecolor="none", edgecolor=SOFT, hatch="////")


def _line(panel: Panel, row: Leaned, move: str, measure: str, look: Look) -> None:
    moved = row.moves[move]
    if not moved.tried:
        return
    factor = show_parts(1.0, MOVES[move].quantity)[0][0]
    places = factor * np.array([t.at for t in moved.tried])
    values = np.array([t.values[measure] for t in moved.tried])
    panel.line(places, values, **look.line, zorder=3)
    # A flagged run is drawn but marked: it is not to be taken for the best place.
    flagged = [i for i, t in enumerate(moved.tried) if t.flags and not isnan(values[i])]
    # A line needs two points: a value between two gaps would not be seen at all.
    alone = [i for i in range(len(values)) if not isnan(values[i]) and _alone(values, i)]
    panel.drawings.append(partial(_spots, x=places[flagged], y=values[flagged], marker="s", size=8.0, colour=INK))
    panel.drawings.append(partial(_spots, x=places[alone], y=values[alone], marker=".", size=4.0, colour=look.colour))
    # Where it is now, so that the way to the best place can be read; staggered mounts have no such place.
    if moved.stands_at is not None and panel.x.low <= factor * moved.stands_at <= panel.x.high:
        at, level = np.array([factor * moved.stands_at]), np.array([row.stands.values[measure]])
        panel.drawings.append(partial(_spots, x=at, y=level, marker=look.marker, size=6.5, colour=look.colour))


def _alone(values: Array, i: int) -> bool:
    """Tell whether a value has no neighbour to draw a line to."""
    beside = [values[j] for j in (i - 1, i + 1) if 0 <= j < len(values)]
    return all(isnan(value) for value in beside)


def _spots(axes: Axes, x: Array, y: Array, marker: str, size: float, colour: str) -> object:
    return axes.add_line(
        Line2D(x, y, linestyle="none", marker=marker, markersize=size, markerfacecolor="none" if marker == "s" and colour == INK else
               "white", markeredgecolor=colour, markeredgewidth=1.5, zorder=5)
    )  # fmt: skip


ROWS = 2
"""Rows of numbers beneath a panel: lengths have one in each system."""


def _below(made: Page, panel: Panel, move: str) -> None:
    units = show_parts(1.0, MOVES[move].quantity)
    for place in range(ROWS):
        # An angle has one unit, but the labels beneath stand level with those of lengths.
        if place < len(units):
            factor = units[place][0] / units[0][0]
            ticks = Written(panel.x.low * factor, panel.x.high * factor, units[place][1], panel.x.about).ticks()[0]
            for value, label in zip(ticks.at, ticks.labels, strict=True):
                made.text(panel.x_in(value / factor), made.bottom + 0.05 + TICK_LINE / 2, label, TICK, ha="center")
        made.bottom += TICK_LINE
    made.bottom += 0.05
    unit = ", ".join(name for _, name in units)
    label = MOVES[move].label
    for text, points, colour in (
        (label[0].upper() + label[1:], SMALL, INK),
        (f"[{unit}] {BELOW[move]}", TICK, SOFT),
    ):
        said = shortened(text, panel.width + 0.15, points)
        made.text(panel.left + panel.width / 2, made.bottom + LINE / 2, said, points, ha="center", colour=colour)
        made.bottom += LINE


def title(leans: Leans) -> str:
    """Return the trade's question and what the runs say of the road where the mounts decide most."""
    question = f"Which way and how far to lean the {leans.axle} dampers?"
    roads = leans.roads[leans.relaxation]
    # The road on which the mounts do most: elsewhere any advice would rest on next to nothing.
    decisive = max(roads, key=lambda road: _most(leans, road)[0])
    said = finding(leans, leans.relaxation, decisive)
    # Advice that other tyres turn round is advice for these tyres alone.
    if any(road == decisive for road, _, _ in leans.turns()):
        said = f"If {GRIP[leans.relaxation]}, {said[0].lower()}{said[1:]}"
    return f"{question} {said}"


def paragraphs(leans: Leans) -> list[str]:
    """Return what the title has no room for: every road, what depends on the set-up, the other way that grip follows load."""
    said = []
    for relaxation, roads in shown(leans).items():
        for road in roads:
            # A road on which even the set-up as it stands is flagged gives no sound comparison.
            if not any(row.stands.counts for row in roads[road].values()):
                continue
            start = f"If {GRIP[relaxation]}, on" if relaxation != leans.relaxation else "On"
            said.append(f"{start} “{clean(road)}” {shares(leans, relaxation, road)}.")
        if relaxation == leans.relaxation and turning(leans):
            said.append(turning(leans))
    return said


def turning(leans: Leans) -> str:
    """Return the sentence that says that the advice turns on the tyre's grip, or may, and of what; empty if it does not."""
    turns = leans.turns()
    if not turns:
        return ""
    moves = ", ".join(dict.fromkeys(MOVES[move].label for _, _, move in turns))
    roads = " and ".join(f"“{clean(road)}”" for road in dict.fromkeys(road for road, _, _ in turns))
    where = f"({moves}; on {roads}): both are shown."
    if leans.close():
        return (
            f"On your truck it is too close to call whether the advice turns on how the tyre's grip builds up {where}"
        )
    return f"On your truck the advice turns on how the tyre's grip builds up {where}"


def changes(leans: Leans, relaxation: Relaxation, road: str) -> dict[str, tuple[str, Change]]:
    """Return the set-up on which each way of moving the mounts does most, and what it does, by move."""
    largest: dict[str, tuple[str, Change]] = {}
    # The set-up on which a move does most speaks for it: there it is worth the work.
    for move in MOVES:
        for setup in leans.roads[relaxation][road]:
            change = leans.change(relaxation, road, setup, move)
            if change is not None and (move not in largest or change.size > largest[move][1].size):
                largest[move] = setup, change
    return largest


def _most(leans: Leans, road: str) -> tuple[float, str]:
    """Return by how much the best of the ways of moving the mounts changes the swing on a road, and which it is."""
    by_move = changes(leans, leans.relaxation, road)
    return max(((change.size, move) for move, (_, change) in by_move.items()), default=(0.0, ""))


def finding(leans: Leans, relaxation: Relaxation, road: str) -> str:
    """Return what lean alone does on a road, and what does most."""
    by_move = changes(leans, relaxation, road)
    where = f"On “{clean(road)}” " if len(leans.roads[relaxation]) > 1 else ""
    # Best of flagged or unfit places would be advice to build what breaks.
    if not by_move:
        setups = leans.roads[relaxation][road].values()
        faults = in_words(once(flag for row in setups for flag in row.flags))
        return f"{where or 'With every set-up '}no place that was tried counts: all are flagged or do not fit" + (
            f" ({faults})" if faults else ""
        )
    said = []
    # Lean alone first: it is the question that the trade asks, even if the answer is that it hardly matters.
    if "upper" in by_move:
        said.append(_lean_alone(by_move["upper"][1], leans.spread(relaxation, road)))
    move = max((m for m in by_move if m != "upper"), key=lambda m: by_move[m][1].size, default="")
    if move and by_move[move][1].matters:
        said.append(_best(leans, relaxation, road, move, *by_move[move]))
    elif move:
        said.append("where the lower mounts are hardly matters either")
    # What the mounts cannot do, something else does: a mechanic is to know what.
    between = leans.between_setups(relaxation, road)
    if between > max((change.size for _, change in by_move.values()), default=0.0):
        said.append(f"which set-up it is matters more: {_deg(between)}")
    text = "; ".join(said)
    return f"{where}{text}" if where else text[0].upper() + text[1:]


def _lean_alone(change: Change, spread: float) -> str:
    if not change.matters:
        return f"lean alone hardly matters ({np.degrees(change.size):.1f} of {_deg(spread)} between all set-ups)"
    return (
        f"lean alone changes {_deg(change.size)} of {_deg(spread)} between all set-ups, the pinion swings least "
        f"{MOVES['upper'].words(change.best.at)}"
    )


def _best(leans: Leans, relaxation: Relaxation, road: str, move: str, setup: str, change: Change) -> str:
    """Return what the best place of a move gains: against where it stands, or the worst if that is hardly different."""
    stands, best = leans.roads[relaxation][road][setup].stands, change.best.values["peak"]
    gain = stands.values["peak"] - best if stands.counts else 0.0
    against = f"{_deg(change.worst.values['peak'])} ({MOVES[move].words(change.worst.at)})"
    # Against today's place where that is most of the gain; else against the worst, which says what to avoid.
    if change.best is not stands and gain >= change.size / 2.0:
        against = f"{_deg(stands.values['peak'])} as it stands"
    who = f" with {named(leans, setup)}" if len(leans.roads[relaxation][road]) > 1 else ""
    # In short: a title has three lines, and the paragraphs name it with its fault.
    flagged = " (flagged places left aside)" if change.flagged_better else ""
    place = MOVES[move].words(change.best.at)
    return f"{MOVES[move].label} {place}: pinion swing {_deg(best)}, not {against}{who}{flagged}"


def shares(leans: Leans, relaxation: Relaxation, road: str) -> str:
    """Return what each way of moving the mounts changes on a road, largest first, and what the set-ups differ by."""
    parts = []
    if len(leans.roads[relaxation][road]) > 1:
        parts.append((leans.between_setups(relaxation, road), "which set-up it is {}"))
    for move, (_, change) in changes(leans, relaxation, road).items():
        if change.matters:
            text = f"{MOVES[move].label} {{}} = {100 * change.share:.0f} % (least {MOVES[move].words(change.best.at)}"
        else:
            text = f"{MOVES[move].label} hardly, {{}} ("
        # Less swing at a flagged place is said, not advised.
        if change.flagged_better:
            other = change.flagged_better
            text += f"; less still but flagged {MOVES[move].words(other.at)}: {in_words(other.flags)}"
        # Set-ups and moves in one list by size: it shows at once whether mounts or dampers matter more.
        parts.append((change.size, (text + ")").replace("(; ", "(").replace(" ()", "")))
    listing = "; ".join(text.format(_deg(size)) for size, text in sorted(parts, key=lambda part: -part[0]))
    return f"{_deg(leans.spread(relaxation, road))} of swing between all that was tried: {listing}"


def _deg(angle_rad: float) -> str:
    return f"{np.degrees(angle_rad):.1f} deg"
