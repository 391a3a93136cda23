"""Our Sobol' sequence against the library's."""

import numpy as np
import pytest
from scipy.stats import qmc

from sim.study.doubt.direction_numbers import NUMBERS
from sim.study.doubt.sequence import sequence


@pytest.mark.parametrize(
    ("count", "dimensions", "seed"),
    [(1, 3, 17), (16, 1, 17), (64, 2, 18), (512, 84, 17), (8192, 40, 19), (128, 256, 17), (32, 300, 17)],
)
def test_points_are_the_library_s_to_the_bit(count, dimensions, seed):
    library = qmc.Sobol(dimensions, scramble=True, rng=np.random.default_rng(seed)).random(count)
    assert np.array_equal(sequence(count, dimensions, seed), library)


def test_there_are_as_many_dimensions_as_are_said():
    assert len(NUMBERS.split()) == 256


@pytest.mark.parametrize("dimensions", [1, 12, 256])
def test_every_number_alone_is_even(dimensions):
    """Of 2^m points one lies in each of 2^m equal parts of every axis (a digital net; I. M. Sobol' 1967)."""
    points = sequence(256, dimensions, 5)
    assert np.array_equal(
        np.sort((points * 256).astype(int), axis=0), np.repeat(np.arange(256)[:, None], dimensions, axis=1)
    )
