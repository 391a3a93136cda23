"""Scales on which equal steps are equal ratios; their values are log10 of the quantity in SI."""

import numpy as np

from sim.describe.shown import show_parts
from sim.show.plots.scale import Scale, Ticks

ROUND = tuple(number * 10.0**power for power in range(-6, 9) for number in (1.0, 2.0, 5.0))
TENS = tuple(10.0**power for power in range(-9, 10))


class ByDoubling(Scale):
    """Ticks at 1, 2 and 5 of each power of ten, in the quantity's first unit."""

    marks: tuple[float, ...] = ROUND

    def ticks(self) -> tuple[Ticks, ...]:
        """Return the ticks inside the range."""
        (factor, unit), *_ = show_parts(1.0, self.quantity)
        # The hair of 0.1 % keeps a tick at an end that the logarithm put just outside.
        inside = [n for n in self.marks if 10.0**self.low * 0.999 <= n / factor <= 10.0**self.high * 1.001]
        # One unit system only: round numbers of two would stand at different places along one axis.
        return (Ticks(tuple(float(np.log10(n / factor)) for n in inside), tuple(f"{n:g}" for n in inside), unit),)


class ByTens(ByDoubling):
    """Ticks at powers of ten."""

    marks = TENS
