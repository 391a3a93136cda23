"""What is wrong, at the box where it is mended and in the words of the form."""

from pathlib import Path

import pytest

from sim.describe.files.reader import Document
from sim.show.pages.local.answers import answer, as_edited, understood
from sim.show.pages.local.at_boxes import in_form_words
from sim.show.pages.local.paper import typed_edits

TICKET = {"weighed.front": "2450 lb", "weighed.rear": "1780 lb", "wheelbase": "92 in", "front.springs": "coils"}


def answered(**typed):
    data = {"kind": "vehicle", "name": "x", "weighed": {}}
    edits = {path.replace("__", "."): text for path, text in typed.items()}
    return answer(as_edited(Document(data, Path("x.yaml")), typed_edits({**TICKET, **edits})))


def wrong(said):
    return {row["where"]: " ".join((row["message"], row["suggestion"])) for row in said["problems"]}


def test_lengths_that_are_crossed_are_red_at_both_boxes_and_without_keys():
    said = wrong(
        answered(front__dampers__main__length_collapsed="590 mm", front__dampers__main__length_extended="360 mm")
    )
    assert set(said) == {"front.dampers.main.length_collapsed", "front.dampers.main.length_extended"}
    for text in said.values():
        assert "are they crossed?" in text
        assert "length_" not in text
        assert "Eye to eye, fully in" in text


def test_what_a_message_says_of_keys_and_set_ups_is_said_of_boxes():
    wire = {"wire_diameter": "15.5 mm", "coil_diameter": "140 mm", "active_coils": "7", "rate": "30 N/mm"}
    said = wrong(answered(**{f"front__springs__coil__{key}": text for key, text in wire.items()}))
    (text,) = set(said.values())
    # An apostrophe within a word opens no quotation.
    assert "“Wire”" in text
    assert "“Coils that work”" in text
    assert "_" not in text
    assert "set-up" not in text


@pytest.mark.parametrize(
    ("typed", "where", "words"),
    [
        ({"front__guide__pivot__behind_front_axle": "88 mm"}, "front.guide.pivot.behind_front_axle", ["front arm", "880 mm?"]),
        (
            {"front__dampers__main__length_collapsed": "14 in", "front__dampers__main__length_extended": "23 in", "front__dampers__main__length_at_ride": "27.5 in"},
            "front.dampers.main.length_at_ride", ["27.5", "fully out"],
        ),
        ({"weighed__front": "1.510 kg"}, "weighed.front", ["would have to pull"]),
    ],
)  # fmt: skip
def test_what_cannot_stand_is_said_at_the_box_that_is_at_fault(typed, where, words):
    said = answered(**typed)
    assert set(wrong(said)) == {where}
    assert all(word in wrong(said)[where] for word in words)
    assert "guide" not in said["refused"]
    assert said["scene"] is None


def test_a_load_that_is_a_slip_is_asked_about_with_nothing_else_filled_in():
    data = {"kind": "vehicle", "name": "x", "weighed": {"front": "1.510 kg"}}
    said = answer(Document(data, Path("x.yaml")))
    (notice,) = said["notices"]
    assert notice["where"] == "weighed.front"
    assert "1510 kg?" in notice["text"]
    # What follows from it is no fault of a box that nobody filled in.
    assert [row["where"] for row in said["problems"]] == [""]
    assert "body.mass" not in said["problems"][0]["message"]


def test_springs_too_soft_to_hold_the_truck_are_an_answer_and_no_breakdown():
    """A wire of a tenth of 16 mm: a rate of a ten-thousandth."""
    coil = {"wire_diameter": "1.6 mm", "coil_diameter": "130 mm", "active_coils": "7.5 turns"}
    said = answered(**{f"front__springs__coil__{key}": text for key, text in coil.items()})
    assert "no height at which it stays" in said["refused"]
    assert any("16 mm would be usual" in row["text"] for row in said["notices"])


def test_who_is_aboard_is_said_back():
    def said(*words):
        return [row["text"] for row in understood({"weighed": {"aboard": list(words)}})]

    assert said("driver") == []
    assert said("85 kg driver", "me", "half a tank") == [
        "Counted as a load: driver, 85 kg. Weighed with the truck and a part of it: half a tank."
    ]
    assert "Nobody is counted" in said("two friends")[0]
    # A weight of one's own is that of the load.
    vehicle = as_edited(
        Document({"kind": "vehicle", "name": "x", "weighed": {}}, Path("x.yaml")),
        typed_edits({**TICKET, "weighed.aboard": "driver 95 kg"}),
    )
    from sim.show.pages.local.answers import vehicle_of

    assert vehicle_of(vehicle).loads["driver"].mass == 95.0


