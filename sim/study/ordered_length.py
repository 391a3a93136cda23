"""Lengths as springs are ordered: to a millimetre, or to a sixteenth of an inch where the truck is measured in inches."""

from fractions import Fraction

from sim.describe.shown import show, shown_in

INCH = 0.0254

STEP_MM, STEP_INCH = 1e-3, INCH / 16.0
"""Steps [m] in which free lengths and arches are ordered: none is wound nearer, and a tape has no finer marks; common practice, no source."""

NEAR = 1e-4
"""How near a length [m] must be to a sixteenth to be said by it: a set-up has it to a hundredth of an inch."""


def whole(length: float, inches: bool) -> float:
    """Return a length [m] to the step in which it is ordered."""
    step = STEP_INCH if inches else STEP_MM
    return round(length / step) * step


def show_ordered(length: float, inches: bool) -> str:
    """Return a length [m] as an order has it, in the units that are shown; of a truck in inches by the marks of a tape, 18 11/16 in."""
    text = show(length, "length")
    sixteenths = round(length / STEP_INCH)
    if not inches or abs(length - sixteenths * STEP_INCH) > NEAR or not sixteenths:
        return text
    full, part = divmod(abs(sixteenths), 16)
    said = " ".join(filter(None, (str(full) if full else "", str(Fraction(part, 16)) if part else "")))
    return text.replace(show_in_inches(length), f"{'-' if sixteenths < 0 else ''}{said} in")


def show_in_inches(length: float) -> str:
    """Return a length [m] in decimal inches, as they are shown beside it."""
    with shown_in("inch"):
        return show(length, "length")
