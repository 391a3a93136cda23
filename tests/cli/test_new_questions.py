"""The questions of `jounce new`: skipped, answered, gone back to, from a terminal and from a pipe."""

import re

import pytest
import yaml

from sim.cli import main
from sim.cli.asking import asked
from sim.cli.question_answers import with_answers
from sim.cli.question_list import TWO_BOXES, beside, general, items
from sim.describe.estimates.fields import fields
from sim.describe.files.vehicles import load_vehicle, vehicle_from
from sim.describe.shown import shown_in
from tests.cli.shop import FLAGS, PIPED, new, piped, said_to, typed

pytestmark = pytest.mark.long  # whole commands and studies, over and over: seconds each


def test_questions_that_are_all_skipped_give_the_truck_that_they_promise(tmp_path, capsys, monkeypatch):
    piped(monkeypatch, "\n" * 12)
    path = tmp_path / "skipped.yaml"
    assert main(["new", str(path), "--questions"]) == 0
    said = capsys.readouterr().err
    assert "NOTICE: nothing was answered" in said
    promised = re.search(r"Wheelbase .*skipped: (about .*?) \(", said)[1]
    assert f"wheelbase: {promised}" in path.read_text()
    assert main(["check", str(path), str(tmp_path / "skipped_first.yaml")]) == 0


def test_questions_can_all_be_skipped_and_what_is_wrong_is_asked_again(capsys):
    every = []
    assert asked({}, lambda question: every.append(question) or "\n") == {}
    # The twelve that matter most, and whether there is more to say.
    assert len(every) == 14
    assert [one.strip().partition(":")[0] for one in every[12:]] == [
        "Is a lift, another engine, a winch, cargo or other tyres planned? (y/N)",
        "More",
    ]
    lines = iter(["2450 widgets", "2450", "2450 lb", "", "driver", "."])
    heard = []

    def answer(question):
        heard.append(question)
        return next(lines)

    assert asked({}, answer) == {"weighed.front": "2450 lb", "weighed.aboard": "driver"}
    assert len(heard) == 6
    assert "needs a unit" in capsys.readouterr().err
    # what is skipped is said beforehand, with its range
    assert "skipped: about" in heard[3]
    assert "usual" in heard[0]


def test_springs_that_were_chosen_are_asked_for(capsys):
    questions = []

    def answer(question):
        questions.append(question)
        if "(y/N)" in question:
            return "y"
        return "coils" if question.strip().startswith("Front springs") else ""

    asked({}, answer)
    assert sum("Front coil: rate" in one for one in questions) == 1
    assert not any("Front leaf pack" in one for one in questions)
    # Each at most once, and headings are counted as they come.
    assert len(questions) == len(set(questions))
    count = next(int(one.split()[1]) for one in questions if one.strip().startswith("More:"))
    more = questions[next(number for number, one in enumerate(questions) if one.strip().startswith("More:")) + 1 :]
    assert count == sum("(y/N)" not in one for one in more)


def test_a_question_can_be_gone_back_to_and_an_answer_forgotten(capsys):
    answers, heard = said_to(
        {
            "Front axle on": ["back", "2450 lb", "2460 lb"],
            "Rear axle on": ["back", "1780 lb"],
            "Wheelbase": ["92 in", "skip"],
            "Front tyre, size": ["back"],
        }
    )
    assert answers == {"weighed.front": "2460 lb", "weighed.rear": "1780 lb"}
    assert "now 2450 lb" in heard[3]
    assert "This is the first question." in capsys.readouterr().err


