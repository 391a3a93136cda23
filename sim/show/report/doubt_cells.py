"""What the numbers in doubt leave open of one difference: its band, what that comes to, and the few words that a table has for it."""

from math import isfinite, nan

from sim.describe.shown import show_part
from sim.measure.band import Band
from sim.measure.change import band_of, changed
from sim.measure.comparison import Comparison
from sim.measure.measure import Measure
from sim.measure.verdict import trusted
from sim.show.report.cells import decimals_of_a_band
from sim.study.doubt.study import Doubted

TOO_CLOSE, SAME = "?", "="
"""Beside a difference whose band leaves open which is better; beside one that is less than a person would notice."""

OPEN = "too close to call"


def judged(comparison: Comparison, doubted: Doubted, setup: str, measure: Measure) -> tuple[Band | None, str]:
    """Return the band of a difference, numerical errors included, and what it comes to, by the rule of the verdict.

    None and "" where no band is known. A band of nothing but zero stays so.
    """
    band = doubted.differences.get(setup, {}).get(measure.name)
    if band is None:
        return None, ""
    if band.low == band.high == 0.0:
        return band, "same"
    one, two = (trusted(comparison, name, measure) for name in (doubted.from_which(setup), setup))
    return band_of(one, two, band), changed(measure, one, two, band).outcome


def tells(said: str) -> bool:
    """Return whether a cell says more than that nothing is known there, or that nobody would notice the difference."""
    text = said.strip()
    return text not in ("-", "the same") and not text.endswith(f" {SAME}")


FAR = 10.0
"""An end of a band so many times the figure itself is said in words: its number says no more than that it may be far more."""


def _end(end: float, around: float, text: str) -> str:
    if not (isfinite(around) and around != 0.0 and abs(end) > FAR * abs(around)):
        return text
    return "far more" if end > 0.0 else "far less"


def cell(comparison: Comparison, doubted: Doubted, setup: str, measure: Measure) -> str:
    """Return the band of a difference as a table on the screen has it, with its mark."""
    band, outcome = judged(comparison, doubted, setup, measure)
    if band is None:
        return "-  "
    mark = f" {TOO_CLOSE if outcome == OPEN else SAME if outcome == 'same' else ' '}"
    if not (isfinite(band.low) and isfinite(band.high)):
        return f"never: {band.unknown} tries{mark}" if band.unknown else f"not known{mark}"
    if band.low == band.high == 0.0:
        return "the same  "
    quantity = "warmth" if measure.quantity == "temperature" else measure.quantity
    low, high = (show_part(end, quantity)[0] for end in (band.low, band.high))
    # As many digits as the width of the band is worth.
    size = max(abs(low), abs(high), 1e-12)
    first = trusted(comparison, doubted.from_which(setup), measure)
    around = show_part(first.value, quantity)[0] if first is not None and isfinite(first.value) else nan
    # As many digits as the near end is worth where the far one is said in words.
    near = [abs(end) for end in (low, high) if not around or not abs(end) > FAR * abs(around)]
    size = max([*near, 1e-12]) if near else size
    return " to ".join(_end(end, around, with_sign(end, size, quantity)) for end in (low, high)) + mark


def with_sign(number: float, size: float, quantity: str) -> str:
    """Return an end of a band with its sign, in as many digits as a size is worth."""
    decimals = decimals_of_a_band(size, quantity)
    text = f"{number:+.{decimals}f}"
    return "0" if float(text) == 0.0 else text
