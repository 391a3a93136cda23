"""The smallest difference that a person would notice, by kind of figure: what is less is the same.

All of them stand in one table. A share is taken of the smaller of the two figures, so that a change and its way back are judged
alike: half the time is as large a step as twice the time. Of a figure near nothing a share says nothing; there the floor holds.
"""

from dataclasses import dataclass
from math import isinf, isnan
from typing import Literal

from sim.describe.doubt import NO_SOURCE

Size = Literal["same", "a little", "clearly", "much"]

STEPS: tuple[tuple[float, Size], ...] = ((4.0, "much"), (2.0, "clearly"), (1.0, "a little"))
"""From how many times the smallest noticed difference on a change has each name; below all of them it is the same."""

RANK: dict[Size, int] = {"same": 0, "a little": 1, "clearly": 2, "much": 3}

WHOLE_BODY = (
    "difference thresholds of whole-body vibration, some 10 to 13 %: N. J. Mansfield and M. J. Griffin, Applied Ergonomics 31 (2000) "
    "255; M. Morioka and M. J. Griffin, J. Acoust. Soc. Am. 107 (2000) 620; from memory"
)
PERCEIVED = "; floor: about what can be felt at all, ISO 2631-1 annex C, from memory"
CALM = "; what is below 0.315 m/s², which the same annex calls not uncomfortable, counts as that, from memory"


@dataclass(frozen=True)
class Noticed:
    """Smallest noticed difference of one kind of figure.

    Attributes
    ----------
    share : float
        Of the smaller of both figures.
    floor : float
        Difference [SI] below which nothing is noticed, however small both are.
    source : str
        Where it comes from.
    calm : float
        Figures [SI] below it count as it: nobody minds either. 0: all count as they are.
    """

    share: float
    floor: float
    source: str = NO_SOURCE
    calm: float = 0.0

    def smallest(self, one: float, other: float) -> float:
        """Return the smallest difference [SI] that is noticed between two figures; they must be finite."""
        return max(self.floor, self.share * min(abs(one), abs(other)))

    def times(self, one: float, other: float) -> float:
        """Return how many smallest noticed differences two figures are apart; nan if one is not known.

        inf (not reached within the run) is infinitely far from any figure, and nothing from itself.
        """
        if isnan(one) or isnan(other):
            return float("nan")
        if one == other:
            return 0.0
        if isinf(one) or isinf(other):
            return float("inf")
        if self.calm:
            one, other = max(one, self.calm), max(other, self.calm)
        return abs(other - one) / self.smallest(one, other)


QUARTER_INCH, DEGREE = 0.00635, 0.017453292519943295

NOTICED: dict[str, Noticed] = {
    # by quantity
    "acceleration": Noticed(0.10, 0.02, WHOLE_BODY + PERCEIVED + CALM, 0.315),
    "dose": Noticed(0.10, 0.04, WHOLE_BODY + PERCEIVED),
    "angular_acceleration": Noticed(0.10, 0.05, WHOLE_BODY + "; floor: common practice, no source"),
    "percent": Noticed(0.10, 0.01),
    "length": Noticed(0.0, QUARTER_INCH),
    "angle": Noticed(0.10, 0.5 * DEGREE),
    "time": Noticed(0.20, 0.1),
    "count": Noticed(0.5, 2.0),
    "number": Noticed(0.20, 0.03),
    "distance": Noticed(0.05, 0.5),
    "road_speed": Noticed(0.05, 1.0 / 3.6),
    "speed": Noticed(0.10, 0.05),
    "force": Noticed(0.10, 100.0),
    "torque": Noticed(0.10, 100.0),
    "power": Noticed(0.10, 10.0),
    "energy": Noticed(0.10, 100.0),
    "rate": Noticed(0.20, 0.2),
    "temperature": Noticed(0.0, 5.0),
    # by what it is of, where a quantity alone does not say it
    "bobs": Noticed(0.0, 0.5),
}
"""By the quantity of a figure, or by a name that its measure gives. A quarter of an inch is what a tape and a shop agree on; its double
and fourfold are the half inch and the inch that lengths are set with. Half a bob is the least that can be counted. One stop hit more or
less is chance: a hair's breadth decides it."""


def size_of(times: float) -> Size:
    """Return the name of a change of so many smallest noticed differences; it must be known."""
    return next((name for least, name in STEPS if times >= least), "same")