@pytest.mark.parametrize(
    ("begin", "text", "shown", "kept"),
    [
        ("Front tyre, size", "33 in", "now 33 in", {"front.tyre.outside_diameter": "33 in"}),
        (
            "Front springs",
            "190 lb/in",
            "now coils, 190 lb/in",
            {"front.springs": "coils", "front.springs.coil.rate": "190 lb/in"},
        ),
        (
            "Front damper, eye to eye",
            "23.5 in, 14.25 in",
            "now 23.5 in, 14.25 in",
            {"front.dampers.main.length_extended": "23.5 in", "front.dampers.main.length_collapsed": "14.25 in"},
        ),
    ],
)
def test_going_back_to_an_answer_forgets_nothing_of_it(begin, text, shown, kept):
    after = "Rear" + begin.removeprefix("Front")
    answers, heard = said_to({begin: [text, ""], after: ["back"]})
    assert answers == kept
    assert shown in [one for one in heard if one.startswith(begin)][1]
    # `skip` forgets it.
    answers, _ = said_to({begin: [text, "skip"], after: ["back"]})
    assert answers == {}


def test_another_answer_takes_the_place_of_all_that_the_first_one_took():
    back = {"Rear tyre, size": ["back"]}
    answers, _ = said_to({"Front tyre, size": ["33x12.50R15", "33 in"], **back})
    assert answers == {"front.tyre.outside_diameter": "33 in"}
    answers, _ = said_to({"Front tyre, size": ["33 in", "33x12.50R15"], **back})
    assert answers == {"front.tyre.size": "33x12.50R15"}
    answers, heard = said_to(
        {"Front damper, eye to eye": ["23.5 in, 14.25 in", "24 in"], "Rear damper, eye to eye": ["back"]}
    )
    assert answers == {"front.dampers.main.length_extended": "24 in"}
    assert any(one.startswith("Front damper fully in") for one in heard)


def test_no_to_a_heading_leaves_out_what_was_answered_behind_it(capsys):
    skipped, steps = [""] * 12, [item.field.path for item in items() if item.behind == ("More",)]
    assert typed(*skipped, "y", "", "2 in", "back", "back", "back", "n") == {}
    # Enter keeps it, and so does yes after no.
    assert typed(*skipped, "y", "", "2 in", "back", "back", "back", "") == {"planned.lift.rear": "2 in"}
    assert typed(*skipped, "y", "", "2 in", *["back"] * 3, "n", "back", "y") == {"planned.lift.rear": "2 in"}
    # A heading within another one: no to either of them.
    first = next(item.field for item in items() if item.behind == ("More", steps[0]))
    answered = [*skipped, "n", "y", "y", first.example, "back", "back"]
    assert typed(*answered, "") == {first.path: first.example}
    assert typed(*answered, "n") == {}
    assert typed(*answered, "back", "n") == {}


def test_what_was_said_of_coils_goes_where_they_are_leaf_packs_in_the_end():
    skipped = [""] * 8
    assert typed(*skipped, "coils", "190 lb/in", "back", "back", "leaf") == {"front.springs": "leaf packs"}
    again = typed(*skipped, "coils", "190 lb/in", "back", "back", "leaf", "back", "coils")
    assert again == {"front.springs": "coils", "front.springs.coil.rate": "190 lb/in"}


def test_a_question_mark_says_how_it_is_measured_and_asks_again(capsys):
    answers, heard = said_to({"Front axle on": ["?", "2450 lb"]})
    assert answers == {"weighed.front": "2450 lb"}
    assert heard[0] == heard[1]
    said = capsys.readouterr().err
    for words in ("Front wheels on the scale", "docs/measure/weights.md", "Usual: 300 to 2200 kg", "Skipped: about"):
        assert words in said


