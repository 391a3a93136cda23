"""Mass of a damper's two halves: steel and oil of its tubes, its rod, its eyes, by lengths and sizes."""

from collections.abc import Callable
from math import pi
from typing import NamedTuple

from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.truck import Truck
from sim.describe.parts.dampers.tube import STEEL, disc

BORES = {"monotube": 0.046, "reservoir": 0.046}
"""Bore [m] where no tube is given; common practice, no source."""

TWIN_BORE, OUTSIDE = 0.035, 1.43
"""The same of a twin-tube, and of a damper of which nobody says how it is built: between 30 and 40 mm, the bores of QC/T 491 for light vehicles (from
memory); its outside over its bore, the middle of 1.35 to 1.50 (Wang, Automobile Design, from memory)."""

ROD, TWIN_ROD = {"monotube": 0.325, "reservoir": 0.325}, 0.45
"""Diameter of a rod over the bore where it is not given, the middle of 0.30 to 0.35 in a monotube and of 0.40 to 0.50 in a twin-tube (Wang, Automobile
Design, from memory)."""

WALL = 2e-3
"""Wall of a tube [m] (Wang, Automobile Design, from memory)."""

OIL, AROUND, IN_MONOTUBE = 870.0, 0.6, 0.75
"""Density of damper oil [kg/m³], and how much of the space around a twin-tube's inner tube and of a monotube's bore it fills, as `Tube` has them."""

ENDS = 0.055
"""How much shorter than the damper fully in its tube is, and its rod [m]; common practice, no source."""

EYE, DISC, COVER, CLEAR = 0.2, 0.015, 1e-3, 3e-3
"""Mass of an eye with its bush [kg]; thickness of the steel disc as heavy as a piston or a rod's guide; wall of the dust cover over a twin-tube, as
long as the stroke, and its room around the tube [m]; common practice, no source."""

OFF, TUBE_OFF = 0.40, 0.20
"""How far off a mass may be as a share: bores from 30 to 40 mm ask for the first; the second is left where the tube is given, by ends and dust cover."""


class Halves(NamedTuple):
    """Mass of a damper's two halves [kg]: the tube with its oil, and the rod with its piston and cover."""

    tube: float
    rod: float


def halves(
    single: bool, bore: float, outside: float, rod: float, tube_length: float, short: float, stroke: float
) -> Halves:
    """Return what a damper's halves weigh.

    Parameters
    ----------
    single : bool
        A monotube; else two tubes of a wall of 2 mm.
    bore, outside, rod : float
        Diameters [m].
    tube_length, short, stroke : float
        Of the tube without its eye, of the damper fully in, and how far it goes out [m].
    """
    round_rod, room = disc(rod), disc(bore)
    inside = room if single else disc(outside - 2.0 * WALL)
    # A tube that is given crossed is refused elsewhere; here it weighs nothing.
    steel = max(disc(outside) - inside, 0.0) + (0.0 if single else disc(bore + 2.0 * WALL) - room)
    ring = 0.0 if single else AROUND * max(disc(outside - 2.0 * WALL) - disc(bore + 2.0 * WALL), 0.0)
    oil = (IN_MONOTUBE if single else 1.0) * room - 0.5 * round_rod + ring
    # Its closed end is twice as thick as its wall, as in `Tube`; guide and piston are discs that fill the bore.
    filling, end = STEEL * DISC * room, STEEL * 2.0 * WALL * disc(outside)
    tube = tube_length * (STEEL * steel + OIL * oil) + end + filling + EYE
    cover = 0.0 if single else STEEL * COVER * pi * (outside + 2.0 * CLEAR) * stroke
    return Halves(tube, STEEL * round_rod * (short - ENDS) + filling + cover + EYE)


def _of(truck: Truck, at: Where) -> tuple[Halves, float, str]:
    """Return the halves of a damper, how far off they may be as a share, and what they were computed from."""
    place = at.axle, "dampers", at.name
    tube = *place, "tube"
    built = truck.word(*tube, "construction") or truck.word(*place, "construction")
    single = built in BORES
    given = truck.si("length", *tube, "bore")
    bore = given or BORES.get(built, TWIN_BORE)
    outside = truck.si("length", *tube, "outside_diameter") or (bore + 2.0 * WALL if single else OUTSIDE * bore)
    rod = truck.si("length", *tube, "rod") or ROD.get(built, TWIN_ROD) * bore
    short, long = (truck.known("length", *place, key) for key in ("length_collapsed", "length_extended"))
    short = max(short, 2.0 * ENDS)
    length = truck.si("length", *tube, "length") or short - ENDS
    found = halves(single, bore, outside, rod, length, short, max(long - short, 0.0))
    if given is not None:
        return found, TUBE_OFF, "steel and oil of its tube, its rod and eyes"
    usual = f"a {'monotube' if single else 'twin-tube'} of a usual bore, {1e3 * bore:.0f} mm ({bore / 0.0254:.2g} in)"
    return found, OFF, f"its lengths: steel and oil of {usual}"


def _half(half: str) -> Callable[[Truck, Where], Worth]:
    def value(truck: Truck, at: Where) -> Worth:
        found, off, of = _of(truck, at)
        mass = getattr(found, half)
        return Worth(mass, off * mass, of)

    return value


REACH = "twin-tubes with a bore of 30 to 40 mm, monotubes with one of 36 to 50 mm; a reservoir on the tube comes on top"
SOURCE = "densities of steel and oil; sizes: QC/T 491 and Wang, Automobile Design, from memory; eyes, piston and dust cover: common practice, no source"

RULES = tuple(
    Rule(
        f"{{axle}}.dampers.{{name}}.{half}_mass", f"mass of the damper's {half}", "mass", "its lengths and a usual bore", _half(half),
        REACH, SOURCE, "dampers.md",
    )
    for half in ("tube", "rod")
)  # fmt: skip
