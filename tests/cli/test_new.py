"""A first file of one's own truck: written from flags or answers, read again, never written over without a copy."""

import io
import re
import shutil
import sys
from pathlib import Path

import pytest
import yaml

from sim.cli import main
from sim.cli.asking import asked
from sim.cli.question_answers import with_answers
from sim.cli.question_list import TWO_BOXES, beside, general, items
from sim.describe.estimates.fields import fields
from sim.describe.files.as_written import vehicle_text
from sim.describe.files.scenario import load, load_scenario
from sim.describe.files.vehicles import load_vehicle, vehicle_from
from sim.describe.shown import shown_in

pytestmark = pytest.mark.long  # whole commands and studies, over and over: seconds each

ROOT = Path(__file__).parents[2]
SCENARIOS = ROOT / "scenarios"
FLAGS = [
    "--front", "2450 lb", "--rear", "1780 lb", "--wheelbase", "92 in", "--tyre", '33"', "--coil", "190 lb/in", "--extended", "23.5 in",
    "--collapsed", "14.25 in",
]  # fmt: skip


def new(tmp_path, *more, flags=FLAGS):
    return main(["new", str(tmp_path / "my_truck.yaml"), *flags, *more])


def test_an_assumed_count_of_leaves_stands_in_the_file_as_a_comment(tmp_path):
    words = ["--set", "rear.springs.pack.leaves=7", "--set", "rear.springs.pack.leaf_thickness=0.28 in"]
    assert main(["new", str(tmp_path / "t.yaml"), "--front", "2450 lb", "--rear", "1780 lb", *words]) == 0
    assert re.search(
        r"^# +full_length_leaves: '?1'? +# from the main leaf alone",
        (tmp_path / "t.yaml").read_text(encoding="utf-8"),
        re.MULTILINE,
    )


def test_the_ticket_gives_a_truck_that_stands_and_a_scenario_that_runs(tmp_path, capsys):
    assert new(tmp_path) == 0
    # the files are checked as a person would
    assert main(["check", str(tmp_path / "my_truck.yaml"), str(tmp_path / "my_truck_first.yaml")]) == 0
    assert "stands with 1111 kg (2450 lb) in front, 807 kg (1780 lb) behind" in capsys.readouterr().out
    scenario = load_scenario(tmp_path / "my_truck_first.yaml")
    assert list(scenario.setups) == ["as it is", "soft", "firm"]
    assert scenario.reference == "as it is"


def test_what_is_written_is_what_was_given_and_the_rest_is_remarks(tmp_path):
    new(tmp_path, "--name", 'O\'Neill "x": #1, <b>', "--aboard", "driver, half a tank", "--set", "front.strap=none")
    text = (tmp_path / "my_truck.yaml").read_text()
    data = yaml.safe_load(text)
    assert data["name"] == 'O\'Neill "x": #1, <b>'
    assert data["weighed"] == {"front": "2450 lb", "rear": "1780 lb", "aboard": ["driver", "half a tank"]}
    assert data["front"] == {
        "tyre": {"outside_diameter": '33"'}, "springs": {"coil": {"rate": "190 lb/in"}}, "strap": "none",
        "dampers": {"main": {"length_extended": "23.5 in", "length_collapsed": "14.25 in"}},
    }  # fmt: skip
    remarks = [line for line in text.splitlines() if line.startswith("# ") and "docs/measure/" in line]
    assert len(remarks) > 60
    for line in remarks:
        assert (ROOT / line[line.index("docs/measure/") :].split(")")[0].strip()).exists(), line


@pytest.mark.parametrize("word", ["soft", "stock", "firm", "heavy"])
def test_a_word_for_the_valving_stands_in_the_file_as_given(tmp_path, word):
    assert new(tmp_path, "--valving", word) == 0
    data = yaml.safe_load((tmp_path / "my_truck.yaml").read_text())
    assert data["front"]["dampers"]["main"]["valving"] == data["rear"]["dampers"]["main"]["valving"] == word
    load_vehicle(tmp_path / "my_truck.yaml")


def test_remarks_taken_away_are_the_file_without_estimates(tmp_path):
    """A person takes away '# ' of all lines: the truck is the same, and nothing of it is estimated but the words for its valving."""
    new(tmp_path)
    path = tmp_path / "my_truck.yaml"
    before = load_vehicle(path)
    head, *lines = path.read_text().split("\nkind:", 1)
    path.write_text(head + "\nkind:" + "\n".join(line.removeprefix("# ") for line in lines[0].splitlines()) + "\n")
    after = load_vehicle(path)
    assert after.estimates == ()
    assert after.model_dump() == before.model_dump()


