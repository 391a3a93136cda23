"""A signal's strength by third octaves."""

import numpy as np

from sim.integrate.traces import Array

NUMBERS = np.arange(-3, 20)
CENTRES_HZ: Array = 10.0 ** (NUMBERS / 10.0)
"""Exact centres of the bands of nominally 0.5 to 80 Hz (IEC 61260-1, base ten)."""


def band_rms(signal: Array, step_s: float) -> Array:
    """Return the RMS (23,) of a signal (n,) in each third octave of CENTRES_HZ.

    By Parseval's theorem over the whole record; a line on the edge of two bands is shared by how much of it lies in each.
    """
    n = signal.size
    # twice: the other half of the spectrum mirrors this one
    power = 2.0 * np.abs(np.fft.rfft(signal - np.mean(signal))) ** 2 / n**2
    if n % 2 == 0:
        power[-1] *= 0.5  # but the last line of an even record has no twin
    width = 1.0 / (n * step_s)
    # Energy up to a frequency, every line spread evenly over its own width.
    edges = np.concatenate(([0.0], (np.arange(power.size) + 0.5) * width))
    sums = np.concatenate(([0.0], np.cumsum(power)))
    # Bands are a tenth of a decade wide, half of it either side of the centre (base ten, IEC 61260-1).
    low, high = CENTRES_HZ * 10.0**-0.05, CENTRES_HZ * 10.0**0.05
    # Rounding may leave an empty band a little below zero.
    rms: Array = np.sqrt(np.maximum(np.interp(high, edges, sums) - np.interp(low, edges, sums), 0.0))
    return rms
