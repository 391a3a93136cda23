"""The page of lengths: what is left of every damper at both ends of its travel, in every set-up, as bars."""

from collections.abc import Mapping, Sequence
from math import isfinite
from types import MappingProxyType

import numpy as np
from matplotlib.figure import Figure

from sim.describe.shown import show
from sim.describe.to_measure import listed
from sim.integrate.damper_room import LEAST_MARGIN
from sim.linear.droop import FREE_COIL, HANGING, STRAP
from sim.show.plots.aside import aside
from sim.show.plots.ends import ticks_below
from sim.show.plots.lettering import clean, shortened, signed
from sim.show.plots.page import LINE, TICK, Page, page
from sim.show.plots.panel import Panel
from sim.show.plots.scale import Scale
from sim.show.plots.style import GRID, INK, drawing
from sim.study.fit import Fit
from sim.study.little_droop import LittleDroop

LEFT, RIGHT = 2.5, 7.55  # in; room on both sides for what is left there
NO_STRAP = {HANGING: "where the axle hangs on its springs", FREE_COIL: "where the coil is free"}
WHERE = {"front": "in front", "rear": "at the rear"}
ENDS = {STRAP: "taut limit strap", HANGING: "hanging axle", FREE_COIL: "free coil"}
# One row a set-up, thick enough for a bar within a bar.
ROW = 0.3


def figure(
    found: Mapping[str, Sequence[Fit]], ordered: str = "", little: Mapping[str, LittleDroop] = MappingProxyType({})
) -> Figure:
    """Return the page.

    Parameters
    ----------
    found : mapping of str to sequence of Fit
        The damper sets of every set-up.
    ordered : str
        The set-up that is ordered for: the title speaks of it where others are as bad.
    little : mapping of str to LittleDroop
        Its axles that have little droop left: dampers stay within their ends there as the straps hold the axle.
    """
    with drawing():
        subtitle = (
            "Length eye to eye. Grey: from collapsed to extended. Bar: where the axle takes it, from squeezed bump stop to the end of droop, "
            "wound up 5 deg either way. Triangle: at ride; stroke left there in per cent. Numbers: what is left at each end."
        )
        sheet = page(aside(found), _title(found, ordered, little), subtitle)
        keys = dict.fromkeys((fit.axle, fit.name) for fits in found.values() for fit in fits)
        for axle, name in keys:
            # The same damper set in every set-up below one another: loads change where on its stroke it rides.
            sets = {setup: fit for setup, fits in found.items() for fit in fits if (fit.axle, fit.name) == (axle, name)}
            _panel(sheet, f"{axle.capitalize()} '{clean(name)}'", sets)
        for text in _beneath([fit for fits in found.values() for fit in fits]):
            sheet.paragraph(text, most_lines=5)
        if not keys:
            sheet.paragraph("No damper is fitted in any set-up.")
        return sheet.figure()


def _beneath(every: Sequence[Fit]) -> list[str]:
    """Return what stands beneath the panels: what a star means, and what nobody measured."""
    said = []
    free = list(dict.fromkeys(NO_STRAP[fit.droop.place] for fit in every if _starred(fit)))
    if free:
        said.append(f"* Without a limit strap what is left is counted to {' or '.join(free)}.")
    guessed: dict[str, str] = {}
    for fit in every:
        each = [("inwards", fit.measure("collapsed")), ("outwards", fit.measure("extended"))]
        words = "; ".join(f"for {where} {listed(what)}" for where, what in each if what)
        # What moves both ends alike is said once.
        if each[0][1] == each[1][1] and each[0][1]:
            words = listed(each[0][1])
        if words:
            guessed[f"{fit.axle} '{clean(fit.name)}'"] = words
    if guessed:
        said.append(f"Estimated, so measure it first: {'; '.join(f'{who}: {what}' for who, what in guessed.items())}.")
    return said


def _starred(fit: Fit) -> bool:
    return isfinite(fit.margin_out) and fit.droop.place in NO_STRAP