def test_a_file_that_is_there_is_changed_and_a_copy_kept(tmp_path):
    new(tmp_path)
    path = tmp_path / "my_truck.yaml"
    path.write_text(path.read_text().replace("  rear: 1780 lb ", "  rear: 1780 lb  # with the spare, muddy\n  # "))
    first = path.read_text()
    (tmp_path / "my_truck_first.yaml").write_text("mine")
    assert main(["new", str(path), "--wheelbase", "93 in", "--set", "front.stop.gap=3 1/4 in"]) == 0
    assert (tmp_path / "my_truck_before_1.yaml").read_text() == first
    assert (tmp_path / "my_truck_first.yaml").read_text() == "mine"
    changed = path.read_text()
    gone = [line for line in first.splitlines() if line not in changed.splitlines()]
    # What is estimated follows from what is given; all else stays.
    assert [line.split("#")[0].strip() for line in gone if not line.startswith("# ")] == ["wheelbase: 92 in"]
    assert "# with the spare, muddy" in changed
    assert main(["new", str(path), "--wheelbase", "94 in"]) == 0
    assert (tmp_path / "my_truck_before_2.yaml").read_text() == changed


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--wheelbase", "93"], "wheelbase: the number 93 needs a unit"),
        (["--set", "front.stop"], "write it as KEY=VALUE"),
        (["--set", "=3"], "write it as KEY=VALUE"),
        (["--set", "wheels=3"], "the key 'wheels' is not known here"),
        (["--valving", "front:hard"], "front.dampers.main.valving"),
        (["--tyre", "big"], "a length is written as a number with its unit"),
        ([], "nothing is given"),
    ],
)
def test_nonsense_is_refused_and_nothing_written(tmp_path, capsys, monkeypatch, words, said):
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    assert new(tmp_path, *words, flags=[]) == 2
    assert said in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(("words", "said"), [(["--lift", "2 in"], True), (["--questions"], False)])
def test_a_plan_without_a_truck_is_not_called_nothing(tmp_path, capsys, monkeypatch, words, said):
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    assert new(tmp_path, *words, flags=[]) == 2
    assert ("a plan needs a truck" in capsys.readouterr().err) == said
    assert list(tmp_path.iterdir()) == []
    # Of a truck that has a file a plan is enough, whoever wants to be asked for more.
    assert new(tmp_path) == 0
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    assert new(tmp_path, *words, flags=[]) == (0 if said else 2)


def test_questions_that_are_all_skipped_give_the_truck_that_they_promise(tmp_path, capsys, monkeypatch):
    piped(monkeypatch, "\n" * 12)
    path = tmp_path / "skipped.yaml"
    assert main(["new", str(path), "--questions"]) == 0
    said = capsys.readouterr().err
    assert "NOTICE: nothing was answered" in said
    promised = re.search(r"Wheelbase .*skipped: (about .*?) \(", said)[1]
    assert f"wheelbase: {promised}" in path.read_text()
    assert main(["check", str(path), str(tmp_path / "skipped_first.yaml")]) == 0


def test_a_file_of_another_kind_is_left_alone(tmp_path, capsys):
    path = tmp_path / "my_truck.yaml"
    shutil.copy(ROOT / "scenarios" / "vehicles" / "hut_supply_truck.yaml", path)
    before = path.read_bytes()
    assert new(tmp_path) == 2
    assert "no truck as measured" in capsys.readouterr().err
    assert path.read_bytes() == before
    assert [one.name for one in tmp_path.iterdir()] == ["my_truck.yaml"]
    assert main(["new", str(tmp_path / "truck.txt"), *FLAGS]) == 2
    assert main(["new", str(tmp_path / "nowhere" / "truck.yaml"), *FLAGS]) == 4
    assert main(["new"]) == 2