def test_springs_may_be_answered_by_their_rate_and_tyres_by_their_diameter():
    answers, heard = said_to(
        {
            "Front springs": ["190 lb/in"],
            "Rear springs": ["leaf 230 lb/in"],
            "Front tyre, size": ['33"'],
            "Rear tyre, size": ["same"],
        }
    )
    assert answers == {
        "front.tyre.outside_diameter": '33"', "rear.tyre.outside_diameter": '33"', "front.springs": "coils", "front.springs.coil.rate": "190 lb/in",
        "rear.springs": "leaf packs", "rear.springs.pack.rate": "230 lb/in",
    }  # fmt: skip
    # What was answered along with another question is not asked again.
    assert not any(one.startswith(("Front coil: rate", "Rear leaf pack, rate", "Front tyre, outside")) for one in heard)
    # Nor is what would only stand in its place.
    assert not any(one.startswith(("Front coil, wire", "Rear leaf pack, number")) for one in heard)
    again, _ = said_to({"Front springs": ["190 lb/in", "leaf"], "Rear springs": ["back"]})
    assert again == {"front.springs": "leaf packs"}


LEAVES = "7, 2, 2 1/2 in, 0.28 in, 22 in, 24 in"


def test_a_leaf_pack_may_be_answered_by_its_leaves(capsys):
    """Its rate then is that of the leaves: 4 E b t³ (2 n_G + 3 n_F) / (12 (l/2)³) of two cantilevers, by hand (Khurmi, Machine Design)."""
    answers, heard = said_to(
        {"Front springs": ["leaf"], "Front leaf pack": [LEAVES], "Rear springs": ["leaf"], "Rear leaf pack": ["same"]}
    )
    keys = ("leaves", "full_length_leaves", "leaf_width", "leaf_thickness", "halves.ahead", "halves.behind")
    for axle in ("front", "rear"):
        assert [answers[f"{axle}.springs.pack.{key}"] for key in keys] == LEAVES.split(", ")
        assert f"{axle}.springs.pack.rate" not in answers
    assert not any(one.startswith(("Front leaf pack, number", "Rear leaf pack, width")) for one in heard)
    assert "Taken as its leaves: number of leaves 7" in capsys.readouterr().err
    truck = vehicle_from(with_answers({"weighed": {"front": "2450 lb", "rear": "1780 lb"}}, answers, fields()))
    half, inch = (22 + 24) / 2 * 0.0254, 0.0254
    by_hand = 2 * 207e9 * 2.5 * inch * (0.28 * inch) ** 3 * (2 * 5 + 3 * 2) / (12 * half**3)
    assert truck.rear.springs["pack"].rate_n_per_m == pytest.approx(by_hand, rel=0.02)
    # Another answer takes the place of all of it.
    again, _ = said_to({"Front springs": ["leaf"], "Front leaf pack": [LEAVES, "230 lb/in"], "Rear springs": ["back"]})
    assert again == {"front.springs": "leaf packs", "front.springs.pack.rate": "230 lb/in"}


@pytest.mark.parametrize(("text", "code"), [(LEAVES, 0), ("7, 2, 2 1/2 in, 0.28 in", 0), (f"{LEAVES}, 3 in", 2)])
def test_leaves_go_into_an_option_as_into_a_question(text, code, tmp_path, capsys):
    file = tmp_path / "truck.yaml"
    assert main(["new", str(file), "--front", "2450 lb", "--rear", "1780 lb", "--leaf", f"rear:{text}"]) == code
    said = capsys.readouterr().err
    if code:
        assert "width, thickness, then both halves" in said
        assert not file.exists()
    else:
        pack = load_vehicle(file).rear.springs["pack"]
        assert (pack.leaves, pack.full_length_leaves) == (7, 2)
        assert pack.leaf_thickness == pytest.approx(0.28 * 0.0254)
        # A thousands mark makes no leaves of a rate.
        assert main(["new", str(tmp_path / "other.yaml"), "--leaf", "rear:40,000 N/m"]) == 0
        assert load_vehicle(tmp_path / "other.yaml").rear.springs["pack"].rate_n_per_m == 40e3