def test_a_rear_tyre_that_is_taken_from_the_front_says_so():
    def notices(**typed):
        return [row["where"] for row in answered(**typed)["notices"]]

    assert notices(front__tyre__size="33x12.50R15") == ["rear.tyre.size"]
    assert (
        notices(
            front__tyre__size="33x12.50R15",
            front__tyre__pressure="2 bar",
            rear__tyre__size="33x12.50R15",
            rear__tyre__pressure="2 bar",
        )
        == []
    )


def test_keys_are_boxes_and_other_words_stay():
    assert in_form_words("wire_diameter is missing") == "“Wire” is missing"
    assert in_form_words("write '32 kg'") == "write '32 kg'"


@pytest.mark.parametrize(
    ("text", "where", "said"),
    [
        # Of one thing alone; of several, by the part that the message is about; a whole path; a word to choose; a key without a box.
        ("must be less than length_extended", "front.dampers.main.length_collapsed", "“Eye to eye, fully out”"),
        ("needs above_ground too", "front.guide.pivot.behind_front_axle", "arm's pivot: above ground”"),
        ("needs above_ground too", "rear.dampers.main.body.behind_front_axle", "upper mount: above ground”"),
        ("measure rear.dampers.main.length_at_ride first", "", "“Rear dampers: eye to eye, standing”"),
        ("a twin_tube must stand rod up", "", "a twin tube must stand rod up"),
        ("a speed_keeper holds it", "", "a speed keeper holds it"),
    ],
)
def test_a_message_on_the_page_has_no_key(text, where, said):
    words = in_form_words(text, where)
    assert said in words
    assert "_" not in words


def test_names_of_files_and_what_somebody_wrote_stay():
    text = "hut_supply_truck.yaml and courses/slow_track.yaml were changed; there is no set-up 'my_own' of “length_extended”"
    assert in_form_words(text) == text


def test_half_of_a_measurement_asks_for_the_other_half_without_a_key():
    said = wrong(answered(front__tyre__jacked__load="220 kg, 540 kg"))
    assert set(said) == {"front.tyre.jacked.height"}
    assert said["front.tyre.jacked.height"].startswith("is wanted too, two values with a comma between: ")
    assert "key" not in said["front.tyre.jacked.height"]


@pytest.mark.parametrize(
    ("path", "text", "words"),
    [
        # 0.2 bar are 0.2 / 0.0689476 = 2.9008 psi.
        ("front__tyre__pressure", "2.2 psi", "must be more than about 2.9 psi"),
        ("rear__shafts__final_drive", "4.10:1", "a ratio is written as one number: write 4.10"),
        ("rear__shafts__final_drive", "41:10", "here a bare number is wanted"),
    ],
)
def test_limits_and_ratios_are_said_in_figures_of_the_shop(path, text, words):
    said = wrong(answered(**{path: text}))
    assert words in said[path.replace("__", ".")]


@pytest.mark.parametrize(
    ("path", "text", "meant"),
    [
        ("front.guide.pivot.above_ground", "-500 mm", "500 mm?"),
        ("rear.dampers.main.body.above_ground", "-33 in", "33 in?"),
    ],
)
def test_a_mount_in_the_ground_is_asked_about(path, text, meant):
    said = {row["where"]: row["text"] for row in answered(**{path: text})["notices"]}
    assert "height above the ground" in said[path]
    assert meant in said[path]
    assert path not in {row["where"] for row in answered(**{path: text.removeprefix("-")})["notices"]}


def test_a_strap_that_nobody_typed_is_not_said_to_be_there():
    def droop(said):
        return next(row["cells"] for row in said["numbers"] if row["label"] == "Droop ends")

    assert droop(answered())[0] == "at its limit strap, which is estimated: without one write none under “Strap, taut”"
    assert droop(answered(front__strap__length="17 in"))[0] == "at its limit strap"
    assert "limit strap" not in droop(answered(front__strap__length="none"))[0]
