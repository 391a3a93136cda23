"""Bands and shares of functions whose answer is known without the simulator: first-order propagation, brute force, textbooks."""

from math import pi, sqrt

import numpy as np
import pytest
from scipy.stats import norm, sobol_indices, truncnorm, uniform

from sim.describe.doubt import Doubt
from sim.describe.doubtful import Doubtful
from sim.study.doubt.fitted import fitted, influence
from sim.study.doubt.study import Outputs
from sim.study.doubt.unknowns import SEED, Unknown, at_shares, draws, moments, scaled

WIDE = 1.959963984540054  # of a normal distribution, 95 % (printed in every table; JCGM 100:2008, table G.1: 1.96)


def unknown(number, centre, half, shape="normal", least=-np.inf):
    doubt = Doubt(f"{centre} +- {half}", shape, centre - half, centre + half, "number", "")
    return Unknown(Doubtful((f"x{number}",), centre, doubt, least), ("one", "two"), True)


def bands(of, function, count=128):
    """The band of the difference between `function` of the draws and nothing."""
    _, values = draws(of, count)
    found = {"reference": np.zeros((count, 1)), "other": function(values)[:, None]}
    out = Outputs(of, values, found, ["y"], "reference")
    _, differences, shares = out.bands()
    return differences["other"]["y"], shares["other"].get("y")


@pytest.mark.parametrize("many", [1, 3, 12, 26])
def test_linear_normal_doubts_give_first_order_propagation(many):
    rng = np.random.default_rng(many)
    slopes = rng.normal(size=many)
    of = [unknown(n, 10.0 * n, 0.1 * (n + 1)) for n in range(many)]
    band, shares = bands(of, lambda x: x @ slopes)
    # JCGM 100:2008, 5.1: the variance of a sum is the sum of (slope x standard uncertainty)².
    each = np.array([slopes[n] * 0.1 * (n + 1) for n in range(many)])
    half, centre = sqrt(np.sum(each**2)), float(slopes @ [10.0 * n for n in range(many)])
    assert band.low == pytest.approx(centre - half, abs=0.05 * half)
    assert band.high == pytest.approx(centre + half, abs=0.05 * half)
    for one, expected in zip(of, each**2 / np.sum(each**2), strict=True):
        assert shares.first[one] == pytest.approx(expected, abs=0.02)
        assert shares.total[one] == pytest.approx(expected, abs=0.02)


def test_linear_even_doubts_give_the_band_of_their_sum():
    # Two alike: the sum has a triangle, whose 95 % lie within 2 (1 - sqrt(0.05)) half widths (its area is a square of its base).
    of = [unknown(n, 0.0, 1.0, "even") for n in range(2)]
    band, _ = bands(of, lambda x: x[:, 0] + x[:, 1])
    expected = 2.0 * (1.0 - sqrt(0.05))
    assert (band.low, band.high) == (pytest.approx(-expected, rel=0.05), pytest.approx(expected, rel=0.05))


def test_an_even_doubt_that_decides_alone():
    band, _ = bands([unknown(0, 5.0, 1.0, "even")], lambda x: 3.0 * x[:, 0])
    assert (band.low, band.high) == (
        pytest.approx(15.0 - 3.0 * 0.95, rel=0.01),
        pytest.approx(15.0 + 3.0 * 0.95, rel=0.01),
    )


@pytest.mark.parametrize("count", [128, 256])
def test_a_nonlinear_case_agrees_with_twenty_thousand_draws(count):
    of = [
        unknown(0, 30e3, 6e3),
        unknown(1, 400.0, 60.0),
        unknown(2, 2e3, 0.8e3, "even"),
        unknown(3, 250e3, 60e3, "even"),
    ]

    def damping_ratio(x):
        rate = x[:, 0] * x[:, 3] / (x[:, 0] + x[:, 3])  # spring and tyre in series
        return x[:, 2] / (2.0 * np.sqrt(rate * x[:, 1])) + 0.1 * np.sin(8.0 * x[:, 0] / 30e3)

    rng = np.random.default_rng(5)
    brute = np.column_stack([
        rng.normal(30e3, 6e3 / WIDE, 20_000), rng.normal(400.0, 60.0 / WIDE, 20_000), rng.uniform(1.2e3, 2.8e3, 20_000),
        rng.uniform(190e3, 310e3, 20_000),
    ])  # fmt: skip
    low, high = np.quantile(damping_ratio(brute), [0.025, 0.975])
    band, _ = bands(of, damping_ratio, count)
    assert band.low == pytest.approx(low, abs=0.05 * (high - low))
    assert band.high == pytest.approx(high, abs=0.05 * (high - low))


