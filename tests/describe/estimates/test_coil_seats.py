"""Seats of a coil of which a shop knows lengths and rate: the truck stands where it was measured, or it is said that it cannot."""

import pytest

from sim.describe.estimates.truck import GRAVITY
from sim.kernel import layout as at
from sim.linear.standing import stand
from sim.lower.lowering import lower
from sim.lower.rest import rest
from sim.study.spring_order import spring_orders
from tests.describe.test_to_measure import MEASURED, truck

INCH = 0.0254


def jounce(vehicle):
    """Return how far the front axle stands above where it was measured [m]."""
    return float(rest(lower(vehicle)).state[at.JOUNCE])


@pytest.mark.parametrize("gas", [{}, {"gas_force": "0 N"}, {"gas_force": "300 N"}])
def test_a_coil_of_known_length_holds_the_truck_where_it_was_measured(gas):
    """Its seats are as far apart as load and gas leave of its length; without the gas it would stand up to 8 mm too high."""
    measured = truck(MEASURED | gas, springs={"coil": {"rate": "190 lb/in", "free_length": "17 in"}})
    assert jounce(measured) == pytest.approx(0.0, abs=3e-4)


def test_a_coil_as_long_as_it_was_taped_is_ordered_from_that():
    """A coil that carries F at a length of 15.5 in has F/k more without load (its load on the scale, less axle, dampers and gas)."""
    measured = truck(
        MEASURED | {"gas_force": "0 N"}, springs={"coil": {"rate": "190 lb/in", "length_at_ride": "15.5 in"}}
    )
    coil = spring_orders(measured, {})[0]
    carries = 0.5 * stand(measured).axles["front"].sprung_mass * GRAVITY
    assert coil.free == pytest.approx(15.5 * INCH + carries / coil.rate, abs=1e-3)
    assert coil.order == pytest.approx(coil.free, abs=1e-3)
    assert coil.unmeasured == ()
    assert jounce(measured) == pytest.approx(0.0, abs=1e-6)


LENGTHS = {"rate": "230 lb/in", "free_length": "19 in"}


@pytest.mark.parametrize("seats", [False, True], ids=["taped", "between seats"])
@pytest.mark.parametrize(("weighs", "asks"), [(3000, True), (2100, False), (1300, True)])
def test_lengths_and_a_rate_that_do_not_carry_the_scale_are_asked_about(seats, weighs, asks):
    """19 in that stand at 15.5 push 3.5 x 230 = 805 lbf each, two 1610: an axle of 2100 lb leaves about so much, one of 3000 or 1300 does not."""
    centre = 16.5 - weighs / 2 / 1500  # radius less what the tyre gives [in]
    at_ride = {
        "body": {"behind_front_axle": "0 in", "above_ground": f"{centre + 3.5 + 15.5} in"},
        "axle": {"ahead": "0 in", "above": "3.5 in"},
    }
    front = {
        "springs": {"coil": LENGTHS | (at_ride if seats else {"length_at_ride": "15.5 in"})},
        "tyre": {"radius": "16.5 in", "rate": "1500 lb/in"},
    }
    said = [text for text in truck(MEASURED, weighs=f"{weighs} lb", **front).notices if "do not carry" in text]
    assert len(said) == asks
    if asks:
        assert "805" in said[0]
        assert ("lower than it was measured" if weighs > 2100 else "higher than it was measured") in said[0]


def test_a_set_up_with_another_coil_is_not_asked():
    measured = truck(
        MEASURED, springs={"coil": {"rate": "190 lb/in", "length_at_ride": "15.5 in", "free_length": "20.4 in"}}
    )
    assert not [text for text in measured.notices if "do not carry" in text]
    lifted = measured.changed({"front.springs.coil.free_length": "23.4 in"})
    assert not [text for text in lifted.notices if "do not carry" in text]
    assert jounce(lifted) == pytest.approx(-3 * INCH, abs=6e-3)
