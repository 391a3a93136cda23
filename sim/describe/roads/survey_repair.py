"""What is done about a surveyed profile's spikes, gaps and trend, and the sentence that says so."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.describe.roads.array import Array
from sim.describe.roads.laid import TALLEST_M
from sim.describe.roads.survey_csv import FEWEST_POINTS, Points
from sim.describe.shown import show

STEEPEST = 5.0
"""Steepest slope [m/m] between two points; more is a slip of the unit, or a sheer edge."""

SPIKE_SLOPE = 0.5
"""A spike stands off both of its neighbours by more than this slope [m/m]: no road does over one point."""

SPIKE_TIMES = 6.0
"""How many robust standard deviations of the profile's own bends a spike is larger than."""

SPIKE_POINTS = 11
"""Fewest points from which spikes are looked for."""

MOST_SPIKES = 0.02
"""Share of the points past which they are not spikes but a noisy survey."""

GAP_TIMES = 3.0
"""A distance between points of more than so many usual ones is a gap."""

LEAST_GAP_M, GAP_POINTS = 1.0, 5.0
"""Longest gap that is bridged unless the course says otherwise: this length [m], or so many usual distances."""

LEVEL = 0.002
"""A mean grade below this is not spoken of [m/m]."""


@dataclass(frozen=True)
class Repaired:
    """A profile that can be driven, and what was done to it.

    Attributes
    ----------
    x, z : (n,) arrays
        Distances from the first point and heights above it [m].
    notices : tuple of str
        What was found and done, a sentence each.
    """

    x: Array
    z: Array
    notices: tuple[str, ...]


def repaired(
    points: Points, shown: str, longest_gap_m: float | None = None, remove_spikes: bool = True, remove_trend: bool = False
) -> Repaired:  # fmt: skip
    """Return a profile without spikes, its gaps bridged, its trend as asked.

    Raises
    ------
    ValueError
        If a gap is too long, there are too many spikes, or it is too steep to be a road.
    """
    # Spikes before gaps, as a spike taken out leaves a hole; trend last, over what is driven.
    notices = [points.read]
    kept = np.isfinite(points.z)
    spikes = found_spikes(points.x, points.z) if remove_spikes else np.zeros(points.x.size, bool)
    if spikes.any():
        notices.append(_said_of_spikes(points, spikes, shown))
        kept &= ~spikes
    gaps = _bridged(points, kept, spikes, shown, longest_gap_m)
    if gaps:
        notices.append(gaps)
    x, z, lines = points.x[kept], points.z[kept], points.line[kept]
    if x.size < FEWEST_POINTS:
        raise ValueError(f"{shown} holds {x.size} points: at least {FEWEST_POINTS} are needed")
    slopes = np.diff(z) / np.diff(x)
    # After spikes are out, since one of them is steep as well.
    steep = np.flatnonzero(np.abs(slopes) > STEEPEST)
    if steep.size:
        at = int(steep[0])
        raise ValueError(
            f"{shown}, line {lines[at + 1]}: a slope of {100.0 * slopes[at]:.3g} % from line "
            f"{lines[at]} (at most {100.0 * STEEPEST:g} %): check the units of the header; write a sheer "
            f"edge as a step or plank (up to {show(TALLEST_M, 'distance')}) in the course instead"
        )
    z, trend = _levelled(x, z, shown, remove_trend)
    # From its own first point: a survey's heights are from any datum.
    return Repaired(x - x[0], z - z[0], tuple(notices + trend))


def found_spikes(x: Array, z: Array) -> NDArray[np.bool_]:
    """Return which points are spikes (n,): single readings that no road has.

    Notes
    -----
    A spike is off both of its neighbours the same way, steeper than SPIKE_SLOPE on both sides, and off the straight line
    between them by more than SPIKE_TIMES robust standard deviations of that distance over all points, 1.4826 times the
    median absolute deviation (F. R. Hampel, J. Am. Stat. Assoc. 69, 1974, 383-393). Waves and rough ground make the
    deviation itself large and are left alone; so is a bump of two points or more.
    """
    spikes = np.zeros(x.size, bool)
    known = np.flatnonzero(np.isfinite(z))
    if known.size < SPIKE_POINTS:  # of fewer, the usual bend is not known
        return spikes
    at, height = x[known], z[known]
    # Up into the point and down out of it: signs are alike when it stands off both neighbours.
    before, after = np.diff(height)[:-1], -np.diff(height)[1:]
    slope_before, slope_after = before / np.diff(at)[:-1], after / np.diff(at)[1:]
    share = (at[1:-1] - at[:-2]) / (at[2:] - at[:-2])  # points need not be evenly apart
    off = height[1:-1] - (height[:-2] + share * (height[2:] - height[:-2]))
    # 1.4826 makes it the standard deviation where bends are normally distributed (Hampel 1974).
    usual = 1.4826 * float(np.median(np.abs(off - np.median(off))))
    # The gentler side must be steep: an edge is steep on one side only, and is the road's own.
    steep = (np.minimum(np.abs(slope_before), np.abs(slope_after)) > SPIKE_SLOPE) & (before * after > 0.0)
    spikes[known[1:-1]] = steep & (np.abs(off) > SPIKE_TIMES * usual)
    return spikes


