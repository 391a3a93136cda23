"""One axis of a panel: its range in SI, and ticks in each unit system."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil, floor, isfinite, log10

import numpy as np

from sim.describe.shown import show_parts
from sim.integrate.traces import Array
from sim.show.plots.envelope import drawable

LEAST_SPAN = {
    "length": 0.01, "distance": 1.0, "angle": 0.004, "force": 200.0, "speed": 0.05, "time": 0.01, "acceleration": 0.02,
    "torque": 100.0, "percent": 0.02, "road_speed": 0.5, "number": 1.0, "rate": 0.5,
}  # fmt: skip
"""Least range of an axis [SI], so that rounding is not drawn as motion."""


@dataclass(frozen=True)
class Ticks:
    """Ticks of one unit: where [SI], what they say, and the unit."""

    at: tuple[float, ...]
    labels: tuple[str, ...]
    unit: str


@dataclass(frozen=True)
class Scale:
    """A range [SI] of a quantity that `sim.describe.shown.show` knows, with about so many ticks."""

    low: float
    high: float
    quantity: str
    about: int = 6

    @property
    def span(self) -> float:
        """Length of the range [SI]."""
        return self.high - self.low

    def ticks(self) -> tuple[Ticks, ...]:
        """Return the ticks in metric and, where the trade has one, in inch units."""
        return tuple(
            _ticks(self.low * factor, self.high * factor, factor, unit, self.about)
            for factor, unit in show_parts(1.0, self.quantity)
        )


class Along(Scale):
    """A range of time or distance that a run goes along from its start: a page can lay a cursor over it."""


def scale_of(
    arrays: Iterable[Array], quantity: str, include: Iterable[float] = (), pad: float = 0.05,
    about: int = 6,
) -> Scale:  # fmt: skip
    """Return a scale that holds all arrays and the values in `include` [SI]."""
    # A level that does not exist comes as infinite or nan and must not stretch the range.
    ends = [float(value) for value in include if isfinite(value)]
    for array in arrays:
        known = drawable(array)
        known = known[~np.isnan(known)]
        if known.size:
            ends += [float(known.min()), float(known.max())]
    low, high = (min(ends), max(ends)) if ends else (0.0, 0.0)
    # Short ranges grow evenly both ways, so that what hardly moves lies in the middle.
    lacking = max(LEAST_SPAN[quantity] - (high - low), 0.0)
    margin = pad * (high - low) + lacking / 2.0
    return Scale(low - margin, high + margin, quantity, about)


def _ticks(low: float, high: float, factor: float, unit: str, about: int) -> Ticks:
    step = nice_step((high - low) / about)
    # A hair of room, or rounding drops a tick that stands exactly at an end.
    first, last = ceil(low / step - 1e-9), floor(high / step + 1e-9)
    # As many digits as the step has: fewer and two ticks read alike, more and they claim too much.
    decimals = max(0, -floor(log10(step) + 1e-9))
    if round(step * 10**decimals, 6) % 1:  # 0.25 needs one more
        decimals += 1
    values = [number * step for number in range(first, last + 1)]
    labels = tuple(f"{value:.{decimals}f}".replace("-", "−") for value in values)
    return Ticks(tuple(value / factor for value in values), labels, unit)


def nice_step(least: float, steps: Sequence[float] = (1.0, 2.0, 2.5, 5.0, 10.0)) -> float:
    """Return the smallest step of 1, 2, 2.5 or 5 times a power of ten that is not below `least`."""
    power = 10.0 ** floor(log10(least))
    # The hair keeps a step that is exactly enough from being passed over for the next one.
    return power * next(step for step in steps if step * power >= least * (1 - 1e-9))
