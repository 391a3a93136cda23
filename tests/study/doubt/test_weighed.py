"""A truck that was weighed keeps its ticket in every draw: statics by hand."""

from contextlib import suppress

import numpy as np
import pytest

import sim
from sim.errors import InputError
from sim.study.doubt.lanes import Drawn
from sim.study.doubt.unknowns import draws, unknowns
from sim.study.doubt.weighed import MASS, PLACE, as_weighed

POUND = 0.45359237  # NIST SP 811
TICKET = {"weighed": {"front": "2450 lb", "rear": "1780 lb", "aboard": ["driver"]}, "wheelbase": "92 in"}
COUNT = 256


@pytest.fixture(scope="module")
def drawn():
    setups = {"as it is": sim.vehicle_from(TICKET)}
    of = unknowns(setups)
    _, values = draws(of, COUNT)
    return setups, of, values


def trucks(setups, of, values):
    """Return the truck of each draw whose numbers go together."""
    truck, made = Drawn(setups, of, values), []
    for draw in range(COUNT):
        with suppress(InputError):
            made.append(truck.vehicle("as it is", draw))
    assert len(made) > 0.9 * COUNT
    return made


def loads(vehicle):
    """Return the axle loads [kg] by moments about the front axle: body, housings, people; dampers' ends on their axle and on the body."""
    place = vehicle.body.centre_of_gravity.behind_front_axle
    masses = [(vehicle.body.mass, place), *((one.mass, one.place.behind_front_axle) for one in vehicle.loads.values())]
    for axle, behind in ((vehicle.front, 0.0), (vehicle.rear, vehicle.wheelbase)):
        masses.append((axle.housing.mass, behind))
        for damper in axle.dampers.values():
            masses.append((damper.count * damper.tube_mass, behind))
            masses.append((damper.count * damper.rod_mass, damper.body.behind_front_axle))
    whole = sum(mass for mass, _ in masses)
    rear = sum(mass * at for mass, at in masses) / vehicle.wheelbase
    return whole - rear, rear


def test_each_draw_stands_on_the_scale_as_the_ticket_says(drawn):
    """Axles are off by far more than the scale, and do not count.

    By hand: the body's mass is off by the roots of squares of scale and axles, its place by those of both times their arms. What is
    left of these spreads without the axles is the scale's, and statics makes loads of it.
    """
    setups, of, values = drawn
    vehicle = setups["as it is"]
    found = np.array([loads(one) for one in trucks(setups, of, values)])
    ticket = np.array([2450.0, 1780.0]) * POUND
    half = {one.path: 0.5 * (one.what.doubt.high - one.what.doubt.low) for one in of}
    base, mass, place = vehicle.wheelbase, vehicle.body.mass, vehicle.body.centre_of_gravity.behind_front_axle
    front, rear = half["front.housing.mass"], half["rear.housing.mass"]
    scale = np.sqrt(half[MASS] ** 2 - front**2 - rear**2)
    arm = np.sqrt(half[PLACE] ** 2 - (front * place / mass) ** 2 - (rear * (base - place) / mass) ** 2)
    wanted = np.hypot(scale * np.array([base - place, place]) / base, mass * arm / base) / 1.96  # 95 times in 100
    # A weighbridge is off by 1 % and rounds to 10 kg (common practice, no source); spreads are written in two digits.
    assert scale == pytest.approx(np.hypot(*np.hypot(0.01 * ticket, 5.0)), rel=0.05)
    assert found.mean(axis=0) == pytest.approx(ticket, rel=2e-3)
    # A standard deviation of 256 draws is known to 4.4 % (one over the root of twice their number), here to two of these.
    assert found.std(axis=0) == pytest.approx(wanted, rel=0.09)
    axles = np.std([one.front.housing.mass for one in trucks(setups, of, values)])
    assert axles > 3.0 * wanted.max()  # what the ticket rules out


def test_a_heavier_axle_means_a_lighter_body(drawn):
    setups, of, values = drawn
    pairs = [(one.body.mass, one.front.housing.mass + one.rear.housing.mass + one.loads["driver"].mass)
             for one in trucks(setups, of, values)]  # fmt: skip
    body, others = np.array(pairs).T
    assert np.corrcoef(body, others)[0, 1] < -0.9
    # Together they are the ticket: their sum moves by the scale's doubt alone.
    assert np.std(body + others) < 0.25 * np.std(others)


def test_draws_as_they_came_are_left_alone(drawn):
    setups, of, values = drawn
    before = values.copy()
    after = as_weighed(setups, of, values)
    assert np.array_equal(values, before)
    moved = [one.path for number, one in enumerate(of) if not np.array_equal(after[:, number], before[:, number])]
    assert sorted(moved) == ["body.centre_of_gravity.behind_front_axle", "body.mass"]


def test_a_mass_that_somebody_wrote_is_nobodys_rest():
    data = {
        **TICKET,
        "body": {"mass": "1500 kg +- 50 kg", "centre_of_gravity": {"behind_front_axle": "1.0 m +- 50 mm"}},
    }
    setups = {"as it is": sim.vehicle_from(data)}
    of = unknowns(setups)
    _, values = draws(of, 16)
    assert any(one.path == MASS for one in of)
    assert as_weighed(setups, of, values) is values
