"""How sure a difference is: the band within which it lies."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Band:
    """A range that holds a difference 95 times in 100.

    Attributes
    ----------
    low, high : float
        Ends of the difference, other set-up minus reference, in the measure's SI unit.
    """

    low: float
    high: float