def _panel(made: Page, text: str, sets: Mapping[str, Fit]) -> None:
    made.text(LEFT, made.bottom + LINE / 2, text, bold=True)
    made.text(LEFT - 0.12, made.bottom + LINE / 2, "left inwards", TICK, ha="right")
    made.text(RIGHT + 0.12, made.bottom + LINE / 2, "left outwards", TICK)
    made.bottom += LINE + 0.03
    # Own ends and used range in one scale; lengths that the file lacks are left out.
    ends = [v for fit in sets.values() for v in (fit.collapsed, fit.extended, *_range(fit)) if isfinite(v)]
    pad = 0.04 * (max(ends) - min(ends))
    x = Scale(min(ends) - pad, max(ends) + pad, "length", 8)
    panel = made.bare_panel(ROW * len(sets), x, Scale(0.0, float(len(sets)), "count"), LEFT, RIGHT)
    for place, (setup, fit) in enumerate(sets.items()):
        _row(made, panel, setup, fit, len(sets) - place - 0.5)
    ticks_below(made, panel, "Length of the damper, eye to eye")
    made.bottom += 0.12


def _range(fit: Fit) -> tuple[float, float]:
    lengths = [place.length for place in fit.places.values()]
    # The margins are the least over wind-up and travel: the named places alone could miss it.
    low = fit.collapsed + fit.margin_in if isfinite(fit.margin_in) else min(lengths)
    high = fit.extended - fit.margin_out if isfinite(fit.margin_out) else max(lengths)
    return low, high


def _row(made: Page, panel: Panel, setup: str, fit: Fit, y: float) -> None:
    look = made.looks[setup]
    # Without both ends of its own there is no stroke to draw.
    if isfinite(fit.collapsed) and isfinite(fit.extended):
        panel.bars(np.array([[fit.collapsed, fit.extended, y - 0.38, y + 0.38]]), facecolor=GRID)
    low, high = _range(fit)
    panel.bars(np.array([[low, high, y - 0.16, y + 0.16]]), facecolor=look.colour)
    ride = fit.places["ride"].length
    panel.line(
        np.array([ride]), np.array([y]), linestyle="none", marker="^", markersize=8.0, markerfacecolor="white",
        markeredgecolor=look.colour, markeredgewidth=1.4, zorder=5,
    )  # fmt: skip
    # Stroke left at ride in per cent is how the trade judges a damper's length.
    stroke = fit.extended - fit.collapsed
    at = panel.y_in(y)
    for margin, left, edge, ha in (
        (fit.margin_in, fit.left_in, LEFT - 0.12, "right"),
        (fit.margin_out, fit.left_out, RIGHT + 0.12, "left"),
    ):
        share = f"ride {100 * left / stroke:.0f} %" if isfinite(left / stroke) else "length not given"
        said = f"{show(margin, 'length')}" if isfinite(margin) else "no bump stop" if ha == "right" else "no strap"
        # The set-up's number stands once in its row, on the left.
        number = f"{look.number}  " if ha == "right" else ""
        # Without a strap the room is that to where springs let the axle hang, or a coil is free.
        # That is said beneath, since there is no room beside a panel.
        if ha == "left" and _starred(fit):
            said += "*"
        bold = isfinite(margin) and margin < LEAST_MARGIN
        made.text(
            edge,
            at,
            shortened(signed(f"{number}{said}, {share}"), LEFT - 0.2, TICK, bold),
            TICK,
            ha=ha,
            bold=bold,
            colour=INK,
        )


def _title(found: Mapping[str, Sequence[Fit]], ordered: str, little: Mapping[str, LittleDroop]) -> str:
    # Of the set-up that is ordered for first; another is named beside it where it is wrong and that one is not.
    mine = {ordered: found[ordered]} if found.get(ordered) and _ends({ordered: found[ordered]}) else found
    said = _finding(mine, found, ordered)
    if mine is not found and not _past(mine) and _past(found):
        said = f"{said}; {_first_lowered(_finding(found, found, ordered))}"
    droop = _droop(ordered, little)
    if not droop:
        return said
    # A damper that takes the blow is worse than an axle that hardly hangs.
    return f"{said}; {droop}" if _past(found) else f"{droop[:1].upper()}{droop[1:]}; {_first_lowered(said)}"


def _droop(ordered: str, little: Mapping[str, LittleDroop]) -> str:
    """Return how little droop is left with what is ordered; empty where it is enough."""
    left = listed([f"{show(one.after, 'length')} {WHERE[axle]}" for axle, one in little.items()])
    empty = " without its loads" if any(one.empty for one in little.values()) else ""
    return f"little droop is left with “{clean(ordered)}”{empty}: {left}" if left else ""


