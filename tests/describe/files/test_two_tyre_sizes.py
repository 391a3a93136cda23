"""Tyres of two sizes on one truck: a notice for what they do to a driveline, and silence for what wear and tape account for."""

import pytest

from sim.describe.files.vehicles import load_vehicle, vehicle_from

TRUCK = {
    "weighed": {"front": "1980 lb", "rear": "1560 lb"}, "wheelbase": "88 in",
    "front": {"tyre": {"size": "31x10.50R15"}}, "rear": {"tyre": {"size": "31x10.50R15"}},
}  # fmt: skip


def said_of(vehicle):
    return [one for one in vehicle.notices if "winds the driveline up" in one]


@pytest.mark.parametrize(
    ("front", "said"),
    [("35x12.50R15", "35x12.50R15 in front, 31x10.50R15 behind: the front axle wants to turn 11 % slower"),
     ("28x8.50R15", "28x8.50R15 in front, 31x10.50R15 behind: the rear axle wants to turn 10 % slower")],
)  # fmt: skip
def test_another_size_on_one_axle_is_said_with_how_much(front, said):
    """Over one road turns go as one over the radius: 31 over 35 is 0.886, 28 over 31 is 0.903."""
    (text,) = said_of(vehicle_from(TRUCK).changed({"front.tyre.size": front}))
    assert said in text
    assert "the same size on both axles" in text
    assert "front.tyre.size: " in text


@pytest.mark.parametrize(
    "changes",
    [{}, {"front.tyre.size": "35x12.50R15", "rear.tyre.size": "35x12.50R15"}, {"front.tyre.pressure": "18 psi"},
     {"front.tyre.outside_diameter": "30.7 in"}],
)  # fmt: skip
def test_one_size_and_worn_tread_pass_unsaid(changes):
    assert said_of(vehicle_from(TRUCK).changed(changes)) == []


def test_what_a_tape_is_off_by_is_no_other_size():
    """Heights of the axles that differ by 6 mm: the tape and what the tyres give are off by more."""
    heights = {"front": {"axle_height": "380 mm"}, "rear": {"axle_height": "386 mm"}}
    assert said_of(vehicle_from({**TRUCK, **heights})) == []


def test_radii_of_a_truck_by_hand_count_too():
    truck = load_vehicle("scenarios/vehicles/hut_supply_truck.yaml")
    assert said_of(truck) == []
    assert len(said_of(truck.changed({"rear.tyre.radius": "370 mm"}))) == 1
