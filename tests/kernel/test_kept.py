"""What is kept of a time history in one pass, against the same by whole arrays."""

import numpy as np
import pytest

from sim.kernel.kept import AT_ONCE, SUMS, add_up_felt, gather
from sim.kernel.sums import HELD
from sim.machine.jit import FEW
from sim.measure.weighting import WK

SUMMED = slice(HELD, HELD + SUMS)


@pytest.mark.parametrize("outputs", [1, AT_ONCE - 1, AT_ONCE, AT_ONCE + 1, 5 * AT_ONCE + 7])
def test_extremes_and_columns_are_those_of_the_whole(outputs):
    trace = np.random.default_rng(3).normal(size=(outputs, 13))
    wanted = np.array([12, 0, 7, 7], np.int64)
    # Memory that an earlier, longer piece has left.
    columns, extremes = np.full((4, outputs + 2), np.nan), np.full((2, 13), np.nan)
    gather(trace, wanted, columns, extremes[0], extremes[1])
    assert np.array_equal(columns[:, :outputs], trace[:, wanted].T)
    assert np.isnan(columns[:, outputs:]).all()
    assert np.array_equal(extremes, [trace.min(axis=0), trace.max(axis=0)])


def felt(signals, pieces):
    memory = np.zeros((HELD + SUMS, FEW))
    for first, last in pieces:
        # The first sample of a piece is the last one of the piece before.
        add_up_felt(signals[max(first - 1, 0) : last], min(first, 1), WK.sections(1e-3), memory.reshape(-1))
    return memory[SUMMED]


def test_sums_of_pieces_are_those_of_the_weighted_whole():
    signals = np.random.default_rng(4).normal(size=(900, FEW))
    weighted = WK.filtered(signals, 1e-3)
    expected = [(signals**2).sum(axis=0), (weighted**2).sum(axis=0), (weighted**4).sum(axis=0)]
    assert felt(signals, [(0, 900)]) == pytest.approx(np.array(expected), rel=1e-12)
    assert felt(signals, [(0, 1), (1, 400), (400, 900)]) == pytest.approx(np.array(expected), rel=1e-12)


def test_a_sine_weighs_what_its_frequency_does():
    """The filter's gain at 8 Hz by its own response in frequency: mean squares are in the ratio of its square."""
    time = np.arange(40_000) * 1e-3
    signals = np.zeros((time.size, FEW))
    signals[:, 1] = np.sin(2.0 * np.pi * 8.0 * time)
    # From 10 s on, what the start has left in the filter has died away.
    sums = felt(signals, [(0, time.size)]) - felt(signals, [(0, 10_000)])
    gain = abs(WK.response(np.array([8.0]))[0])
    assert sums[1, 1] / sums[0, 1] == pytest.approx(gain**2, rel=1e-3)
    # A sine's fourth power is 3/8 where its square is 1/2.
    assert sums[2, 1] / sums[1, 1] == pytest.approx(0.75 * gain**2, rel=1e-3)
    assert not sums[:, [0, 2, 3]].any()