def test_questions_can_all_be_skipped_and_what_is_wrong_is_asked_again(capsys):
    every = []
    assert asked({}, lambda question: every.append(question) or "\n") == {}
    # The twelve that matter most, and whether there is more to say.
    assert len(every) == 14
    assert [one.strip().partition(":")[0] for one in every[12:]] == [
        "Is a lift, another engine, a winch or cargo planned? (y/N)",
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
    assert sum("Front coil, rate" in one for one in questions) == 1
    assert not any("Front leaf pack" in one for one in questions)
    # Each at most once, and headings are counted as they come.
    assert len(questions) == len(set(questions))
    count = next(int(one.split()[1]) for one in questions if one.strip().startswith("More:"))
    more = questions[next(number for number, one in enumerate(questions) if one.strip().startswith("More:")) + 1 :]
    assert count == sum("(y/N)" not in one for one in more)


def said_to(answers, known=()):
    """Return what comes of answers, given by the beginning of their question, and all that was asked; other questions are skipped."""
    heard, left = [], {begin: list(texts) for begin, texts in answers.items()}

    def answer(question):
        heard.append(question.strip())
        own = next((texts for begin, texts in left.items() if question.strip().startswith(begin) and texts), None)
        return own.pop(0) if own else "y" if "(y/N)" in question else ""

    return asked(dict(known), answer), heard


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


def typed(*lines):
    """Return what comes of lines, one after the other."""
    left = list(lines)
    return asked({}, lambda question: left.pop(0) if left else ".")


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
    assert not any(one.startswith(("Front coil, rate", "Rear leaf pack, rate", "Front tyre, outside")) for one in heard)
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


def test_the_courses_come_along_and_are_named(tmp_path, capsys):
    (tmp_path / "courses").mkdir()
    own = tmp_path / "courses" / "ripples.yaml"
    own.write_text("# my own\n", encoding="utf-8")
    assert new(tmp_path) == 0
    text = (tmp_path / "my_truck_first.yaml").read_text(encoding="utf-8")
    shipped = {path.name for path in (SCENARIOS / "courses").glob("*.yaml")}
    assert {path.name for path in (tmp_path / "courses").glob("*.yaml")} == shipped
    assert all(f"courses/{name}" in text for name in shipped)
    assert own.read_text(encoding="utf-8") == "# my own\n"
    own.unlink()
    assert main(["check", *map(str, sorted((tmp_path / "courses").glob("*.yaml")))]) == 0


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


def test_one_slip_is_said_once_and_not_with_what_follows_from_it(tmp_path, capsys):
    assert new(tmp_path, "--wheelbase", "9200 in") == 2
    said = capsys.readouterr().err
    assert "wheelbase: must not be more than" in said
    assert "1 problem." in said


def test_an_axle_that_stands_higher_than_its_tyre_is_noticed(tmp_path, capsys):
    assert new(tmp_path, "--axle-height", "front:20 in") == 0
    said = capsys.readouterr().err
    assert "NOTICE: front.axle_height: possible, but hardly meant" in said
    assert "usual: 13.2 in to 16.5 in" in said
    assert "rear.axle_height" not in said


@pytest.mark.parametrize("springs", [("coils", "coils"), ("leaf packs", "leaf packs"), ("coils", "leaf packs")])
@pytest.mark.parametrize("stroke", [("14 in", "10 in"), ("23.5 in", "14.25 in"), ("30 in", "18 in")])
def test_springs_that_nobody_measured_hold_both_ends_off_their_stops(springs, stroke):
    from sim.describe.estimates.fields import with_text_at
    from sim.describe.files.vehicles import vehicle_from
    from sim.linear.standing import stand

    known = {field.path: field for field in fields()}
    data = {"kind": "vehicle", "name": "x", "weighed": {"front": "2450 lb", "rear": "1780 lb"}}
    for axle, word in zip(("front", "rear"), springs, strict=True):
        data = with_text_at(data, f"{axle}.springs", word, known[f"{axle}.springs"])
        for key, text in zip(("length_extended", "length_collapsed"), stroke, strict=True):
            data = with_text_at(data, f"{axle}.dampers.main.{key}", text)
    standing = stand(vehicle_from(data))
    for axle in standing.axles.values():
        # 20 mm is the least gap that is taken of a stop.
        assert axle.travel_left_up >= 0.0199
        assert abs(axle.jounce) < 1e-4


def test_the_demo_is_copied_and_runs(tmp_path, capsys):
    assert main(["new", "--demo", str(tmp_path / "demo")]) == 0
    for one in (ROOT / "scenarios").rglob("*.yaml"):
        assert (tmp_path / "demo" / one.relative_to(ROOT / "scenarios")).read_bytes() == one.read_bytes()
    load(tmp_path / "demo" / "two_or_four.yaml")
    assert main(["new", "--demo", str(tmp_path / "demo")]) == 4
    assert "not empty" in capsys.readouterr().err


def test_a_vehicle_text_reads_back():
    mapping = {
        "weighed": {},
        "name": "33",
        "note": "a: b # c",
        "front": {"tyre": {"jacked": {"load": ["800 lb", "1300 lb"], "height": ["16 in", "15.6 in"]}}},
    }
    assert yaml.safe_load(vehicle_text(mapping)) == {"kind": "vehicle", **mapping}


@pytest.mark.parametrize("units", ["inch", *(pytest.param(one, marks=pytest.mark.hours) for one in ("both", "metric"))])
def test_what_the_shop_does_next_works_in_any_units(tmp_path, capsys, monkeypatch, units):
    """The README's way: stand with its bands and pictures, then the page to order by."""
    monkeypatch.chdir(tmp_path)
    assert new(tmp_path) == 0
    assert main(["stand", "my_truck.yaml", "--units", units, "--picture", "outputs/stands"]) == 0
    out = capsys.readouterr().out
    assert ("on the ground [lb]" in out, "on the ground [kg]" in out, "on the ground [kg (lb)]" in out) == (
        units == "inch",
        units == "metric",
        units == "both",
    )
    assert main(["sheet", "my_truck.yaml", "--units", units]) in (0, 3)
    [folder] = Path("outputs").glob("my_truck*_sheet")
    assert (folder / "report.html").stat().st_size > 10_000


PIPED = '2450 lb\n1780 lb\n\n92 in\n33"\nsame\n\n\n190 lb/in\nleaf packs\n\n23.5 in, 14.25 in\nsame\n'


def piped(monkeypatch, text):
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(text if isinstance(text, bytes) else text.encode())))


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


