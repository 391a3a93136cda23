"""The page of lean and motion ratio through the whole travel, from the geometry that runs use."""

from collections.abc import Collection, Sequence
from math import degrees

import numpy as np
from matplotlib.figure import Figure

from sim.integrate.traces import Array
from sim.show.plots.aside import aside
from sim.show.plots.ends import heading, ticks_below
from sim.show.plots.page import LEFT, WIDTH, page
from sim.show.plots.scale import Scale, scale_of
from sim.show.plots.style import drawing
from sim.study.convert import Through

RIGHT = WIDTH - 0.75
PANEL = 1.7


def figure(found: Sequence[Through], setup: str, asked: Collection[str] = ()) -> Figure:
    """Return the page of one set-up's damper sets.

    Parameters
    ----------
    found : sequence of Through
    setup : str
        Its name.
    asked : collection of str
        Axles that the question is about, for the title; any where none is given.
    """
    with drawing():
        names = [f"{one.axle} '{one.name}'" for one in found]
        subtitle = (
            f"Set-up '{setup}', from taut limit strap to squeezed bump stop; circles: where it stands. A valve in proportion to speed is worth the "
            "square of the ratio at the wheel, drilled holes its cube."
        )
        sheet = page(aside(names), _title([one for one in found if one.axle in asked] or found), subtitle)
        # One range of travel for all panels and sets, so that they can be read straight down.
        jounce = scale_of([_of(one, "jounce") for one in found], "length", pad=0.03, about=9)
        lean = [np.array([place.lean for place in one.places]) for one in found]
        ratio = [_of(one, "motion_ratio") for one in found]
        panels: list[tuple[str, str, list[Array | None], float | None]] = [
            ("Motion ratio: shortening of the damper per rise of the wheel", "number", [*ratio], None),
            (
                "Damping at the wheel, of that of an upright damper over the axle (ratio squared)",
                "percent",
                # Force and speed each go with the ratio, so linear damping at the wheel goes with its square.
                [r**2 for r in ratio],
                None,
            ),
            ("Lean from upright, side view and behind together", "angle", [*lean], 0.0),
            ("Front castor against the measured one", "angle", _once_an_axle(found, "castor"), None),
            (
                "Bump steer: turn of the steering arm, up with the drag link's end pushed ahead",
                "angle",
                _once_an_axle(found, "steer"),
                None,
            ),
        ]
        for text, quantity, rows, low in panels:
            drawn = [row for row in rows if row is not None]
            if not drawn:
                continue
            heading(sheet, text, quantity, LEFT, RIGHT)
            panel = sheet.panel(PANEL, jounce, _scale(drawn, quantity, low), right=RIGHT)
            # Zero is the measured height; circles show where the set-up really stands.
            panel.upright(0.0)
            for one, name, row in zip(found, names, rows, strict=True):
                if row is None:
                    continue
                look = sheet.looks[name]
                # Each set has the travel of its own axle.
                x = _of(one, "jounce")
                panel.line(x, row, **look.line, zorder=3)
                panel.line(
                    np.array([one.ride]), np.array([np.interp(one.ride, x, row)]), linestyle="none", marker="o", markersize=7.0,
                    markerfacecolor="white", markeredgecolor=look.colour, markeredgewidth=1.6, zorder=5,
                )  # fmt: skip
            ticks_below(sheet, panel, "droop ◂  travel of the axle from the measured height  ▸ bump")
            sheet.bottom += 0.12
        return sheet.figure()


def _once_an_axle(found: Sequence[Through], what: str) -> list[Array | None]:
    """Return what the travel does to the front axle, beside the first of its sets alone: it is the axle's, not the damper's."""
    first = next((one for one in found if one.axle == "front"), None)
    values = None if first is None else getattr(first, what)
    # A straight guide turns nothing: a line of zeros would have no scale.
    moves = values is not None and bool(np.any(values))
    return [np.array(values) if one is first and moves else None for one in found]


def _of(one: Through, what: str) -> Array:
    return np.array([getattr(place, what) for place in one.places])


def _scale(rows: Sequence[Array], quantity: str, low: float | None) -> Scale:
    values = np.concatenate(rows)
    # Lean is drawn from upright, so its scale begins at zero; a ratio's small change needs the whole height.
    least, most = float(values.min()) if low is None else low, float(values.max())
    pad = 0.06 * max(most - least, 0.05 * abs(most))
    return Scale(least - (pad if low is None else 0.0), most + pad, quantity, 5)


def _title(found: Sequence[Through]) -> str:
    spans = [(max(_of(one, "motion_ratio")) - min(_of(one, "motion_ratio")), one) for one in found]
    # The set whose ratio changes most is where the geometry matters.
    _, one = max(spans, key=lambda entry: entry[0])
    ratio = _of(one, "motion_ratio")
    lean = max(degrees(place.lean) for place in one.places)
    return (
        f"The {one.axle} '{one.name}' damper's motion ratio runs from {ratio.min():.2f} to {ratio.max():.2f} through the travel; "
        f"it leans up to {lean:.0f} deg"
    )
