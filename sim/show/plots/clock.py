"""Scales of long runs: time with the distance driven beside it, and temperature in both systems."""

from dataclasses import dataclass, field
from math import ceil, floor

import numpy as np

from sim.describe.shown import ZEROS, shown_units
from sim.integrate.traces import Array
from sim.show.plots.scale import Scale, Ticks, nice_step


def _round_values(low: float, high: float, about: int) -> list[float]:
    step = nice_step(max((high - low) / about, 1e-6))
    # Whole multiples of the step; the hair keeps an end that rounding put just outside.
    return [step * number for number in range(ceil(low / step - 1e-9), floor(high / step + 1e-9) + 1)]


@dataclass(frozen=True)
class Clock(Scale):
    """Time [s], shown in minutes, and below it in kilometres and miles driven, which stand still while the truck does.

    Attributes
    ----------
    time_s, distance_m : (n,) arrays
        When it was how far.
    """

    time_s: Array = field(default_factory=lambda: np.zeros(1))
    distance_m: Array = field(default_factory=lambda: np.zeros(1))

    def ticks(self) -> tuple[Ticks, ...]:
        """Return minutes, then kilometres, then miles, or one of them."""
        minutes = _round_values(self.low / 60.0, self.high / 60.0, self.about)
        rows = [Ticks(tuple(60.0 * m for m in minutes), tuple(f"{m:g}" for m in minutes), "min")]
        # Parked, distance stands still while time goes on: interpolation needs it to rise, so those samples go.
        moved = np.concatenate([[True], np.diff(self.distance_m) > 0.0])
        time, distance = self.time_s[moved], self.distance_m[moved]
        for metres, unit, _ in shown_units("travelled"):
            values = _round_values(0.0, float(distance[-1]) / metres, self.about)
            # Distance is no straight function of time, so its ticks are not evenly spaced.
            at = np.interp(np.array(values) * metres, distance, time)
            rows.append(Ticks(tuple(map(float, at)), tuple(f"{v:g}" for v in values), unit))
        return tuple(rows)


class Thermometer(Scale):
    """Temperature [K], shown in °C and °F."""

    def ticks(self) -> tuple[Ticks, ...]:
        """Return round degrees of both scales."""
        rows = []
        for degree, unit, _ in shown_units("temperature"):
            # °C and °F differ by their zero too, so round degrees are sought in each scale by itself.
            zero = ZEROS["temperature", unit]
            values = _round_values((self.low - zero) / degree, (self.high - zero) / degree, self.about)
            labels = tuple(f"{v:g}".replace("-", "−") for v in values)
            rows.append(Ticks(tuple(v * degree + zero for v in values), labels, unit))
        return tuple(rows)
