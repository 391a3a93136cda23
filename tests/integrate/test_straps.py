"""Where an axle's strap is just taut: the place of a root finder of a general library, over all travel, or none."""

import pytest
from scipy.optimize import brentq

import sim
from sim.describe.replaced import with_values
from sim.integrate.line_lengths import is_ever_taut, line_length, taut_m
from sim.lower.lowering import lower

LENGTHS_M = (0.3, 0.42, 0.45, 0.5, 0.58, 0.9)


@pytest.mark.parametrize("length_m", LENGTHS_M)
def test_a_strap_is_taut_where_its_ends_are_its_length_apart(length_m):
    truck = sim.load("scenarios/two_or_four.yaml").setups["two front"]
    setup = lower(with_values(truck, {"front.strap.length": length_m, "rear.strap.length": length_m}))
    for name in ("front", "rear"):
        (strap,) = [line for line in setup.lines if line.axle == name and line.role == "strap"]
        low, high = setup.paths[name].range_m

        def slack(jounce, strap=strap):
            return length_m - line_length(setup, strap, jounce)

        found = taut_m(setup, name)
        if slack(low) < 0.0 < slack(high):
            # A millionth of the range further up at most (scipy.optimize.brentq, R. P. Brent 1973).
            assert 0.0 <= found - brentq(slack, low, high, xtol=1e-12) <= 1.001e-6 * (high - low)
        else:
            assert found is None
        assert is_ever_taut(setup, name) is (found is not None)


def test_some_of_these_straps_are_taut_and_some_never():
    truck = sim.load("scenarios/two_or_four.yaml").setups["two front"]
    found = [taut_m(lower(with_values(truck, {"front.strap.length": one})), "front") for one in LENGTHS_M]
    assert any(one is None for one in found)
    assert sum(one is not None for one in found) >= 2
