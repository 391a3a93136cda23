"""Other tyres on the page: what they change by hand calculation, what is no size said, and what becomes a set-up."""

from math import pi

import pytest

from sim.describe.files.vehicles import load_vehicle
from sim.describe.shown import shown_in
from sim.show.pages.local.aboard import aboard
from sim.study.planned_tyres import tyre_changes, with_other_tyres
from tests.show.pages.local.test_aboard import vehicle  # noqa: F401

BIG = {"front": "37x12.50R17", "rear": "37x12.50R17"}


def test_rows_follow_from_the_size_by_hand(vehicle):  # noqa: F811
    before, after = (vehicle, vehicle.changed(tyre_changes(vehicle, BIG)))
    rows, notes = with_other_tyres(vehicle, tyre_changes(vehicle, BIG))
    found = {row.label: (row.before, row.after) for row in rows}
    assert found["front: radius of the tyre, off the ground"] == pytest.approx(
        (before.front.tyre.radius, 18.5 * 0.0254)
    )
    # The rolling radius: the radius less a third of what the tyre gives under half of the axle's load.
    for axle in ("front", "rear"):
        turns = []
        for truck, load in zip((before, after), found[f"{axle}: load on the ground"], strict=True):
            tyre = dict(truck.axles)[axle].tyre
            turns.append(2.0 * pi * (tyre.radius - load / 2.0 / tyre.rate / 3.0))
        assert found[f"{axle}: road covered in one turn of the wheel"] == pytest.approx(tuple(turns), rel=1e-3)
        # Springs carry the same body: all that the frame rises is what the axle's centre does.
        low, high = found[f"{axle}: axle's centre above the ground"]
        up = found[f"{axle}: frame above the ground, against the truck as it is"][1]
        assert up == pytest.approx(high - low, abs=2e-4)
    more = 100.0 * (turns[1] / turns[0] - 1.0)
    assert notes[0].startswith("Front and rear: in the same gear it goes")
    assert f"goes {more:.0f} % faster" in notes[0]
    assert f"reads {100.0 * (1.0 - turns[0] / turns[1]):.0f} % too low" in notes[0]


def test_they_become_a_set_up_as_typed(vehicle):  # noqa: F811
    with shown_in("metric"):
        said = aboard(vehicle, {"tyres": {"front": " 35 in ", "rear": ""}})["tyres"]
    assert said["changes"] == {"front.tyre.outside_diameter": "35 in"}
    assert (said["name"], said["why"]) == ("Other tyres in front", "")
    assert said["rows"][0]["after"] == "444.5 mm"
    assert any("in four-wheel drive it winds the driveline up" in note for note in said["notes"])
    sized = aboard(vehicle, {"tyres": {"front": "35x12.50R15"}})["tyres"]["notes"]
    assert any(" 35x12.50R15 in front" in note for note in sized), sized
    nothing = aboard(vehicle, {"tyres": {"front": "", "rear": ""}})["tyres"]
    assert (nothing["rows"], nothing["changes"], nothing["why"]) == ([], {}, "")


def test_what_is_no_size_is_said_with_what_was_meant(vehicle):  # noqa: F811
    said = aboard(vehicle, {"tyres": {"front": "35-12.50/15", "rear": ""}})["tyres"]
    assert said["why"].startswith("front: ")
    assert "is it 35x12.50R15?" in said["why"]
    assert not said["changes"]
    assert "or the outside diameter, 35 in" in aboard(vehicle, {"tyres": {"rear": "35"}})["tyres"]["why"]


def test_a_truck_that_was_not_weighed_is_told_why_nothing_follows():
    said = aboard(load_vehicle("scenarios/vehicles/hut_supply_truck.yaml"), {"tyres": {"front": "35 in"}})["tyres"]
    assert "written as weighed" in said["why"]
    assert not said["changes"]
