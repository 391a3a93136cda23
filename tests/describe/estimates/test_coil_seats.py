"""Seats of a coil of which a shop knows lengths and rate: the truck stands where it was measured, or it is said that it cannot."""

import pytest

from sim.kernel import layout as at
from sim.lower.lowering import lower
from sim.lower.rest import rest
from tests.describe.test_to_measure import MEASURED, truck


def jounce(vehicle):
    """Return how far the front axle stands above where it was measured [m]."""
    return float(rest(lower(vehicle)).state[at.JOUNCE])


@pytest.mark.parametrize("gas", [{}, {"gas_force": "0 N"}, {"gas_force": "300 N"}])
def test_a_coil_of_known_length_holds_the_truck_where_it_was_measured(gas):
    """Its seats are as far apart as load and gas leave of its length; without the gas it would stand up to 8 mm too high."""
    measured = truck(MEASURED | gas, springs={"coil": {"rate": "190 lb/in", "free_length": "17 in"}})
    assert jounce(measured) == pytest.approx(0.0, abs=3e-4)
