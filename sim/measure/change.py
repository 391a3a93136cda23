"""One figure of a set-up against the reference's: better, worse, the same, or too close to call.

The word follows the band of the difference wherever there is one: its sign says which is better, and only a band that holds zero leaves
it open.
"""

from dataclasses import dataclass, replace
from math import inf, isfinite, isnan, nan
from typing import Literal

from sim.measure.band import Band
from sim.measure.measure import Measure
from sim.measure.noticed import NOTICED, Noticed, Size, size_of
from sim.measure.table import Value

Outcome = Literal["same", "better", "worse", "mixed", "too close to call", "not known", "not judged"]


@dataclass(frozen=True)
class Change:
    """One figure of a set-up against the reference.

    Attributes
    ----------
    measure : Measure
    reference, other : float
        In SI; nan where it does not apply, inf where it is not reached within the run.
    outcome : "same", "better", "worse", "too close to call" or "not known"; "not judged" of a set-up that is flagged, or whose reference is
    size : "same", "a little", "clearly" or "much"
        "same" unless the outcome is better or worse.
    times : float
        How many smallest noticed differences the figures are apart; nan where that is not known.
    band : Band or None
        What the difference lies within; None where nothing is known of it.
    """

    measure: Measure
    reference: float
    other: float
    outcome: Outcome
    size: Size
    times: float
    band: Band | None = None

    @property
    def difference(self) -> float:
        """Other minus reference [SI]; zero where both are not reached."""
        return 0.0 if self.reference == self.other else self.other - self.reference

    @property
    def at_central_values(self) -> bool:
        """Whether its size is of the central values alone: it has one, but in some draws it is not known."""
        return self.band is not None and isfinite(self.difference) and not self.band.known

    @property
    def likely(self) -> float:
        """The other figure as it most likely is: as the run has it, or at the near end of a band that leaves that out.

        The run is of the central values, and of a figure that bends or jumps these need not lie within what the draws come to.
        """
        if self.band is None or not isfinite(self.difference):
            return self.other
        within = min(max(self.difference, self.band.low), self.band.high)
        return self.other if within == self.difference else self.reference + within

    @property
    def share(self) -> float:
        """Size of the difference as a share of the reference; nan where that says nothing."""
        if not isfinite(self.difference) or self.reference == 0.0:
            return nan
        return abs(self.difference / self.reference)


def noticed_of(measure: Measure) -> Noticed:
    """Return the smallest noticed difference of a measure."""
    key = measure.carries.noticed if measure.carries else ""
    return NOTICED[key or measure.quantity]


def changed(measure: Measure, reference: Value | None, other: Value | None, doubt: Band | None = None) -> Change:
    """Judge one figure against the reference's.

    Parameters
    ----------
    measure : Measure
        With a way that is better.
    reference, other : Value or None
        None: the set-up has no such measure.
    doubt : Band, optional
        Of other minus reference. What the numerical errors leave open comes on top.

    Returns
    -------
    Change
        *too close to call*: the band holds zero, and more than what is not noticed. Else the sign of the band says which is better, and
        the difference, or the end of the band that is nearest to it, how much; *same*: that is less than a person would notice.
    """
    one = nan if reference is None else reference.value
    two = nan if other is None else other.value
    noticed = noticed_of(measure)
    times = noticed.times(one, two)
    if isnan(times):
        return Change(measure, one, two, "not known", "same", times)
    band = band_of(reference, other, doubt)
    if band is not None and leaves_open(band, measure, one, two):
        return Change(measure, one, two, "too close to call", "same", times, band)
    likely = Change(measure, one, two, "same", "same", times, band).likely
    times = noticed.times(one, likely)
    size = size_of(times)
    if size == "same":
        return Change(measure, one, two, "same", "same", times, band)
    better = (likely < one) == (measure.better == "less")
    return Change(measure, one, two, "better" if better else "worse", size, times, band)


def band_of(reference: Value | None, other: Value | None, doubt: Band | None) -> Band | None:
    """Return what a difference lies within: the doubt, widened by both numerical errors; None where neither is known."""
    one = nan if reference is None else reference.value
    two = nan if other is None else other.value
    errors = [value.error for value in (reference, other) if value is not None and not isnan(value.error)]
    if doubt is None and not errors:
        return None
    # From inf nothing can be taken off; with a doubt its band says all that is known.
    middle = 0.0 if one == two else two - one
    low, high = (middle, middle) if doubt is None else (doubt.low, doubt.high)
    error = sum(errors)
    # Not reached by either step: the error of that is none, and inf less inf is no number.
    if not isfinite(error):
        low, high, error = -inf, inf, 0.0
    return replace(doubt or Band(0.0, 0.0), low=low - error, high=high + error)


def leaves_open(band: Band, measure: Measure, *around: float) -> bool:
    """Return whether a band leaves open which is better: it holds zero, and more than a person would not notice.

    Parameters
    ----------
    band : Band
        Of a difference.
    measure : Measure
    *around : float
        The figures that differ, of which a share may be what is noticed; those that are finite count.
    """
    noticed = noticed_of(measure)
    known = [abs(value) for value in around if isfinite(value)]
    # All of it under what is noticed: then it is the same, whichever way it goes.
    least = max(noticed.floor, noticed.share * min(known)) if known else noticed.floor
    if -least < band.low and band.high < least:
        return False
    return band.low <= 0.0 <= band.high
