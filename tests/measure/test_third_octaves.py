"""Third octaves: every part of a signal in its own band, and all of it in all of them."""

import numpy as np
import pytest

from sim.measure.third_octaves import CENTRES_HZ, band_rms


@pytest.mark.parametrize("number", [0, 5, 10, 16])
def test_a_sine_is_in_its_band(number):
    time = np.arange(0.0, 20.0, 1e-3)
    hertz = round(20 * CENTRES_HZ[number]) / 20  # whole waves in the record
    found = band_rms(0.8 * np.sin(2 * np.pi * hertz * time), 1e-3)
    assert found[number] == pytest.approx(0.8 / np.sqrt(2), rel=1e-6)
    assert np.max(np.delete(found, number)) < 0.8 * 0.25  # at the lowest, a line is as wide as half a band


def test_bands_add_up():
    """Parseval: squares of all bands are the mean square of a signal of 0.6 to 60 Hz."""
    rng = np.random.default_rng(2)
    n = 30_000
    lines = np.zeros(n // 2 + 1, complex)
    seen = slice(int(0.6 * n * 1e-3), int(60 * n * 1e-3))
    lines[seen] = rng.normal(size=(seen.stop - seen.start, 2)) @ [1, 1j]
    signal = np.fft.irfft(lines, n)
    assert np.sum(band_rms(signal, 1e-3) ** 2) == pytest.approx(np.mean(signal**2), rel=1e-9)


def test_centres_are_the_nominal_ones():
    """IEC 61260-1, base ten: within 2 % of 0.5, 1, 2, 4, 8, 16, 31.5, 63 Hz."""
    for nominal in (0.5, 1, 2, 4, 8, 16, 31.5, 63, 80):
        assert np.min(np.abs(CENTRES_HZ / nominal - 1)) < 0.02