def test_a_step_that_no_fit_foretells_keeps_the_band_of_its_draws():
    of = [unknown(n, 0.0, 1.0) for n in range(6)]
    band, shares = bands(of, lambda x: np.where(np.sin(60.0 * x[:, 0]) * np.sin(60.0 * x[:, 1]) > 0.0, 1.0, 0.0))
    assert (band.low, band.high) == (0.0, 1.0)
    assert shares is None


def test_shares_agree_with_the_library_run_on_the_function_itself():
    """SciPy's Sobol' indices of the function, by n (d + 2) evaluations, against ours from 128 draws."""
    of = [unknown(0, 1.0, 0.4), unknown(1, 2.0, 0.6), unknown(2, 0.0, 1.0, "even")]

    def function(x):
        return x[0] ** 2 + x[0] * x[1] + 2.0 * x[2]

    found = sobol_indices(
        func=function, n=4096, rng=np.random.default_rng(1),
        dists=[norm(1.0, 0.4 / WIDE), norm(2.0, 0.6 / WIDE), uniform(-1.0, 2.0)],
    )  # fmt: skip
    _, shares = bands(of, lambda x: function(x.T))
    for n, one in enumerate(of):
        assert shares.first[one] == pytest.approx(found.first_order[n], abs=0.02)
        assert shares.total[one] == pytest.approx(found.total_order[n], abs=0.02)


def test_shares_of_a_fit_agree_with_the_library_run_on_the_fit():
    """Squares, products, a normal number cut off at one end, one cut off at both, an even one that is not in the middle."""
    of = [
        unknown(0, 1.0, 0.4), unknown(1, 1.0, 1.5, least=0.2), unknown(2, 0.0, 1.0, "even"),
        Unknown(Doubtful(("x3",), 2.0, Doubt("1 to 5", "even", 1.0, 5.0, "number", "")), ("one", "two"), True),
    ]  # fmt: skip
    _, values = draws(of, 256)
    x = values.T
    outputs = [x[0] ** 2 + x[0] * x[1] + 2.0 * x[2], x[1] * x[3] - x[2] * x[0] + 0.3 * x[3] ** 2, x[1] ** 2 + 1.0]
    fit = fitted(scaled(of, values), np.column_stack(outputs))
    assert np.all(fit.foretold > 0.99)

    def evaluated(shares):
        drawn = np.column_stack([at_shares(one.what, shares[n]) for n, one in enumerate(of)])
        return fit(scaled(of, drawn)).T

    found = sobol_indices(func=evaluated, n=1 << 15, rng=np.random.default_rng(1), dists=[uniform()] * 4)
    first, total = influence(of, fit)
    assert first == pytest.approx(found.first_order, abs=2e-3)
    assert total == pytest.approx(found.total_order, abs=2e-3)


@pytest.mark.parametrize(("least", "most"), [(-np.inf, np.inf), (0.2, np.inf), (-np.inf, 1.3), (0.2, 1.3)])
def test_moments_are_those_of_a_normal_distribution_cut_off(least, most):
    one = Doubtful(("x",), 1.0, Doubt("1 +- 1", "normal", 0.0, 2.0, "number", ""), least, most)
    sigma = 1.0 / WIDE
    library = truncnorm((least - 1.0) / sigma, (most - 1.0) / sigma)
    assert moments(one) == pytest.approx([library.moment(n) for n in (1, 2, 3, 4)], rel=1e-9, abs=1e-12)


@pytest.mark.parametrize(("least", "most"), [(-np.inf, np.inf), (0.2, np.inf), (-np.inf, 1.3), (0.2, 1.3)])
def test_draws_are_the_quantiles_of_a_normal_distribution_cut_off(least, most):
    one = Doubtful(("x",), 1.0, Doubt("1 +- 1", "normal", 0.0, 2.0, "number", ""), least, most)
    sigma = 1.0 / WIDE
    library = truncnorm((least - 1.0) / sigma, (most - 1.0) / sigma, 1.0, sigma)
    # The very ends, which a sequence may have, are where the number's key ends.
    shares = np.r_[0.0, np.random.default_rng(3).random(500), 1.0]
    assert at_shares(one, shares) == pytest.approx(library.ppf(shares), rel=1e-12, abs=1e-12)


