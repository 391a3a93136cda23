"""What instant centre and anti-dive are called: behind the axle without a minus, and what they rest on."""

from math import inf, isnan

import sim
from sim.linear.anti import ahead_or_behind, anti_words


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
