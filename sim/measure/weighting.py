"""Frequency weightings of ISO 2631-1:1997 for vibration of a seated person, with the filters of ISO 8041.

Two ways of one filter: its response by frequency, and the filter of a sampled signal, which is exact for a signal that
runs straight between its samples (first-order hold), whatever the sample rate.
"""

from dataclasses import dataclass
from functools import lru_cache
from math import inf, isinf, pi, sqrt

import numpy as np
import numpy.typing as npt

from sim.kernel.filters import sum_of_second_orders
from sim.kernel.sums import HELD, SECTIONS, add_up_filtered
from sim.machine.jit import BLOCK
from sim.measure.signals import in_blocks

Array = npt.NDArray[np.float64]

# A quality of 1/sqrt(2) is what makes a second order a Butterworth.
LOW_HZ, HIGH_HZ, BAND_Q = 0.4, 100.0, 1.0 / sqrt(2.0)
"""Band limits of every weighting, second-order Butterworth."""


@dataclass(frozen=True)
class Weighting:
    """One weighting: acceleration-velocity transition and, for Wk, the upward step.

    Attributes
    ----------
    name : str
        As the standard calls it.
    f3, f4, q4 : float
        Transition [Hz], [Hz], [-].
    f5, q5, f6, q6 : float
        Upward step; inf where there is none.
    """

    name: str
    f3: float
    f4: float
    q4: float
    f5: float = inf
    q5: float = 1.0
    f6: float = inf
    q6: float = 1.0

    def response(self, frequency_hz: npt.ArrayLike) -> npt.NDArray[np.complex128]:
        """Return the complex weight at frequencies [Hz]."""
        s = 2j * pi * np.asarray(frequency_hz, float)
        h = np.ones_like(s)
        for numerator, denominator in self._sections():
            h = h * np.polyval(numerator, s) / np.polyval(denominator, s)
        return h

    def factor(self, frequency_hz: npt.ArrayLike) -> Array:
        """Return the weight without phase."""
        return np.abs(self.response(frequency_hz))

    def _sections(self) -> list[tuple[list[float], list[float]]]:
        """Return numerators and denominators in s of the filter, a section each."""
        w1, w2, w3, w4 = (2.0 * pi * f for f in (LOW_HZ, HIGH_HZ, self.f3, self.f4))
        sections = [
            # Slower vibration causes sickness; the standard has another weighting for that, which is not used here.
            ([1.0, 0.0, 0.0], [1.0, w1 / BAND_Q, w1 * w1]),
            ([w2 * w2], [1.0, w2 / BAND_Q, w2 * w2]),
            # Flat in acceleration below f3, in velocity above f4.
            ([1.0 / w3, 1.0], [1.0 / w4**2, 1.0 / (self.q4 * w4), 1.0]),
        ]
        if not isinf(self.f5):
            w5, w6 = 2.0 * pi * self.f5, 2.0 * pi * self.f6
            scale = (w5 / w6) ** 2  # so that the step has a weight of one above it (ISO 8041)
            sections.append(
                (
                    [scale / w5**2, scale / (self.q5 * w5), scale],
                    [1.0 / w6**2, 1.0 / (self.q6 * w6), 1.0],
                )
            )
        return sections

    def filtered(self, acceleration: Array, step_s: float) -> Array:
        """Return the weighted signal of samples (n,), or (n, lanes), every `step_s`, at rest before the first one."""
        numerators, denominators = discrete(self, step_s)
        # A single signal runs as one lane, so that both give the same numbers.
        given = np.ascontiguousarray(acceleration, np.float64)
        lanes = given.reshape(len(given), -1)
        weighted, memory = np.zeros_like(lanes), np.zeros((2, len(numerators), lanes.shape[1]))
        sum_of_second_orders(lanes, numerators, denominators, memory, weighted)
        return weighted.reshape(given.shape)

    def mean_square(self, acceleration: Array, step_s: float, weights: Array) -> Array:
        """Return the sum of weights (n,) x squares of the weighted signals of samples (n, lanes), (lanes,): none of the signals is kept."""
        factors = self.sections(step_s)
        sums = []
        for _, many in in_blocks(acceleration):
            memory = np.zeros((HELD + 1) * BLOCK)
            add_up_filtered(many, factors, weights, memory)
            sums.append(memory[HELD * BLOCK :])
        return np.concatenate(sums)[: acceleration.shape[1]]

    def sections(self, step_s: float) -> Array:
        """Return the sampled filter as `sim.kernel.sums` takes it (SECTIONS, 5)."""
        numerators, denominators = discrete(self, step_s)
        factors = np.zeros((SECTIONS, 5))
        factors[: len(numerators)] = np.concatenate([numerators, denominators[:, 1:]], axis=1)
        return factors

    def modes(self) -> tuple[npt.NDArray[np.complex128], npt.NDArray[np.complex128]]:
        """Return the poles [rad/s] in the upper half plane and their residues: twice the real part adds up to the filter."""
        above, below = np.array([1.0]), np.array([1.0])
        for numerator, denominator in self._sections():
            above, below = np.polymul(above, numerator), np.polymul(below, denominator)
        # Roots of each section and not of the product, whose high order would cost digits.
        every = np.concatenate([np.roots(denominator) for _, denominator in self._sections()]).astype(np.complex128)
        poles: npt.NDArray[np.complex128] = every[every.imag > 0.0]  # each stands for its conjugate too
        # Residue at a simple pole: numerator over the derivative of the denominator.
        residues = np.polyval(above, poles) / np.polyval(np.polyder(below), poles)
        return poles, residues.astype(np.complex128)


@lru_cache(maxsize=16)
def discrete(weighting: Weighting, step_s: float) -> tuple[Array, Array]:
    """Return numerators and denominators (m, 3) of the sampled filter, recursions of second order that add up.

    Every mode y' = p y + r u is solved for a u that runs straight over a step h (first-order hold):
    y_1 = exp(p h) y_0 + r (A - B) u_0 + r B u_1, A = (exp(p h) - 1)/p, B = (exp(p h) - 1 - p h)/(p² h).
    """
    poles, residues = weighting.modes()
    # A real pole has no partner and would be left out without a word.
    if 2 * len(poles) != sum(len(below) - 1 for _, below in weighting._sections()):
        raise ValueError(f"{weighting.name}: a section without an oscillating pair of poles")
    x = poles * step_s
    step = np.exp(x)
    # expm1, since at a short step exp(x) - 1 would cancel most of its digits.
    a, b = np.expm1(x) / poles, (np.expm1(x) - x) / (poles * x)
    late, early = residues * b, residues * (a - b)  # what the new sample adds, and the one before
    # A mode and its conjugate in one recursion of second order, with real factors.
    numerators = 2.0 * np.real(np.array([late, early - late * np.conj(step), -early * np.conj(step)])).T
    denominators = np.array([np.ones(len(x)), -2.0 * step.real, np.abs(step) ** 2]).T
    return np.ascontiguousarray(numerators), np.ascontiguousarray(denominators)


WK = Weighting("Wk", 12.5, 12.5, 0.63, 2.37, 0.91, 3.35, 0.91)
"""Upward, on a seat."""

WD = Weighting("Wd", 2.0, 2.0, 0.63)
"""Fore and aft, sideways, on a seat."""

WE = Weighting("We", 1.0, 1.0, 0.63)
"""Rotation of a seat."""

WC = Weighting("Wc", 8.0, 8.0, 0.63)
"""Fore and aft at the backrest."""

WEIGHTINGS = {w.name: w for w in (WK, WD, WE, WC)}
