"""The trade's word for a force-speed curve, from the curve itself: how force grows against how speed grows."""

from collections.abc import Sequence

from sim.describe.parts.dampers.law import DamperLaw
from sim.describe.parts.dampers.testing import TEST_SPEEDS
from sim.describe.shown import show

ALIKE = 0.10
"""Share by which force over speed may change over the test speeds and the curve is still called linear: the tolerance of its forces."""

RISES, FALLS = "progressive", "digressive"


def side_words(speeds: Sequence[float], forces: Sequence[float]) -> str:
    """Return the word for one direction of a curve.

    Force grows as fast as speed: linear; faster: progressive; slower: digressive. A curve that turns round in between is said in
    two parts.

    Parameters
    ----------
    speeds, forces : sequences of float
        Rising speeds above 0 [m/s] and the forces there [N], both positive.
    """
    if max(forces) <= 0.0:
        return "no force"
    slopes = [force / speed for force, speed in zip(forces, speeds, strict=True)]
    low, high = slopes.index(min(slopes)), slopes.index(max(slopes))
    ends = slopes[0], slopes[-1]
    # Below both ends, or above both, by more than a linear curve may: it turns round there.
    if slopes[low] * (1.0 + ALIKE) < min(ends):
        return f"{FALLS} up to {show(speeds[low], 'speed')}, {RISES} from there"
    if slopes[high] > max(ends) * (1.0 + ALIKE):
        return f"{RISES} up to {show(speeds[high], 'speed')}, {FALLS} from there"
    if max(ends) <= min(ends) * (1.0 + ALIKE):
        return "linear"
    return RISES if ends[1] > ends[0] else FALLS


def curve_words(law: DamperLaw, speeds: Sequence[float] = TEST_SPEEDS) -> str:
    """Return the word for a damper's curve over the test speeds, for both directions where they differ."""
    compression, rebound = (
        side_words(speeds, [abs(float(law.force(sense * speed))) for speed in speeds]) for sense in (1.0, -1.0)
    )
    return compression if compression == rebound else f"compression {compression}; rebound {rebound}"
