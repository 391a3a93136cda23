"""What sliders change in a damper's curve: its force each way, below and above the knee, without a new standing.

A curve is a sum of ramps, and the kernel's table of them is linear in their slopes. So a damper's table is what does not move
(where ramps begin, the seal's friction) plus a part for each slider times its factor: the page adds, and lays out nothing.
"""

from dataclasses import dataclass
from functools import lru_cache
from math import inf

import numpy as np
import numpy.typing as npt

from sim.describe.parts.dampers import ramps
from sim.describe.parts.dampers.damper_set import DamperSet
from sim.describe.parts.dampers.laws import Law
from sim.describe.parts.dampers.ramps import COMPRESSION, EXTENSION
from sim.kernel.layout import Knot
from sim.lower.packed import ramp_table

Array = npt.NDArray[np.float64]

WAYS = (("compression", COMPRESSION), ("rebound", EXTENSION))


@dataclass(frozen=True)
class Slider:
    """One stretch of a damper's curve, whose slope a factor multiplies.

    Attributes
    ----------
    way : str
        "compression" or "rebound".
    begin, end : float
        Damper speeds [m/s], both positive, between which it is; `end` is infinite past the knee and without one.
    part : (groups, GROUP_ROWS) array
        What it adds to the damper's table of ramps at a factor of one.
    ramps : tuple of (float, float)
        The same as a sum: from each start [m/s] on, so much more force by speed [N s/m]; both positive either way.
    """

    way: str
    begin: float
    end: float
    part: Array
    ramps: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Curve:
    """A damper's table of ramps, apart by what moves it.

    Attributes
    ----------
    fixed : (groups, GROUP_ROWS) array
        What no slider moves.
    sliders : tuple of Slider
    """

    fixed: Array
    sliders: tuple[Slider, ...]

    def table(self, factors: tuple[float, ...]) -> Array:
        """Return the table of ramps (groups, GROUP_ROWS) with a factor for each slider."""
        moved = (factor * slider.part for factor, slider in zip(factors, self.sliders, strict=True))
        return np.sum([self.fixed, *moved], axis=0)  # type: ignore[no-any-return]


def curve_of(damper: DamperSet) -> Curve:
    """Return a damper's curve apart by its sliders: each way below and above its first knee, or as a whole without one."""
    return _curve(damper.valving, damper.friction)


@lru_cache(maxsize=64)  # set-ups that differ in counts and loads have the same
def _curve(own: Law, friction_n: float) -> Curve:
    law, friction = own.lower(), ramps.friction(friction_n)
    stretches = [
        (way, sense, begin, end)
        for (way, sense), opens in zip(WAYS, own.opens_at(), strict=True)
        for begin, end in (((0.0, opens[0]), (opens[0], inf)) if opens else ((0.0, inf),))
    ]
    # All tables have a ramp wherever any of them has one, so that each ramp has one place in all of them.
    starts = {(knot.sense, knot.start) for knot in (*law, *friction)} | {s[1:3] for s in stretches}
    still = tuple(Knot(sense, start, 0.0) for sense, start in sorted(starts))
    bare = ramp_table(still)
    sliders = []
    for way, sense, begin, end in stretches:
        knots = _stretch(law, sense, begin, end)
        part = ramp_table(still + knots) - bare
        sliders.append(Slider(way, begin, end, part, tuple((knot.start, knot.slope) for knot in knots)))
    return Curve(ramp_table(still + friction), tuple(sliders))


def _stretch(law: tuple[Knot, ...], sense: float, begin: float, end: float) -> tuple[Knot, ...]:
    """Return the ramps that have a law's slope from one speed to another and none elsewhere; on one side."""
    own = sorted(knot[1:] for knot in law if knot.sense == sense)
    before = sum(change for start, change in own if start < begin)
    inside = tuple(Knot(sense, start, change) for start, change in own if begin <= start < end)
    after = before + sum(knot.slope for knot in inside)
    # From nothing up to the slope that the law has there, and back to nothing where the stretch ends.
    up = (Knot(sense, begin, before),) if before else ()
    return up + inside + ((Knot(sense, end, -after),) if end < inf else ())
