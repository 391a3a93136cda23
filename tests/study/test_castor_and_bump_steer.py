"""What an axle's travel does to castor and steering, from the geometry that runs use."""

from math import asin, cos, degrees, hypot, sin
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

import sim
from sim.lower.lowering import lower
from sim.study.convert import through_travel

TRUCK = sim.load(Path(__file__).parents[2] / "scenarios" / "vehicles" / "hut_supply_truck.yaml")
PIVOT = 0.98, 0.56
"""Of the demo's radius arms, behind the front axle and above the ground [m]."""


def front(vehicle):
    return next(one for one in through_travel(vehicle) if one.axle == "front")


def linked(box, axle, **changes):
    names = ("behind_front_axle", "above_ground"), ("ahead", "above")
    box, axle = (
        {n: f"{v} m" for n, v in zip(keys, values, strict=True)}
        for keys, values in zip(names, (box, axle), strict=True)
    )
    return TRUCK.changed({"front.drag_link": {"box": box, "axle": axle, "steering_arm": "200 mm"} | changes})


def arm_of(vehicle):
    """Length of the radius arms and how far the axle's centre is above their pivot as measured [m]."""
    setup = lower(vehicle)
    rise = setup.axles["front"].seat_up - (PIVOT[1] - setup.place.cg_above_ground)
    return hypot(PIVOT[0], rise), rise


def test_radius_arms_take_castor_as_they_turn():
    """Arm and housing turn as one about the pivot behind: asin((h + j) / R) - asin(h / R), castor lost in droop, won in bump."""
    found = front(TRUCK)
    radius, rise = arm_of(TRUCK)
    for place, castor in zip(found.places, found.castor, strict=True):
        turned = asin((rise + place.jounce) / radius) - asin(rise / radius)
        assert castor == pytest.approx(turned, abs=1e-7)
    assert degrees(found.castor[-1]) > 3.0  # an old 4x4's short arms
    assert found.castor[0] < 0.0


def test_leaves_that_do_not_turn_the_housing_change_no_castor():
    rear = next(one for one in through_travel(TRUCK) if one.axle == "rear")
    assert np.max(np.abs(rear.castor)) < 1e-12
    assert rear.steer is None


def test_a_drag_link_from_the_pivot_itself_does_not_steer():
    """Its joint goes round the arms' pivot with the axle, at one distance: no bump steer (the rule of the trade)."""
    found = front(linked(PIVOT, (0.1, 0.15)))
    assert np.max(np.abs(found.steer)) < 1e-9


def test_bump_steer_by_a_search_of_the_joints_place():
    """The joint's place at the link's length from the box, found by a root search along the truck; its offset over the arm's length."""
    box, joint = (0.75, 0.80), (-0.05, 0.18)
    found = front(linked(box, joint, sideways="120 mm"))
    radius, rise = arm_of(TRUCK)

    def where(jounce):
        """The joint as the axle takes it, ahead of the front axle as measured and above the pivot's level."""
        angle = asin((rise + jounce) / radius)
        turn = angle - asin(rise / radius)  # top backwards
        x = -PIVOT[0] + radius * cos(angle)
        return (
            x + joint[0] * cos(turn) - joint[1] * sin(turn),
            rise + jounce + joint[1] * cos(turn) + joint[0] * sin(turn),
        )

    up = box[1] - PIVOT[1]
    x0, z0 = where(found.ride)
    length = np.sqrt((x0 + box[0]) ** 2 + (z0 - up) ** 2 + 0.12**2)
    for place, steer in zip(found.places[::5], found.steer[::5], strict=True):
        x, z = where(place.jounce)
        held = brentq(lambda at, z=z: np.sqrt((at + box[0]) ** 2 + (z - up) ** 2 + 0.12**2) - length, x - 0.1, x + 0.1)
        assert steer == pytest.approx(asin((held - x) / 0.2), abs=1e-6)
    assert max(abs(degrees(s)) for s in found.steer) > 0.5
    assert np.interp(found.ride, [p.jounce for p in found.places], found.steer) == pytest.approx(0.0, abs=1e-3)
