"""Rubber bushes of arms and of eyes: how stiff one is across its axis, by its sizes and its hardness."""

from math import log, pi, tanh
from typing import NamedTuple

SHEAR = {50: 0.64e6, 55: 0.81e6, 60: 1.06e6, 65: 1.37e6, 70: 1.73e6}
"""Shear modulus [Pa] of natural rubber by its hardness [IRHD] (P. B. Lindley, Engineering Design with Natural Rubber, from memory)."""

USUAL_HARDNESS = 55
"""Hardness of a bush [IRHD]; common practice, no source."""


class Bush(NamedTuple):
    """A rubber bush, bonded or pressed between a sleeve and an eye: radius inside and outside, length [m]."""

    inner: float
    outer: float
    length: float


OF_ARM, OF_EYE = Bush(0.014, 0.027, 0.050), Bush(0.010, 0.020, 0.060)
"""Bush of a radius or trailing arm, and of the eye of a leaf pack; common practice, no source."""

BUSHES = "bushes by Adkins and Gent, and by Lindley's table of natural rubber, from memory; their sizes: common practice, no source"


def radial_rate(bush: Bush, shear: float) -> float:
    """Return the rate of a bush across its axis [N/m], for a shear modulus [Pa].

    J. E. Adkins and A. N. Gent (British Journal of Applied Physics 5, 1954, from memory) have it for a very short bush, whose rubber is free to bulge at its
    ends, and for a very long one, whose rubber flows around the sleeve alone. Between them the pressure in a thin ring falls off to the ends
    as cosh(z/R), which leaves 1 - tanh(α)/α of what the long one has more, α half of the length over the mean radius R: within 5 % of
    linear elasticity for bushes of such sizes (tests/describe/estimates/test_rubber.py).
    """
    inner, outer = bush.inner**2, bush.outer**2
    around, share = log(bush.outer / bush.inner), (outer - inner) / (outer + inner)
    short = 80.0 * pi * shear * bush.length / (25.0 * around - 9.0 * share)
    long = 4.0 * pi * shear * bush.length / (around - share)
    half = bush.length / (bush.inner + bush.outer)
    return short + (long - short) * (1.0 - tanh(half) / half)