def test_moments_of_an_even_number_are_those_of_its_draws():
    one = Doubtful(("x",), 2.0, Doubt("1 to 5", "even", 1.0, 5.0, "number", ""))
    z = scaled([Unknown(one, ("one",), True)], at_shares(one, (np.arange(100_000) + 0.5) / 100_000)[:, None])
    assert moments(one) == pytest.approx([np.mean(z**n) for n in (1, 2, 3, 4)], rel=1e-6)


def test_nothing_that_varies_is_shared_out_to_nobody():
    of = [unknown(0, 0.0, 1.0), unknown(1, 0.0, 1.0)]
    _, values = draws(of, 128)
    first, total = influence(of, fitted(scaled(of, values), np.zeros((128, 1))))
    assert np.allclose(first, 0.0)
    assert np.allclose(total, 0.0)


def test_shares_of_a_published_function():
    """I. M. Sobol' and Y. L. Levitan 1999's product case in two numbers, by hand: f = (1 + x/2)(1 + y/4), x and y even in -1..1.

    V_x = 1/12, V_y = 1/48, V_xy = 1/576: first-order shares 48/61, 12/61, together 1/61.
    """
    of = [unknown(0, 0.0, 1.0, "even"), unknown(1, 0.0, 1.0, "even")]
    _, shares = bands(of, lambda x: (1.0 + 0.5 * x[:, 0]) * (1.0 + 0.25 * x[:, 1]))
    assert shares.first[of[0]] == pytest.approx(48 / 61, abs=0.01)
    assert shares.first[of[1]] == pytest.approx(12 / 61, abs=0.01)
    assert shares.total[of[0]] == pytest.approx(49 / 61, abs=0.01)
    assert shares.total[of[1]] == pytest.approx(13 / 61, abs=0.01)


def test_draws_are_the_same_each_time_and_hold_their_distribution():
    of = [unknown(0, 10.0, 1.0), unknown(1, 0.0, 1.0, "even")]
    shares, values = draws(of, 256)
    again, values_again = draws(of, 256)
    assert np.array_equal(shares, again)
    assert np.array_equal(values, values_again)
    assert values[:, 0].mean() == pytest.approx(10.0, abs=0.01)
    assert values[:, 0].std() == pytest.approx(1.0 / WIDE, rel=0.02)
    assert values[:, 1].std() == pytest.approx(1.0 / sqrt(3.0), rel=0.02)
    assert SEED == 17  # bands in people's files would move with another


def test_a_normal_doubt_ends_where_its_key_ends():
    one = unknown(0, 1.0, 1.5, least=0.0).what
    values = at_shares(one, (np.arange(2000) + 0.5) / 2000)
    assert values.min() >= 0.0
    # mean of a normal distribution cut off at 0 (N. L. Johnson, S. Kotz, Continuous Univariate Distributions 1, 13.10)
    sigma = 1.5 / WIDE
    expected = 1.0 + sigma * norm.pdf(-1.0 / sigma) / norm.cdf(1.0 / sigma)
    assert np.mean(values) == pytest.approx(expected, rel=2e-3)


def test_measures_that_were_not_reached_have_no_finite_end():
    of = [unknown(0, 0.0, 1.0)]
    band, _ = bands(of, lambda x: np.where(x[:, 0] > 0.0, np.inf, 1.0))
    assert band.low == 1.0
    assert band.high == np.inf
    assert (band.unknown, band.draws) == (64, 128)  # half of a sequence that is even


def test_the_fit_foretells_nothing_of_noise():
    rng = np.random.default_rng(2)
    of = [unknown(n, 0.0, 1.0) for n in range(12)]
    _, values = draws(of, 128)
    fit = fitted(scaled(of, values), rng.normal(size=(128, 3)))
    assert np.all(fit.foretold < 0.3)
    quadratic = fitted(scaled(of, values), (values[:, :1] * values[:, 1:2] + values[:, 2:3] ** 2) * pi)
    assert quadratic.foretold[0] > 0.999
    first, total = influence(of, quadratic)
    assert total.shape == first.shape == (1, 12)
