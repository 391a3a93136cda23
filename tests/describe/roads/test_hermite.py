"""The cubic curve against SciPy's, and its integral against its own height."""

import numpy as np
import pytest
from scipy.interpolate import CubicHermiteSpline, PchipInterpolator

from sim.describe.roads.hermite import Hermite, monotone_slopes


@pytest.fixture
def points():
    random = np.random.default_rng(5)
    x = np.cumsum(random.uniform(0.01, 0.5, 40))
    z = np.cumsum(random.normal(0.0, 0.05, 40))
    z[10:14] = z[10]
    return x, z


@pytest.mark.parametrize("count", [2, 3, 4, 40])
def test_monotone_slopes_are_those_of_scipy(points, count):
    # Fritsch and Butland as in scipy.interpolate.PchipInterpolator
    x, z = points[0][:count], points[1][:count]
    expected = PchipInterpolator(x, z).derivative()(x)
    assert np.allclose(monotone_slopes(x, z), expected, rtol=1e-12, atol=1e-14)


def test_heights_slopes_and_integrals_are_those_of_scipy(points):
    x, z = points
    slope = np.cos(9.0 * x)
    mine, peer = Hermite(x, z, slope), CubicHermiteSpline(x, z, slope)
    inside = np.linspace(x[0], x[-1], 1_000)
    assert np.allclose(mine.height(inside), peer(inside), rtol=0.0, atol=1e-13)
    assert np.allclose(mine.height_and_slope(inside)[1], peer.derivative()(inside), rtol=0.0, atol=1e-11)
    expected = [peer.integrate(x[0], end) for end in inside]
    assert np.allclose(mine.integral(inside), expected, rtol=0.0, atol=1e-13)


def test_is_level_outside_and_its_integral_knows(points):
    x, z = points
    curve = Hermite(x, z, np.ones_like(x))
    outside = np.array([x[0] - 2.0, x[-1] + 3.0])
    assert np.allclose(curve.height(outside), [z[0], z[-1]], rtol=0.0, atol=1e-15)
    assert np.array_equal(curve.height_and_slope(outside)[1], [0.0, 0.0])
    rise = curve.integral(outside) - curve.integral(x[[0, -1]])
    assert np.allclose(rise, [-2.0 * z[0], 3.0 * z[-1]], rtol=0.0, atol=1e-12)


def test_a_jump_adds_no_area():
    curve = Hermite(np.array([0.0, 1.0, 1.0, 2.0]), np.array([0.0, 0.0, 0.5, 0.5]), np.zeros(4))
    assert np.allclose(curve.height(np.array([0.999, 1.001])), [0.0, 0.5])
    assert curve.integral(np.array([2.0]))[0] == pytest.approx(0.5, abs=1e-15)


def test_equality_is_by_value(points):
    x, z = points
    first, second = Hermite(x, z, 0 * x), Hermite(x.copy(), z.copy(), 0 * x)
    assert first == second
    assert hash(first) == hash(second)
    assert first != Hermite(x, z + 1.0, 0 * x)
    assert first != "curve"