def test_leaves_answered_for_a_rate_are_kept_whichever_headings_are_passed():
    """Each leaf has a question of its own behind a heading; nobody who has answered it must go there for it."""
    rear = [*[""] * 9, "leaf", LEAVES]
    paths = [
        f"rear.springs.pack.{key}"
        for key in ("leaves", "full_length_leaves", "leaf_width", "leaf_thickness", "halves.ahead", "halves.behind")
    ]
    expected = {"rear.springs": "leaf packs", **dict(zip(paths, LEAVES.split(", "), strict=True))}
    # The questions end there; or "More" and its headings are said no to; or a heading is agreed to and then left.
    assert typed(*rear) == typed(*rear, "", "", "n", "n") == typed(*rear, "", "", "n", "y", "n", "n", "n") == expected


def test_what_is_wrong_with_a_leaf_pack_is_asked_again(capsys):
    answers, _ = said_to(
        {"Front springs": ["leaf"], "Front leaf pack": ["7, 9, 2 1/2 in, 0.28 in", "7, 2, 2 1/2 in, 0.28 in"]}
    )
    assert "full_length_leaves is more than all leaves" in capsys.readouterr().err
    assert answers["front.springs.pack.full_length_leaves"] == "2"
    assert "front.springs.pack.halves.ahead" not in answers


def test_pressure_is_asked_with_the_tyres(capsys):
    answers, heard = said_to({"Front tyre, pressure": ["28 psi"], "Rear tyre, pressure": ["same"]})
    assert answers == {"front.tyre.pressure": "28 psi", "rear.tyre.pressure": "28 psi"}
    place = next(n for n, one in enumerate(heard) if one.startswith("Front tyre, pressure"))
    assert heard[place - 1].startswith("Rear tyre, size")


def test_both_lengths_of_a_damper_are_one_answer_or_two():
    both, heard = said_to({"Front damper, eye to eye": ["23.5 in, 14.25 in"], "Rear damper, eye to eye": ["same"]})
    assert both == {
        f"{axle}.dampers.main.length_{end}": text
        for axle in ("front", "rear")
        for end, text in (("extended", "23.5 in"), ("collapsed", "14.25 in"))
    }
    assert not any("damper fully in" in one for one in heard)
    one, heard = said_to({"Front damper, eye to eye": ["23.5 in"], "Front damper fully in": ["14.25 in"]})
    assert one == {"front.dampers.main.length_extended": "23.5 in", "front.dampers.main.length_collapsed": "14.25 in"}
    assert sum("damper fully in" in one for one in heard) == 1


def test_what_takes_two_boxes_is_said_once():
    assert general("rear.tyre.size") == "{axle}.tyre.size"
    assert general("weighed.front") == "weighed.front"
    assert beside("rear.tyre.size") == "rear.tyre.outside_diameter"
    assert beside("front.tyre.pressure") == "front.tyre.pressure"
    paths = [item.field.path for item in items()]
    boxes = {field.path for field in fields()}
    for path, two in TWO_BOXES.items():
        for axle in ("front", "rear"):
            assert {path.format(axle=axle), two.other.format(axle=axle)} <= boxes
            # The second box is a question by itself only where an answer may leave it open.
            assert paths.count(two.other.format(axle=axle)) == (0 if two.either else 1)


def test_crossed_lengths_are_said_where_they_are_answered(capsys):
    answers, heard = said_to({"Front damper, eye to eye": ["14.25 in, 23.5 in", "23.5 in, 14.25 in"]})
    assert sum(one.startswith("Front damper, eye to eye") for one in heard) == 2
    assert answers["front.dampers.main.length_extended"] == "23.5 in"


def test_half_of_what_belongs_together_is_left_out(capsys):
    answers, _ = said_to(
        {"Front tyre, two loads": ["800 lb, 1300 lb"], "Which axle was lifted": ["rear"], "How far it was": ["24 in"]}
    )
    assert answers == {}
    said = capsys.readouterr().err
    assert "Front tyre, two loads on jack and scale: left out, as it says nothing without" in said
    assert "what the scale then said under the other axle" in said


