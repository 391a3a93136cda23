"""Quantiles of the normal distribution against Python's own, SciPy's, and a table."""

from statistics import NormalDist

import numpy as np
import pytest
from scipy.special import ndtri

from sim.study.doubt.normal import quantiles

NEAR_ENDS = (
    1e-300,
    1e-40,
    1e-20,
    1e-12,
    1.3e-11,
    1.5e-11,
    1e-6,
    0.0749999,
    0.0750001,
    0.9249999,
    0.9250001,
    1.0 - 1e-15,
)


def test_they_are_those_of_two_libraries():
    shares = np.concatenate([np.random.default_rng(5).random(4000), NEAR_ENDS, [0.5]])
    found = quantiles(shares)
    one_by_one = np.array([NormalDist().inv_cdf(share) for share in shares.tolist()])
    assert found == pytest.approx(one_by_one, rel=2e-15, abs=1e-16)
    assert found == pytest.approx(ndtri(shares), rel=3e-15, abs=1e-15)


def test_a_table():
    """A. Hald, Statistical Tables and Formulas (1952), as any table of the normal distribution has them; from memory."""
    shares = np.array([[0.5, 0.84134475], [0.975, 0.99865010]])
    assert quantiles(shares) == pytest.approx(np.array([[0.0, 1.0], [1.959964, 3.0]]), abs=1e-6)


def test_the_very_ends_have_no_end():
    assert quantiles(np.array([0.0, 1.0])).tolist() == [-np.inf, np.inf]