def test_what_is_planned_becomes_set_ups_beside_the_truck(tmp_path, capsys, monkeypatch):
    plans = [
        "--lift",
        "2 in",
        "--winch",
        "165 lb",
        "--cargo",
        "660 lb",
        "--set",
        "rear.springs.pack.kind=leaf_pack",
        "--coil",
        "front:190 lb/in",
    ]
    assert new(tmp_path, *plans, flags=[word for word in FLAGS if word not in ("--coil", "190 lb/in")]) == 0
    path = tmp_path / "my_truck_planned.yaml"
    assert f"What is planned: jounce compare {path}" in capsys.readouterr().err
    text = path.read_text()
    assert "&id" not in text
    setups = yaml.safe_load(text)["setups"]
    assert list(setups) == [
        "as it is",
        "lifted 2 in in front and 2 in behind",
        "bumper and winch",
        "cargo",
        "all loads, not lifted",
        "all of it",
    ]
    assert setups["cargo"]["loads.cargo"]["mass"] == "660 lb"
    assert setups["all of it"].keys() == {key for changes in setups.values() for key in changes}
    # All of it is judged against the same loads without the lift: what they do to ride and grip is none of the lift's merit.
    from sim.measure.references import same_choice

    trucks = load_scenario(path).setups
    assert trucks["all loads, not lifted"].loads == trucks["all of it"].loads
    assert same_choice(trucks["all loads, not lifted"], trucks["as it is"])
    # It stands as much higher as was asked for: what a lift is.
    from sim.linear.standing import stand

    frames = {name: stand(truck) for name, truck in load_scenario(path).setups.items()}
    for axle in ("front", "rear"):
        up = frames["as it is"].axles[axle].jounce - frames["lifted 2 in in front and 2 in behind"].axles[axle].jounce
        assert up == pytest.approx(0.0508, abs=0.001)
    piped(monkeypatch, PIPED + "y\n2 in\n2 in\n\n165 lb\n660 lb\n")
    assert main(["new", str(tmp_path / "asked.yaml"), "--questions"]) == 0
    assert yaml.safe_load((tmp_path / "asked_planned.yaml").read_text())["setups"] == setups
    # What is there stays, another plan gets a name of its own.
    assert new(tmp_path, "--cargo", "300 lb", flags=[]) == 0
    assert path.read_text() == text
    assert (tmp_path / "my_truck_planned_2.yaml").exists()


@pytest.mark.parametrize(
    ("words", "names"),
    [
        (["--lift=-2in"], ["lowered 2 in in front and 2 in behind"]),
        (["--lift", "front:2in", "--lift", "rear:-1 in"], ["lifted 2 in in front and lowered 1 in behind"]),
        (["--lift", "front:0 in", "--lift", "rear:2 in"], ["lifted 2 in behind"]),
        (["--engine=-180lb"], ["lighter engine"]),
        (["--engine", "180lb"], ["heavier engine"]),
    ],
)
def test_a_plan_is_called_what_it_is(tmp_path, words, names):
    assert new(tmp_path, *words) == 0
    path = tmp_path / "my_truck_planned.yaml"
    assert main(["check", str(path)]) == 0
    assert list(yaml.safe_load(path.read_text())["setups"]) == ["as it is", *names]