def test_questions_come_in_the_units_that_were_typed_or_chosen():
    _, heard = said_to({"Front axle on": ["2450 lb"]})
    assert " kg" in heard[0]
    assert not any(" kg" in one or " mm" in one for one in heard[1:])
    _, metric = said_to({"Front axle on": ["1111 kg"]})
    assert not any(" lb;" in one or " in;" in one for one in metric[1:])
    assert "e.g. 807" in metric[1]  # 1780 lb are 807.4 kg
    with shown_in("inch"):
        _, chosen = said_to({})
    assert " kg" not in chosen[0]


def test_answers_from_a_pipe_give_the_file_that_flags_give(tmp_path, capsys, monkeypatch):
    """One answer a line; the end of the file skips the rest."""
    piped(monkeypatch, PIPED)
    assert main(["new", str(tmp_path / "piped.yaml"), "--name", "Ticket", "--questions"]) == 0
    assert "fully out, and fully in" in capsys.readouterr().err
    rear = [word for word in FLAGS if word not in ("--coil", "190 lb/in")]
    assert (
        new(
            tmp_path,
            "--name",
            "Ticket",
            "--coil",
            "front:190 lb/in",
            "--set",
            "rear.springs.pack.kind=leaf_pack",
            flags=rear,
        )
        == 0
    )
    one, other = (yaml.safe_load((tmp_path / name).read_text()) for name in ("piped.yaml", "my_truck.yaml"))
    one["front"]["springs"]["coil"].pop("kind")
    assert one == other


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("2450 lb\nmany\n92 in\n", "standard input:2:1: Rear axle on the scale"),
        ("2450 lb\n1780 lb\n\n92\n", "standard input:4:1: Wheelbase: the number 92 needs a unit"),
        ("\n" * 12 + "perhaps\n", "standard input:13:1"),
        ("\n" * 12 + "y\n2 lb\n", "standard input:14:1: Lift in front"),
        (b"\xff\xfe\x00", "standard input: this is no text"),
        ("", "nothing is given"),
    ],
)
def test_what_a_pipe_says_wrong_is_named_by_its_line_and_nothing_written(tmp_path, capsys, monkeypatch, text, said):
    piped(monkeypatch, text)
    assert main(["new", str(tmp_path / "piped.yaml")]) == 2
    assert said in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_halves_of_a_pack_are_answered_one_by_one():
    answers, _ = said_to(
        {
            "Rear springs": ["leaf"], "Rear leaf pack: rate": ["6, 70 mm, 8 mm"], "Rear leaf pack, whole": ["1300 mm"],
            "Rear leaf pack, front eye": ["560 mm"],
        }
    )  # fmt: skip
    assert answers["rear.springs.pack.halves.ahead"] == "560 mm"
    pack = vehicle_from(with_answers({"weighed": {}}, answers, fields())).rear.springs["pack"]
    assert pack.halves.behind == pytest.approx(1.300 - 0.100 - 0.560)


def test_what_is_done_where_a_question_is_skipped_is_said_of_this_truck():
    """Two packs of 2000 lb/in let an axle of some 900 kg down by 900 x 9.8 / 700 000 = 13 mm, less than any damper has left; coils fall out."""
    strap = "Rear limit strap, length when taut"
    question = next(one for one in said_to({"Rear springs": ["leaf 2000 lb/in"]})[1] if one.startswith(strap))
    assert "skipped: no strap, as the leaf packs hold the hanging axle" in question
    on_coils = next(one for one in said_to({"Rear springs": ["coils"]})[1] if one.startswith(strap))
    assert "skipped: about" in on_coils


def test_a_coil_whose_wire_is_known_is_not_said_to_be_estimated_by_its_ride():
    coil = {"wire_diameter": "16 mm", "coil_diameter": "140 mm", "active_coils": 8.5}
    _, heard = said_to({}, {"weighed": {}, "front": {"springs": {"coil": coil}}})
    rate = next(one for one in heard if one.startswith("Front coil: rate"))
    assert "now 16 mm, 140 mm, 8.5" in rate
    assert "skipped" not in rate