def _first_lowered(text: str) -> str:
    return f"{text[:1].lower()}{text[1:]}"


def _ends(found: Mapping[str, Sequence[Fit]]) -> list[tuple[float, str, str, Fit]]:
    """Return the rooms that are known, each with its end, its set-up and its damper."""
    return [
        (margin, own, setup, fit)
        for setup, fits in found.items()
        for fit in fits
        for margin, own in ((fit.margin_in, "collapsed"), (fit.margin_out, "extended"))
        if isfinite(margin)
    ]


def _past(found: Mapping[str, Sequence[Fit]]) -> bool:
    return any(margin < 0.0 for margin, *_ in _ends(found))


def _place(fit: Fit, own: str) -> str:
    return "squeezed bump stop" if own == "collapsed" else ENDS.get(fit.droop.place, "end of droop")


def _estimated(fit: Fit, own: str, said: str) -> str:
    """Return a finding of one end; what moves that end and nobody measured makes it no promise."""
    return f"As far as estimated lengths say: {_first_lowered(said)}" if fit.measure(own) else said


def _finding(mine: Mapping[str, Sequence[Fit]], found: Mapping[str, Sequence[Fit]], ordered: str) -> str:
    """Return what the bars of some set-ups show, among all that are drawn."""
    ends = _ends(mine)

    def words(setup: str, fit: Fit, alike: int = 1) -> str:
        with_ = f" with “{clean(setup)}”" if len(found) > 1 else ""
        # No set-up is the worst where others leave as little: lengths of the whole travel are the same under every load.
        if alike > 1:
            with_ = (
                " with every set-up"
                if alike == len(found)
                else f"{with_} and {alike - 1} other{'s' if alike > 2 else ''}"
            )
        return f"{fit.axle} '{clean(fit.name)}' damper{with_}"

    if ends:
        # Rounded to a tenth of a millimetre, so that rounding does not choose between equal ones.
        margin, own, setup, fit = min(ends, key=lambda entry: (round(entry[0], 4), entry[2] != ordered))
        # A damper that is shorter than the travel takes the blow itself, and breaks: say it outright.
        if margin < 0.0:
            short = f"{show(-margin, 'length')} before the {_place(fit, own)}"
            if own == "extended" and fit.strap:
                said = f"The {words(setup, fit)} is fully out {short}: it needs a limit strap"
            else:
                thing = "bump stop" if own == "collapsed" else "limit strap"
                said = (
                    f"The {words(setup, fit)} {'may become' if own in fit.in_doubt else 'becomes'} the {thing}: {short}"
                )
            return _estimated(fit, own, said)
    every = [(setup, fit) for setup, fits in mine.items() for fit in fits]
    unknown = [(setup, fit) for setup, fit in every if fit.asks]
    if unknown:
        setup, fit = unknown[0]
        more = f", and of {len(unknown) - 1} more" if len(unknown) > 1 else ""
        return f"Whether the {words(setup, fit)} fits is not known{more}: give {' and '.join(fit.asks)}"
    if not ends:
        strapless = [(setup, fit) for setup, fit in every if fit.droop.place == FREE_COIL]
        if strapless:
            return f"The {words(*strapless[0])} becomes the limit strap: there is none, and its coil is loose"
        return "No damper is fitted in any set-up"
    alike = {
        other
        for one, where, other, its in _ends(found)
        if (where, its.axle, its.name) == (own, fit.axle, fit.name) and show(one, "length") == show(margin, "length")
    }
    # Within its ends as the bars show it, and none the less in want of a strap: the one does not hide the other.
    strap = next((fit_ for _, fit_ in every if fit_.strap), None)
    more = f"; the {strap.axle} '{clean(strap.name)}' needs a limit strap" if strap else ""
    # Where another set-up's damper meets its end, "every" is that of the one that is ordered for alone.
    whose = "Every" if mine is found or not _past(found) else f"With “{clean(ordered)}” every"
    said = f"{whose} damper stays within its ends; least is left by the {words(setup, fit, len(alike))}, {show(margin, 'length')} at the {_place(fit, own)}"
    return _estimated(fit, own, said) + more
