"""Sums and extremes over time of many lanes: each as a signal by itself has it, whatever stands beside it."""

import numpy as np
import pytest

from sim.measure.comfort import largest_running_rms
from sim.measure.signals import FOLDED, least, mean_square, most, time_mean
from sim.measure.weighting import WD, WEIGHTINGS, WK

STEP_S = 1e-3


def signals(outputs, lanes, seed=7):
    return np.random.default_rng(seed).normal(0.3, 1.0, (outputs, lanes)) * np.linspace(0.1, 9.0, lanes)


@pytest.mark.parametrize("outputs", [2, 3, 5, 1001, 1002, 1003, 1004])
@pytest.mark.parametrize("lanes", [1, 3, 16, 21])
def test_means_of_lanes_are_those_of_each(outputs, lanes):
    """Times apart by more and less, so that every output stands for a share of its own; against NumPy's trapezoids."""
    many = signals(outputs, lanes)
    time_s = np.cumsum(np.random.default_rng(1).uniform(0.5, 1.5, outputs))
    whole = time_s[-1] - time_s[0]
    mean = np.trapezoid(many, time_s, axis=0) / whole
    assert time_mean(many, time_s) == pytest.approx(mean, rel=1e-12, abs=1e-14)
    for about in (0.0, 0.7, mean):
        square = np.trapezoid((many - about) ** 2, time_s, axis=0) / whole
        assert mean_square(many, time_s, about) == pytest.approx(square, rel=1e-12)
        own = about if np.ndim(about) == 0 else about[0]
        assert mean_square(many[:, 0], time_s, own) == pytest.approx(square[0], rel=1e-12)


@pytest.mark.parametrize("name", WEIGHTINGS)
def test_weighted_squares_of_lanes_are_those_of_the_filtered_signals(name):
    weighting, many = WEIGHTINGS[name], signals(1500, 5)
    weights = np.random.default_rng(2).uniform(0.0, 1.0, 1500)
    wanted = np.einsum("i,ij->j", weights, weighting.filtered(many, STEP_S) ** 2)
    assert weighting.mean_square(many, STEP_S, weights) == pytest.approx(wanted, rel=1e-12)


def test_neighbours_do_not_matter():
    """To the last digit: a column by itself, among few, in another place, and in a second block."""
    many, time_s = signals(1203, 19), np.arange(1203) * STEP_S
    weights = np.full(1203, 1.0 / 1203)
    for sums in (
        lambda values: time_mean(values, time_s),
        lambda values: mean_square(values, time_s, 0.2),
        lambda values: WK.mean_square(values, STEP_S, weights),
        lambda values: WD.mean_square(values, STEP_S, weights),
    ):
        every = sums(many)
        assert np.array_equal(sums(many[:, ::-1]), every[::-1])
        for lane in (0, 7, 15, 18):
            assert sums(many[:, lane : lane + 1])[0] == every[lane]


def test_times_of_another_run_have_their_own_shares():
    """What is kept of the times before is of those times alone."""
    many = signals(50, 4)
    for step in (1.0, 2.0):
        for time_s in (np.arange(50) * step, np.arange(50) ** 2 * step + np.arange(50)):
            assert time_mean(many, time_s) == pytest.approx(
                np.trapezoid(many, time_s, axis=0) / (time_s[-1] - time_s[0]), rel=1e-12
            )


@pytest.mark.parametrize("outputs", [1, FOLDED - 1, FOLDED, 2 * FOLDED - 1, 2 * FOLDED, 5 * FOLDED + 3])
@pytest.mark.parametrize("lanes", [1, 9, 16])
def test_extremes_of_lanes_are_those_of_each(outputs, lanes):
    """By Python's own, with the farthest sample anywhere: first, last, among those that are left over; and a lane that blew up."""
    many = signals(outputs, 16)[:, :lanes]  # of a block whose last lanes are empty
    for sample in {0, outputs // 2, outputs - 1}:
        for sign in (1.0, -1.0):
            own = many.copy()
            own[sample] = sign * 100.0
            for values in (many, own):
                assert list(most(values)) == [max(lane) for lane in values.T.tolist()]
                assert list(least(values)) == [min(lane) for lane in values.T.tolist()]
                assert most(values[:, 0]) == max(values[:, 0].tolist())
        lost = many.copy()
        lost[sample, -1] = np.nan
        for of in (most, least):
            assert np.isnan(of(lost)[-1])
            assert np.array_equal(of(lost)[:-1], of(many)[:-1])


@pytest.mark.parametrize("outputs", [1, 40, 300])
def test_the_worst_second_of_lanes_is_that_of_each(outputs):
    many = signals(outputs, 5)
    together = largest_running_rms(many, 0.01)
    for lane, signal in enumerate(many.T):
        assert together[lane] == largest_running_rms(signal, 0.01)
        count = min(100, outputs)
        seconds = [np.mean(signal[at : at + count] ** 2) for at in range(outputs - count + 1)]
        assert together[lane] == pytest.approx(np.sqrt(max(seconds)), rel=1e-10)
