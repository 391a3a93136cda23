"""What is typed into a shop's boxes, as a file has it; and what a truck as typed answers."""

from pathlib import Path

import pytest

import sim
from sim.describe.estimates.completing import completed
from sim.describe.files.reader import Document, read
from sim.describe.files.vehicles import validated_vehicle
from sim.linear.standing import stand
from sim.show.pages.local.answers import answer, as_edited, as_shop_writes
from sim.show.pages.local.fields import form

NEW = {"kind": "vehicle", "name": "x", "weighed": {}}
TICKET = {
    ("weighed", "front"): "2450 lb", ("weighed", "rear"): "1780 lb", ("wheelbase",): "92 in", ("front", "springs"): "coils",
    ("front", "springs", "coil", "rate"): "190 lb/in",
}  # fmt: skip


def document(data=NEW):
    return Document(data, Path("x.yaml"))


def test_springs_are_chosen_by_a_word_and_the_other_kind_goes():
    chosen = as_edited(
        document(), {("front", "springs"): "coils", ("front", "springs", "coil", "rate"): "190 lb/in"}
    ).data
    assert chosen["front"]["springs"] == {"coil": {"kind": "coil", "rate": "190 lb/in"}}
    other = as_edited(document(chosen), {("front", "springs"): "leaf packs"}).data
    assert other["front"]["springs"] == {"pack": {"kind": "leaf_pack"}}
    assert as_shop_writes(other, {("front", "springs"): "leaf packs"}) == {}
    assert "front" not in as_edited(document(other), {("front", "springs"): None}).data


def test_what_belongs_to_the_other_springs_goes_with_them():
    """An arm has a pivot, a leaf pack the half of it that holds the axle; what both may have stays."""
    arm = {
        "kind": "arm",
        "pivot": {"behind_front_axle": "36 in", "above_ground": "20 in"},
        "wind_up": {"rate": "30 kN m/rad"},
    }
    coils = as_edited(document(), TICKET | {("rear", "springs"): "coils"}).data
    coils["front"]["guide"] = arm
    packs = as_edited(document(coils), {("front", "springs"): "leaf packs"}).data
    assert packs["front"]["guide"] == {"wind_up": arm["wind_up"]}
    assert validated_vehicle(document(packs)).front.guide.kind == "leaf"
    # An empty choice is taken as coils in front, which arms hold, and as leaf packs behind.
    left = as_edited(document(coils), {("front", "springs"): None}).data["front"]["guide"]
    assert left == {key: arm[key] for key in ("pivot", "wind_up")}
    coils["rear"]["guide"] = dict(arm)
    assert as_edited(document(coils), {("rear", "springs"): None}).data["rear"]["guide"] == packs["front"]["guide"]
    del coils["rear"]["guide"]
    packs["front"]["guide"] |= {"kind": "leaf", "fixed_half_length": "22 in"}
    again = as_edited(document(packs), {("front", "springs"): "coils"}).data
    assert validated_vehicle(document(again)).front.guide.kind == "arm"
    assert again["front"]["guide"] == {"wind_up": arm["wind_up"]}
    # Springs that stay as they are take nothing away.
    assert as_edited(document(coils), {("front", "springs"): "coils"}).data["front"]["guide"] == arm


def test_words_and_pairs_are_lists():
    edits = {
        ("weighed", "aboard"): "driver, half a tank",
        ("rear", "tyre", "jacked", "load"): "800 lb,1300 lb",
        ("name",): "a, b",
    }
    assert as_shop_writes(NEW, edits) == {
        ("weighed", "aboard"): ["driver", "half a tank"], ("rear", "tyre", "jacked", "load"): ["800 lb", "1300 lb"],
        ("name",): "a, b",
    }  # fmt: skip


def test_none_at_the_number_of_a_strap_or_stop_takes_the_part_out():
    for part, box in (("strap", "length"), ("stop", "gap")):
        data = as_edited(document(), TICKET | {("rear", "springs"): "coils", ("front", part, box): " None "}).data
        assert data["front"][part] == {box: " None "}
        vehicle = validated_vehicle(document(data))
        assert getattr(vehicle.front, part) is None
        assert getattr(vehicle.rear, part) is not None
        assert not any(one.path.startswith(f"front.{part}.") for one in vehicle.estimates)
        # Where the file says it of the whole part, a number typed at it makes it one again, and an emptied box leaves it to estimates.
        none = data | {"front": data["front"] | {part: "none"}}
        cells = {cell.path: cell.value for step in form(none) for line in step.lines for cell in line.cells}
        assert cells[f"front.{part}.{box}"] == "none"
        again = as_edited(document(none), {("front", part, box): "10 in", ("front", part, "count"): 1}).data
        assert again["front"][part] == {box: "10 in", "count": 1}
        assert getattr(validated_vehicle(document(again)).front, part).count == 1
        assert part not in as_edited(document(none), {("front", part, box): None}).data["front"]


def test_of_a_whole_file_everything_is_taken_as_typed():
    data = sim.describe.files.reader.read("scenarios/vehicles/hut_supply_truck.yaml").data
    assert as_shop_writes(data, {("note",): "a, b"}) == {("note",): "a, b"}


def test_an_empty_truck_stands_and_says_what_is_taken():
    said = answer(document())
    assert said["problems"] == []
    assert said["refused"] == ""
    assert said["scene"] is not None
    assert said["estimates"]["front.tyre.rate"]["written"].startswith("about ")
    for key in ("of", "reach", "source"):
        assert said["estimates"]["front.tyre.rate"][key]