def _said_of_spikes(points: Points, spikes: NDArray[np.bool_], shown: str) -> str:
    count = int(np.count_nonzero(spikes))
    lines = points.line[spikes]
    where = ", ".join(map(str, lines[:5])) + (", …" if count > 5 else "")
    if count > max(3, MOST_SPIKES * points.x.size):  # three are let pass in a short file, of which 2 % is none
        raise ValueError(
            f"{shown}, line {lines[0]}: {count} of {points.x.size} points stand out like spikes (lines {where}): that is a "
            "noisy survey; smooth it or measure again, or write spikes: keep"
        )
    return (
        f"{shown}: {count} spike{'s' if count > 1 else ''} taken out (line{'s' if count > 1 else ''} {where}): a single "
        f"reading steeper than {100.0 * SPIKE_SLOPE:g} % both ways; if it is real, write spikes: keep"
    )


def _bridged(
    points: Points, kept: NDArray[np.bool_], spikes: NDArray[np.bool_], shown: str, longest_gap_m: float | None
) -> str:
    """Return what is said of the gaps, nothing if there are none."""
    measured = np.isfinite(points.z)
    # A cubic carried past its last reading goes anywhere.
    if not (measured[0] and measured[-1]):
        at = 0 if not measured[0] else -1
        raise ValueError(
            f"{shown}, line {points.line[at]}: no height at its {'start' if at == 0 else 'end'}: delete the line; "
            "a profile cannot be carried past its last reading"
        )
    numbers = np.flatnonzero(kept)
    wide = np.diff(points.x[numbers])
    # The median: the gaps themselves must not count as usual.
    usual = float(np.median(np.diff(points.x)))
    between = np.diff(numbers) - 1
    # A spike taken out is spoken of already, and its hole is bridged by its neighbours.
    only_spikes = (between > 0) & (np.diff(np.cumsum(spikes)[numbers]) == between)
    holes = (np.diff(numbers) > 1) | (wide > GAP_TIMES * usual)
    holes &= ~only_spikes
    if not holes.any():
        return ""
    longest = int(np.argmax(np.where(holes, wide, 0.0)))
    # In a coarse survey, points are far apart anyway: there a gap is judged by the usual distance.
    limit = longest_gap_m if longest_gap_m is not None else max(LEAST_GAP_M, GAP_POINTS * usual)
    line = points.line[numbers[longest]]
    if wide[longest] > limit * (1.0 + 1e-9):  # as long as the limit is allowed, whatever rounding says
        raise ValueError(
            f"{shown}, line {line}: a gap of {show(float(wide[longest]), 'distance')} follows, longer than the {show(limit, 'distance')} that are bridged: "
            "survey it again, cut the file in two, or allow it with e.g. longest_gap: "
            f"{np.ceil(10.0 * wide[longest]) / 10.0:g} m"
        )
    count = int(np.count_nonzero(holes))
    return (
        f"{shown}: {count} gap{'s' if count > 1 else ''} bridged by the curve through the points around, the longest "
        f"{show(float(wide[longest]), 'distance')} after line {line}; what lay in it is not known"
    )


def _levelled(x: Array, z: Array, shown: str, remove_trend: bool) -> tuple[Array, list[str]]:
    """Return the heights, without their straight line of least squares if that is asked, and what is said of it."""
    along = x - np.mean(x)
    # Least squares: the two end points alone would rest on two readings.
    grade = float(np.sum(along * (z - np.mean(z))) / np.sum(along**2))
    if remove_trend:
        said = f"{shown}: its mean grade of {100.0 * grade:.2f} % (least squares) taken out"
        return z - grade * along, [said]
    if abs(grade) <= LEVEL:  # too small to be worth a sentence
        return z, []
    # Kept unless asked: a real hill is as likely as a drifting instrument, and the file cannot tell which.
    return z, [
        f"{shown}: a mean grade of {100.0 * grade:.2f} % ({show(float(z[-1] - z[0]), 'distance')} from end to end) is kept: the truck meets "
        "it as a kink. If the survey drifts, or the grade is not wanted, write trend: remove"
    ]
