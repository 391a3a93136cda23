"""What instant centre and anti-dive are called: behind the axle without a minus, and what they rest on."""

from math import inf, isnan

import pytest

import sim
from sim.linear.anti import ahead_or_behind, anti_words
from sim.linear.standing import stand


def test_a_place_behind_the_axle_is_said_without_a_minus():
    assert ahead_or_behind([-0.88, -0.871]) == ("behind the axle", [0.88, 0.871])
    assert ahead_or_behind([0.7]) == ("ahead of the axle", [0.7])
    assert ahead_or_behind([0.7, -0.2]) == ("ahead of the axle (behind it: minus)", [0.7, -0.2])
    where, values = ahead_or_behind([-0.88, inf])
    assert where == "behind the axle"
    assert values[0] == 0.88
    assert isnan(values[1])


def test_what_nobody_measured_of_a_guide_is_said_beside_its_share():
    guessed = sim.vehicle_from({"weighed": {"front": "1510 kg", "rear": "1240 kg"}, "wheelbase": "2650 mm"})
    assert "estimated" in anti_words("front", [guessed])
    assert "taken as flat at ride" in anti_words("rear", [guessed])
    measured = sim.load("scenarios/vehicles/hut_supply_truck.yaml")
    for axle in ("front", "rear"):
        assert "estimated" not in anti_words(axle, [measured])


@pytest.mark.parametrize(
    "changes",
    [
        {"front.springs.coil.spacer": "75 mm", "rear.springs.pack.block": "75 mm"},
        {"loads.roof": {"mass": "300 kg", "place": {"behind_front_axle": "1.3 m", "above_ground": "2.2 m"}}},
    ],
)
def test_shares_go_by_the_height_at_which_the_centre_of_gravity_then_stands(changes):
    """By hand: the slope from the contact patch to the instant centre, over height by wheelbase of the whole truck, lifted and loaded."""
    truck = sim.load("scenarios/vehicles/hut_supply_truck.yaml")
    heights = []
    for standing in (stand(truck), stand(truck.changed(changes))):
        front = standing.axles["front"]
        parts = [(standing.sprung_mass, standing.cg_above_ground)]
        parts += [(axle.unsprung_mass, axle.centre_height) for axle in standing.axles.values()]
        heights.append(sum(m * z for m, z in parts) / sum(m for m, _ in parts))
        slope = front.instant_centre_above / -front.instant_centre_ahead
        # the housing's own mass sits a little off its centre
        assert front.anti_share == pytest.approx(slope / (heights[-1] / truck.wheelbase), rel=0.004)
    assert heights[1] - heights[0] > 0.05
