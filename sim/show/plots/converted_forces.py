"""The page of a conversion: what each damper must give before and after, so that the wheel feels no difference."""

from collections.abc import Mapping, Sequence
from types import MappingProxyType

import numpy as np
from matplotlib.figure import Figure

from sim.describe.parts.dampers.testing import FIVE_SPEEDS
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show_short
from sim.integrate.status import Flag
from sim.show.plots.aside import aside
from sim.show.plots.ends import heading, ticks_above, ticks_below
from sim.show.plots.lettering import clean, shortened
from sim.show.plots.page import LEFT, SMALL, WIDTH, Page, page
from sim.show.plots.scale import scale_of
from sim.show.plots.style import drawing
from sim.study.convert import Converted

RIGHT = WIDTH - 0.75
PANEL = 2.6
MARKERS = (("s", "squares"), ("o", "circles"), ("D", "diamonds"), ("v", "triangles"))
"""Of the sets of one axle, one after the other."""

SHOWN = 1.05
"""Greatest speed drawn [m/s]: the test speeds."""


def figure(
    given: Vehicle, found: Sequence[Converted], names: tuple[str, str], flags: Mapping[str, Sequence[Flag]] = MappingProxyType({})
) -> Figure:  # fmt: skip
    """Return the page.

    Parameters
    ----------
    given : Vehicle
        The set-up that is converted from.
    found : sequence of Converted
        Every set of the set-up that is converted to.
    names : (str, str)
        Of both.
    flags : dict of str to sequence of Flag
        What is wrong with each by itself.
    """
    with drawing():
        # "Each of": forces are of one damper, and the count may change in a conversion.
        labels = [f"each of “{clean(name)}”" for name in names]
        told = {label: tuple(flags.get(name, ())) for label, name in zip(labels, names, strict=True)}
        subtitle = "Force of one damper without gas and seal, against its own speed. Points: the test speeds. The wheel's curve is the same. Ratio: the damper's travel for each of the wheel's."
        sheet = page(aside(labels, told), _title(found, given, names), subtitle)
        # A dict drops repeats and keeps the order: a panel an axle, in the order of the sets.
        for axle in dict.fromkeys(one.member.axle for one in found):
            _panel(sheet, axle, given, [one for one in found if one.member.axle == axle], labels)
        return sheet.figure()


def _panel(made: Page, axle: str, given: Vehicle, found: Sequence[Converted], labels: Sequence[str]) -> None:
    speeds = np.linspace(-SHOWN, SHOWN, 401)
    before = [np.asarray(part.valving.force(speeds)) for part in dict(given.axles)[axle].dampers.values()]
    # Between the speeds it is given at straight lines, and from its first speed down to no force at none.
    after = [
        np.where(speeds > 0, np.interp(np.abs(speeds), _from_rest(one.speed), _from_rest(one.compression)),
                 -np.interp(np.abs(speeds), _from_rest(one.speed), _from_rest(one.rebound)))
        for one in found
    ]  # fmt: skip
    x = scale_of([speeds], "speed", pad=0.02)
    # Sets past the fourth are drawn with a marker used before and not named: there is no room in a heading.
    said = ", ".join(
        f"{one.member.count} '{one.member.name}' ({marker[1]}, ratio {one.member.ratio:.3f})"
        for one, marker in zip(found, MARKERS, strict=False)
    )
    ticks_above(made, LEFT, RIGHT, x)
    heading(
        made,
        shortened(f"{axle.capitalize()}: force of one, then {said}", RIGHT - LEFT - 0.5, SMALL, bold=True),
        "force",
        LEFT,
        RIGHT,
    )
    # One scale for before and after: that the forces differ is what the page is there to show.
    panel = made.panel(PANEL, x, scale_of([*before, *after], "force"), right=RIGHT)
    panel.level(0.0)
    panel.upright(0.0)
    for label, curves in zip(labels, (before, after), strict=True):
        look = made.looks[label]
        for curve in curves:
            panel.line(speeds, curve, **look.line, zorder=3)
    for number, one in enumerate(found):
        # Forces come as sizes by direction; on the panel rebound is negative, down and to the left.
        for sense, way in ((1.0, "compression"), (-1.0, "rebound")):
            at = np.array(FIVE_SPEEDS)
            forces = np.array([one.force(way, v) for v in FIVE_SPEEDS])
            panel.line(
                sense * at, sense * forces, linestyle="none", marker=MARKERS[number % len(MARKERS)][0], markersize=5.0,
                color=made.looks[labels[1]].colour, zorder=4,
            )  # fmt: skip
    ticks_below(made, panel, "rebound ◂  damper speed  ▸ compression", rows=1)
    made.bottom += 0.12


def _from_rest(values: np.ndarray) -> np.ndarray:
    return np.concatenate(([0.0], values))


def _title(found: Sequence[Converted], given: Vehicle, names: tuple[str, str]) -> str:
    one = found[0]
    # 10 in/s, the test speed at which the trade most often quotes a rebound force (common practice, no source).
    speed = 0.26
    law = next(iter(dict(given.axles)[one.member.axle].dampers.values())).valving
    before, after = abs(float(law.force(-speed))), one.force("rebound", speed)
    who = f"“{clean(names[1])}”"
    at = show_short(speed, "speed", (2, 0))
    # Sets of one axle differ in what each must give: the one that is meant is named.
    sets = sum(each.member.axle == one.member.axle for each in found)
    which = f"{one.member.axle} '{clean(one.member.name)}'" if sets > 1 else one.member.axle
    return (
        f"For the same wheel each {which} damper of {who} gives {show_short(after, 'force', (0, 0))} of rebound at {at}, "
        f"not {show_short(before, 'force', (0, 0))}"
    )
