"""How sure a difference is: the band within which it lies."""

from dataclasses import dataclass
from math import isfinite


@dataclass(frozen=True)
class Band:
    """A range that holds a difference 95 times in 100.

    Attributes
    ----------
    low, high : float
        Ends of the difference, other set-up minus reference, in the measure's SI unit; infinite where it is not reached.
    unknown, draws : int
        In how many draws it is not known, and of how many; zero where nobody counted.
    """

    low: float
    high: float
    unknown: int = 0
    draws: int = 0

    @property
    def known(self) -> bool:
        """Whether both ends are."""
        return isfinite(self.low) and isfinite(self.high)