@pytest.mark.parametrize(("units", "unit"), [("metric", "mm"), ("inch", "in"), ("both", "in")])
def test_lift_and_loads_are_written_in_the_same_units(tmp_path, units, unit):
    """As was chosen; where both were, as the truck was typed."""
    assert new(tmp_path, "--lift", "2 in", "--cargo", "660 lb", "--units", units) == 0
    setups = yaml.safe_load((tmp_path / "my_truck_planned.yaml").read_text())["setups"]["all of it"]
    lengths = [text for key, text in setups.items() if key.endswith("free_length")]
    lengths += setups["loads.cargo"]["place"].values()
    assert [text.split()[1] for text in lengths] == [unit] * 4
    # 92 in are 2336.8 mm: cargo lies over the rear axle.
    assert lengths[2] == ("2337 mm" if unit == "mm" else "92 in")


def test_a_lift_that_cannot_be_is_asked_again_where_it_is_asked(capsys):
    skipped = [""] * 12
    answers = typed("2450 lb", *skipped[1:], "y", "90 in", "2 in", "0 in", "-90 lb", "many", "", "-660 lb", "660 lb")
    assert answers == {
        "weighed.front": "2450 lb", "planned.lift.front": "2 in", "planned.engine": "-90 lb", "planned.cargo": "660 lb",
    }  # fmt: skip
    said = capsys.readouterr().err
    assert "the truck cannot be lifted so" in said
    assert "Taken as: nothing is planned there." in said
    assert "must be more than nothing" in said


def test_a_plan_that_fails_after_the_questions_costs_no_answer(tmp_path, capsys, monkeypatch):
    """What was answered after a lift may leave it no room; an option is not asked for at all."""
    piped(monkeypatch, PIPED)
    path = tmp_path / "asked.yaml"
    assert main(["new", str(path), "--questions", "--lift", "90 in"]) == 3
    said = capsys.readouterr().err
    assert "NOTICE: what is planned is left out, as it cannot be: planned lift: the truck cannot be lifted so" in said
    assert yaml.safe_load(path.read_text())["weighed"]["front"] == "2450 lb"
    assert not (tmp_path / "asked_planned.yaml").exists()
    # An option that is not understood is refused before anybody is asked.
    piped(monkeypatch, PIPED)
    assert main(["new", str(tmp_path / "other.yaml"), "--questions", "--lift", "2 lb"]) == 2
    assert "Front axle on the scale" not in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--lift", "90 in"], "cannot be lifted so"),
        (["--lift", "front:2 lb"], "planned lift, front"),
        (["--cargo", "many"], "planned: cargo"),
        (["--lift", "0 in"], "a lift of nothing changes nothing"),
        (["--cargo", "99999999lb"], "planned: cargo: must not be more than"),
        (
            ["--winch", "20000 lb"],
            "planned: bumper and winch: the truck cannot stand so: The load lifts the rear wheels",
        ),
        (["--winch=-50lb"], "planned: bumper and winch: must be more than nothing"),
        (["--cargo=-660lb"], "planned: cargo: must be more than nothing"),
        (["--engine", "0 kg"], "planned: heavier engine: changes nothing"),
    ],
)
def test_a_plan_that_cannot_be_is_refused_and_nothing_written(tmp_path, capsys, words, said):
    assert new(tmp_path, *words) == 2
    assert said in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_an_estimate_out_of_range_is_not_told_to_be_written_in_another_unit(tmp_path, capsys):
    """A leaf pack of 120 mm leaves half of 60 mm: nobody typed that half, so 60 cm is no advice; what it comes of is."""
    given = [
        "--front",
        "1180 kg",
        "--rear",
        "960 kg",
        "--wheelbase",
        "2580 mm",
        "--leaf",
        "rear: 6, 63 mm, 7 mm, 120 mm",
    ]
    assert main(["new", str(tmp_path / "my.yaml"), *given]) == 2
    said = capsys.readouterr().err
    assert "estimated from half of the pack's length" in said
    assert "60 cm" not in said
    assert "try: look at what it is estimated from" in said


def test_all_that_is_wrong_with_a_plan_is_said_at_once(tmp_path, capsys):
    """Whoever writes one number without its unit writes them all so."""
    assert new(tmp_path, "--lift", "50", "--winch", "60", "--cargo", "300 parrots", flags=[]) == 2
    said = capsys.readouterr().err
    for where in ("planned lift, front", "planned lift, rear", "planned: bumper and winch", "planned: cargo"):
        assert f"{where}: " in said
    assert "4 problems" in said
    assert list(tmp_path.iterdir()) == []
