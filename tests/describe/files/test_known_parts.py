"""Set-ups share the parts that no change reaches, and are what a file of their own would give."""

import shutil

import pytest

from sim.describe.doubtful import doubtful
from sim.describe.files.changes import changed
from sim.describe.files.vehicles import load_vehicle, validated_vehicle, vehicle_from
from sim.errors import InputError
from tests.synthetic import SCENARIOS

HUT = SCENARIOS / "vehicles" / "hut_supply_truck.yaml"
TICKET = {
    "kind": "vehicle", "name": "Ticket", "weighed": {"front": "2450 lb", "rear": "1780 lb"}, "wheelbase": "92 in",
    "front": {"tyre": {"size": "33x12.50R15"}, "springs": {"coil": {"rate": "190 lb/in"}}, "dampers": {"main": {"valving": "stock"}}},
}  # fmt: skip

CHANGES = {
    "valving": {"front.dampers.main.valving.rebound.low": "4 kN s/m"},
    "count": {"rear.dampers.main.count": 4},
    "another set": {"front.dampers.second": {"count": 2, "valving": "soft"}},
    "doubt": {"body.pitch_inertia": "about 2600 kg m^2"},
    "no strap": {"front.strap": "none"},
    "load": {"loads.winch": {"mass": "165 lb", "place": {"behind_front_axle": "-30 in", "above_ground": "28 in"}}},
    "springs": {"front.springs.coil.rate": "40 N/mm", "front.springs.coil.free_length": "500 mm"},
}


def trucks():
    return {"hut": load_vehicle(HUT), "ticket": vehicle_from(TICKET)}


@pytest.mark.parametrize("name", ["hut", "ticket"])
@pytest.mark.parametrize("change", CHANGES)
def test_a_set_up_is_what_its_own_file_would_give(name, change):
    truck, changes = trucks()[name], CHANGES[change]
    if name == "hut" and change == "another set":
        changes = {"front.dampers.second": {**truck._written.document.data["front"]["dampers"]["main"], "count": 2}}
    if name == "ticket" and change == "valving":
        changes = {"front.dampers.main.valving": "firm"}
    setup = truck.changed(changes)
    alone = validated_vehicle(changed(truck._written.document, changes))
    assert setup.model_dump() == alone.model_dump()
    assert setup.model_dump() != truck.model_dump()
    assert list(doubtful(setup)) == list(doubtful(alone))
    assert [one.written for one in setup.estimates] == [one.written for one in alone.estimates]


def test_parts_that_no_change_reaches_are_the_same_objects():
    truck = load_vehicle(HUT)
    setup = truck.changed(CHANGES["valving"])
    assert setup.rear is truck.rear
    assert setup.front.springs["coil"] is truck.front.springs["coil"]
    assert setup.front.dampers["main"] is not truck.front.dampers["main"]
    # Of a set-up of a set-up too.
    again = setup.changed(CHANGES["count"])
    assert again.front.dampers["main"] is setup.front.dampers["main"]
    assert again.rear.dampers["main"].count == 4


def test_what_is_wrong_is_said_at_its_path_as_before():
    with pytest.raises(InputError) as caught:
        load_vehicle(HUT).changed({"front.dampers.main.count": "four", "rear.tyre.rate": "12"})
    assert {problem.where for problem in caught.value.problems} == {"front.dampers.main.count", "rear.tyre.rate"}


def test_what_only_python_takes_for_the_same_is_refused():
    truck = load_vehicle(HUT).changed({"front.dampers.main.count": 1})
    with pytest.raises(InputError, match="true is no number"):
        truck.changed({"front.dampers.main.count": True})


def test_a_damper_that_was_read_from_a_file_is_not_read_again(tmp_path):
    for name in ("vehicles", "dampers"):
        shutil.copytree(SCENARIOS / name, tmp_path / name)
    truck = load_vehicle(tmp_path / "vehicles" / HUT.name)
    setup = truck.changed(
        {"front.dampers.main.valving": {"kind": "measured", "file": "../dampers/front_main_each.csv"}}
    )
    (tmp_path / "dampers" / "front_main_each.csv").unlink()
    other = setup.changed({"rear.dampers.main.count": 4})
    assert other.front.dampers["main"] is setup.front.dampers["main"]
