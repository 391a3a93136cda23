"""Pages of bars beside their names: which end is up, and the height that gas adds."""

from collections.abc import Mapping, Sequence
from math import isfinite

import numpy as np
from matplotlib.figure import Figure

from sim.describe.shown import show, show_short
from sim.show.plots.aside import aside
from sim.show.plots.ends import ticks_below
from sim.show.plots.lettering import clean, shortened, wrapped
from sim.show.plots.page import LINE, SMALL, TICK, WIDTH, Page, page
from sim.show.plots.scale import Scale
from sim.show.plots.style import drawing
from sim.study.convert import EndUp, GasLift

LEFT, RIGHT = 2.6, 7.2  # in, of the bars
ROW = 0.26

Bar = tuple[str, str, float, str]
"""Label, name whose colour it has, length, text behind it."""


def end_up_figure(found: Sequence[EndUp]) -> Figure:
    """Return the page of tube down against tube up."""
    with drawing():
        # The legend tells the two ways apart by colour, as it does set-ups elsewhere.
        names = ("tube down", "tube up")
        sheet = page(
            aside(names),
            _end_title(found),
            "Everything else as in the set-up; the masses of tube and rod are those of its file.",
        )
        # Each set comes twice, tube down and tube up: once by name, in the order of the file.
        sets = dict.fromkeys((one.axle, one.name) for one in found)
        for axle, name in sets:
            # Mass and hop have units of their own, so they stand in panels of their own.
            both = [one for one in found if (one.axle, one.name) == (axle, name)]
            rows = [
                (
                    f"unsprung, {names[one.tube_end == 'up']}",
                    names[one.tube_end == "up"],
                    one.unsprung,
                    _said(one, one.unsprung, "mass"),
                )
                for one in both
            ]
            _bars(sheet, f"{axle.capitalize()} '{name}': mass of the axle", "mass", rows)
            rows = [
                (
                    f"hop, {names[one.tube_end == 'up']}",
                    names[one.tube_end == "up"],
                    one.hop_hz,
                    _said(one, one.hop_hz, "frequency"),
                )
                for one in both
            ]
            _bars(sheet, f"{axle.capitalize()} '{name}': frequency of its hop", "frequency", rows)
        return sheet.figure()


def gas_figure(found: Mapping[str, Sequence[GasLift]]) -> Figure:
    """Return the page of the height that gas adds, in every set-up."""
    with drawing():
        names = ("above the front axle", "above the rear axle")
        subtitle = (
            "At rest with the gas of each set and without it, springs left as they are. Gas-charged dampers push their rods out: follow the "
            "maker's steps."
        )
        sheet = page(aside(names), _gas_title(found), subtitle)
        # One length for all panels, so that a set with little gas is seen to lift little.
        most = max((abs(rise) for lifts in found.values() for one in lifts for rise in one.rise.values()), default=0.0)
        for setup, lifts in found.items():
            for one in lifts:
                text = f"{clean(setup)}: {one.axle} '{one.name}', {one.count} of {show(one.push, 'force')}, rise of the body"
                rows = [
                    (name, name, one.rise[end], show(one.rise[end], "length"))
                    # Gas at one end tilts the body: it moves the other end too.
                    for name, end in zip(names, ("front", "rear"), strict=True)
                ]
                _bars(sheet, text, "length", rows, most)
        if not any(found.values()):
            sheet.paragraph("No damper has a gas force.")
        return sheet.figure()


def _said(one: EndUp, value: float, quantity: str) -> str:
    # A twin-tube with a free oil surface must not stand upside down: then the reason is the answer.
    return one.refused if one.refused else show(value, quantity) if isfinite(value) else "-"


def _bars(made: Page, text: str, quantity: str, rows: Sequence[Bar], most: float = 0.0) -> None:
    # In lines: two set-ups may differ in the last word of their names alone.
    for line in wrapped(clean(text), WIDTH - LEFT - 0.4, SMALL, bold=True):
        made.text(LEFT, made.bottom + LINE / 2, line, bold=True)
        made.bottom += LINE
    made.bottom += 0.03
    known = [abs(length) for _, _, length, _ in rows if isfinite(length)]
    # Bars start from zero even if all are large: a bar's length is the value.
    low = min(0.0, *(length for _, _, length, _ in rows if isfinite(length)), 0.0)
    # With nothing but zeros a range of 1 keeps the scale from having no length.
    x = Scale(low, 1.02 * max(most, *known, 0.0) or 1.0, quantity)
    panel = made.bare_panel(ROW * len(rows), x, Scale(0.0, float(len(rows)), "number"), LEFT, RIGHT)
    for place, (label, name, length, said) in enumerate(rows):
        # The first row on top, though y counts upward.
        y = len(rows) - place - 0.5
        if isfinite(length):
            panel.bars(
                np.array([[min(length, 0.0), max(length, 0.0), y - 0.3, y + 0.3]]), facecolor=made.looks[name].colour
            )
        made.text(LEFT - 0.1, panel.y_in(y), shortened(label, LEFT - 0.4, SMALL), TICK, ha="right")
        made.text(RIGHT + 0.1, panel.y_in(y), shortened(said, 2.5, TICK), TICK)
    ticks_below(made, panel, "")


def _end_title(found: Sequence[EndUp]) -> str:
    refused = next((one for one in found if one.refused), None)
    changes = []
    for axle, name in dict.fromkeys((one.axle, one.name) for one in found):
        down, up = (
            next(o for o in found if (o.axle, o.name, o.tube_end) == (axle, name, end)) for end in ("down", "up")
        )
        # A way that is not allowed has no hop to compare with.
        if isfinite(down.hop_hz) and isfinite(up.hop_hz):
            changes.append((up.hop_hz / down.hop_hz - 1.0, up.unsprung - down.unsprung, axle))
    if not changes:
        return "Tube up is not allowed for these dampers" if refused else "No hop of an axle can be shown"
    # The largest change speaks: if that one hardly matters, none does.
    share, mass, axle = max(changes, key=lambda change: abs(change[0]))
    changed = ("+" if mass > 0.0 else "") + show_short(mass, "mass", (1, 1))
    return (
        f"Tube up changes the {axle} axle's hop by {100 * share:+.1f} % and its mass by {changed}: "
        # A hop within 1 % is lost among tyre pressures and loads (our limit, no source).
        f"{'hardly noticeable' if abs(share) < 0.01 else 'small'}"
    )


def _gas_title(found: Mapping[str, Sequence[GasLift]]) -> str:
    each = [(one, setup) for setup, lifts in found.items() for one in lifts]
    if not each:
        return "No gas: nothing lifts the truck"
    # By the end that the dampers stand at, where their push works most.
    one, setup = max(each, key=lambda entry: abs(entry[0].rise[entry[0].axle]))
    who = f"“{clean(setup)}”"
    rise = show_short(one.rise[one.axle], "length", (1, 2))
    return f"With {who} the gas of the {one.axle} '{one.name}' dampers lifts the body by {rise} above that axle"
