"""Tyres of set-ups: a set-up's own rates are what it stands and runs on."""

from math import cos, sin, sqrt

import pytest

import sim
from sim.kernel import layout as at
from sim.lower.lowering import lower
from sim.lower.rest import rest

TWO_RATES = {"front.tyre.rate": "300 N/mm", "front.tyre.rate_at_twice_the_load": "360 N/mm"}


@pytest.fixture(scope="module")
def truck():
    return sim.load("scenarios/vehicles/hut_supply_truck.yaml")


def give(vehicle):
    """Return how far the front tyres give where a set-up stands [m]."""
    setup = lower(vehicle)
    standing = rest(setup)
    axle, path = setup.axles["front"], setup.paths["front"]
    jounce, pitch = standing.state[at.JOUNCE], standing.state[at.PITCH]
    centre = standing.state[at.Z] - path.at(float(jounce))[0] * sin(pitch) + (axle.seat_up + jounce) * cos(pitch)
    return axle.tyre_radius - float(centre), standing.tyre_load[0]


def test_a_set_up_stands_on_the_curve_of_its_own_two_rates(truck):
    """N = k d + k' d² with dN/dd = 300 at the measured load and 360 at twice that, whatever the truck was measured on."""
    measured = rest(lower(truck)).tyre_load[0] / 2.0
    square = 2.0 * 300e3**2 - 360e3**2
    rate, rise = sqrt(square), (360e3**2 - 300e3**2) / (4.0 * measured)
    deflection, load = give(truck.changed(TWO_RATES))
    assert load / 2.0 == pytest.approx(rate * deflection + rise * deflection**2, rel=1e-6)


def test_a_single_rate_takes_the_place_of_a_curve(truck):
    """A truck measured on stiffening tyres, and a set-up on tyres of one rate: those have no rise."""
    stiffening = truck.changed(TWO_RATES)
    stiffening._reference = None  # it is this one that was measured
    single = stiffening.changed({"front.tyre.rate": "250 N/mm", "front.tyre.rate_at_twice_the_load": "none"})
    deflection, load = give(single)
    assert lower(single).axles["front"].tyre_rate_rise == 0.0
    assert load / 2.0 == pytest.approx(250e3 * deflection, rel=1e-6)