def test_what_is_given_is_no_estimate_any_more_and_moves_those_that_follow_from_it():
    before, after = answer(document()), answer(as_edited(document(), TICKET))
    assert "wheelbase" in before["estimates"]
    assert "wheelbase" not in after["estimates"]
    assert before["estimates"]["front.housing.mass"]["written"] != after["estimates"]["front.housing.mass"]["written"]
    loads = next(row["cells"] for row in after["numbers"] if row["label"] == "Load on the ground")
    assert [cell.split("(")[1] for cell in loads] == ["2450 lb)", "1780 lb)"]


def test_what_is_wrong_in_a_shops_box_is_said_there():
    said = answer(as_edited(document(), {("front", "tyre", "size"): "huge", ("weighed", "rear"): "1780"}))
    at = {row["where"]: row["message"] for row in said["problems"]}
    assert "not understood" in at["front.tyre.size"]
    assert "needs a unit" in at["weighed.rear"]
    assert "front.stop.gap" in said["estimates"]


@pytest.mark.parametrize("edits", [{("wheelbase", "x"): "3 m"}, {("name", "a", "b"): "3 m"}])
def test_nothing_is_typed_into_a_single_value(edits):
    with pytest.raises(sim.InputError, match="single value"):
        as_edited(as_edited(document(), {("wheelbase",): "92 in"}), edits)


LENGTHS = {
    ("front", "dampers", "main", "length_extended"): "23.5 in",
    ("front", "dampers", "main", "length_collapsed"): "14.25 in",
}


def fits(edits):
    said = answer(as_edited(document(), {**TICKET, **LENGTHS, **edits}))
    row = next(row for row in said["numbers"] if row["label"] == "Damper fits")
    return row["cells"][0], row["state"][0]


def test_a_damper_fits_only_where_its_length_at_ride_and_its_ends_were_measured():
    """What is estimated from the damper's own lengths fits them whatever they are: no answer in a circle."""
    text, state = fits({})
    assert text.startswith("not known: measure the damper eye to eye at ride")
    assert state == "ask"
    ride = {("front", "dampers", "main", "length_at_ride"): "19 in"}
    assert fits(ride) == ("not known: measure the gap to the bump stop and the length of the limit strap", "ask")
    ends = {("front", "stop", "gap"): "3 in", ("front", "strap", "length"): "16 in"}
    assert fits({**ride, **ends}) == ("fits", "good")
    # Squeezed by 1.6 in past a gap of 4.5 in, at a ratio near 0.9, it is 4.75 in of stroke that run out: this is known.
    assert fits({**ride, **ends, ("front", "stop", "gap"): "4.5 in"})[0].startswith("front damper 'main' is solid")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("800 lb", "two values are wanted, with a comma between"),
        ("800 lb, many", "a mass is written"),
        ("a, b", "a mass is written"),
    ],
)
def test_two_values_of_one_box_are_spoken_of_at_that_box(text, said):
    place = ("front", "tyre", "jacked", "load")
    rows = answer(as_edited(document(), {place: text, (*place[:-1], "height"): "15.9 in, 15.6 in"}))["problems"]
    assert [row["where"] for row in rows] == ["front.tyre.jacked.load"]
    assert said in rows[0]["message"]


def test_the_rate_of_a_coil_given_by_its_wire_is_said_where_its_box_is_empty():
    """By hand G d⁴ / (8 D³ n) of 16 mm wire, 130 mm and 7 coils is 79 300 · 65 536 / (8 · 2 197 000 · 7) = 42.24 N/mm; how far off the formula is goes with it."""
    coil = {"wire_diameter": "16 mm", "coil_diameter": "130 mm", "active_coils": "7"}
    typed = {("front", "springs", "coil", key): text for key, text in coil.items()}
    said = answer(as_edited(document(), typed | {("wheelbase",): "2.5 m"}))["estimates"]["front.springs.coil.rate"]
    factor = next(
        one for one in completed(as_edited(document(), typed).data)[1] if one.path == "front.springs.coil.rate_factor"
    )
    written, _, half = said["written"].partition(" +- ")
    assert written == "about 42.2 N/mm"
    assert float(half.removesuffix(" N/mm")) == pytest.approx(42.24 * factor.half, abs=0.06)
    assert said["of"].startswith("its wire")
    given = typed | {("front", "springs", "coil", "rate"): "40 N/mm", ("wheelbase",): "2.5 m"}
    assert "front.springs.coil.rate" not in answer(as_edited(document(), given))["estimates"]


def test_a_frame_that_went_up_has_a_plus():
    """A coil 30 mm longer than it stands under its half of the front sprung weight, W/k shorter than free, holds the frame 30 mm up.

    Of that half the gas of one damper carries 120 N.
    """
    truck = read("scenarios/vehicles/hut_supply_truck.yaml")
    front = stand(validated_vehicle(truck)).axles["front"]
    # Upper seat 860 mm above the ground, lower seat 95 mm above the axle's centre, 36 N/mm, as the file has them.
    stands = 860.0 - 95.0 - 1e3 * front.centre_height + (9.80665 * front.sprung_mass / 2 - 120.0) / 36.0
    longer = as_edited(truck, {("front", "springs", "coil", "free_length"): f"{stands + 30.0:.1f} mm"})
    row = next(row for row in answer(longer)["numbers"] if row["label"] == "Frame up from as measured (down: minus)")
    up, rear = (float(cell.split()[0]) for cell in row["cells"])
    assert up == pytest.approx(30.0, abs=3.0)
    assert abs(rear) < 3.0
