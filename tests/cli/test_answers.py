"""Answers as people in a shop type them: taken whole, or refused with a way out, and never taken in part."""

import io
import re
import sys

import pytest

from sim.cli import main
from sim.cli.asking import asked
from sim.cli.leaf_list import is_leaf_list, leaf_list
from sim.describe.files.vehicles import load_vehicle
from sim.describe.shown import shown_in

INCH = 0.0254
BEFORE_SPRINGS = [""] * 9
"""Skipped on the way to the rear springs."""


def typed(*lines):
    """Return what comes of lines, one after the other."""
    left = list(lines)
    return asked({}, lambda question: left.pop(0) if left else ".")


def pack(**keys):
    return {
        "rear.springs": "leaf packs",
        **{f"rear.springs.pack.{key.replace('__', '.')}": text for key, text in keys.items()},
    }


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        (
            "leaf 7, 1, 2.5 in, 0.31 in, 27 in, 27 in",
            pack(leaves="7", full_length_leaves="1", leaf_width="2.5 in", leaf_thickness="0.31 in", halves__ahead="27 in", halves__behind="27 in"),
        ),
        ("7, 0.31 in, 2.5 in, 54 in", pack(leaves="7", leaf_width="2.5 in", leaf_thickness="0.31 in", length="54 in")),
        ("Leaf springs: 7 leaves, 65 mm, 8 mm", pack(leaves="7", leaf_width="65 mm", leaf_thickness="8 mm")),
        ("leaf 230 lb/in", pack(rate="230 lb/in")),
        ("coil spring, 230 lb per inch", {"rear.springs": "coils", "rear.springs.coil.rate": "230 lb per inch"}),
        ("Coil springs", {"rear.springs": "coils"}),
        ("le", {"rear.springs": "leaf packs"}),
    ],
)  # fmt: skip
def test_nothing_that_is_typed_of_springs_is_lost(text, kept, capsys):
    assert typed(*BEFORE_SPRINGS, text) == kept
    # Whatever came along is said back, or was the whole answer.
    said = capsys.readouterr().err
    assert all(one in said for one in kept.values() if len(kept) > 1)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("leaf 54 in", ("'54 in' is neither a rate nor a list of leaves", "write 'leaf packs' and give the rest at the next question")),
        ("coil 230", ("'230' has no unit", "'coil 230 lb/in'")),
        ("coil 54 in", ("'54 in' is no rate", "write 'coils'")),
        ("leaf 7, 2, 2.5 in", ("3 values are not the list", "width, thickness, then both halves")),
        ("coil and leaf", ("names both",)),
        ("rubber", ("'rubber' is not one of coils, leaf packs", "leaf 230 lb/in")),
    ],
)  # fmt: skip
def test_what_is_not_understood_of_springs_is_asked_again(text, said, capsys):
    assert typed(*BEFORE_SPRINGS, text) == {}
    err = capsys.readouterr().err
    for words in said:
        assert words in err


def test_leaves_that_came_with_the_springs_are_not_asked_again_and_go_with_them():
    heard = []
    answers = iter([*BEFORE_SPRINGS, "leaf 7, 2.5 in, 0.31 in, 54 in"])

    def answer(question):
        heard.append(question.strip())
        return next(answers, "")

    asked({}, answer)
    assert not any(one.startswith("Rear leaf pack: rate") for one in heard)
    assert typed(*BEFORE_SPRINGS, "leaf 7, 2.5 in, 0.31 in, 54 in", "back", "coils") == {"rear.springs": "coils"}
    again = typed(*BEFORE_SPRINGS, "leaf 7, 2.5 in, 0.31 in, 54 in", "back", "leaf", "230 lb/in")
    assert again == pack(rate="230 lb/in")


@pytest.mark.parametrize(
    ("text", "keys"),
    [
        ("7, ?, 2.5 in, 0.31 in, 54 in", "leaves leaf_width leaf_thickness length"),
        ("7, 2.5 in, 0.31 in", "leaves leaf_width leaf_thickness"),
        ("7, 2, 2.5 in, 0.31 in, 54 in", "leaves full_length_leaves leaf_width leaf_thickness length"),
        ("7, 2.5 in, 0.31 in, 27 in, 28 in", "leaves leaf_width leaf_thickness halves.ahead halves.behind"),
        ("7, 2 full length, 2.5 in, 0.31 in, ?", "leaves full_length_leaves leaf_width leaf_thickness"),
        ("7, 2.5 in, 0.31 in, 54 in, held 4 in", "leaves leaf_width leaf_thickness length clamped"),
        ("7, 2.5 in, 0.31 in, 54 in, U-bolts hold 4 in", "leaves leaf_width leaf_thickness length clamped"),
    ],
)  # fmt: skip
def test_a_leaf_list_may_be_shorter(text, keys):
    found = leaf_list(text)
    assert list(found) == keys.split()
    assert (found["leaves"], found["leaf_width"], found["leaf_thickness"]) == ("7", "2.5 in", "0.31 in")


@pytest.mark.parametrize(
    "text", ["7, 2.5 in", "7, 2, 2.5 in, ?, 54 in", "2.5 in, 0.31 in, 54 in", "7, 2, 1 in, 1 in, 1 in, 1 in, 1 in"]
)
def test_what_is_no_leaf_list_says_how_one_is_written(text):
    assert is_leaf_list(text)
    with pytest.raises(ValueError, match="number of leaves, those of full length"):
        leaf_list(text)


@pytest.mark.parametrize("text", ["6, 63 mm, 7,5 mm, 1200 mm", "6, 63, 7, 1200 mm", "6, 63 mm, 7"])
def test_a_length_without_its_unit_or_with_a_decimal_comma_is_said_to_be_one(text):
    """7,5 mm falls apart at its comma: what is left of it is no thickness of 7 and no half of 5 mm."""
    with pytest.raises(ValueError, match=r"'7' has no unit.*decimal comma is written as a point"):
        leaf_list(text)


def test_a_rate_with_a_comma_is_no_leaf_list():
    assert not is_leaf_list("40,000 N/m")
    assert not is_leaf_list("12,5 N/mm")
    assert not is_leaf_list("230 lb/in")


@pytest.mark.long
def test_an_option_takes_leaves_by_their_length_eye_to_eye(tmp_path, capsys):
    """By hand as two cantilevers of half of what bends: 2 E b t³ (2 n_G + 3 n_F) / (12 l³) (Khurmi, Machine Design); one leaf of full length."""
    file = tmp_path / "truck.yaml"
    flags = ["--front", "2450 lb", "--rear", "1780 lb", "--wheelbase", "92 in"]
    assert main(["new", str(file), *flags, "--leaf", "rear:7, 2.5 in, 0.31 in, 54 in, held 4 in"]) == 0
    by_hand = 2 * 207e9 * 2.5 * INCH * (0.31 * INCH) ** 3 * (2 * 6 + 3 * 1) / (12 * (25 * INCH) ** 3)
    assert load_vehicle(file).rear.springs["pack"].rate_n_per_m == pytest.approx(by_hand, rel=1e-6)
    assert main(["new", str(tmp_path / "no.yaml"), *flags, "--leaf", "rear:7, 2.5 in"]) == 2
    assert "--leaf 'rear: 7, 2," in capsys.readouterr().err


@pytest.mark.parametrize(
    ("before", "front", "path"),
    [
        ([], "2450 lb", "weighed.rear"),
        ([""] * 12 + ["y"], "2 in", "planned.lift.rear"),
    ],
)
def test_same_is_taken_wherever_the_front_was_asked_the_same(before, front, path):
    answers = typed(*before, front, "same")
    assert answers[path] == answers[path.replace("rear", "front")] == front


def test_same_as_a_front_that_is_not_lifted_is_no_lift():
    assert typed(*[""] * 12, "y", "", "same", "180 lb") == {"planned.engine": "180 lb"}


@pytest.mark.parametrize("word", ["and", "&", "+", ","])
def test_people_aboard_are_loads_however_they_are_joined(word, tmp_path):
    file = tmp_path / "truck.yaml"
    aboard = f"Driver {word} passenger, jack and tools"
    assert main(["new", str(file), "--front", "2450 lb", "--rear", "1780 lb", "--aboard", aboard]) == 0
    vehicle = load_vehicle(file)
    assert {"driver", "passenger"} <= set(vehicle.loads)
    # What names nobody stays one thing.
    assert "jack and tools" in file.read_text()


def test_a_first_question_shows_its_estimate_in_both_systems_until_one_is_typed():
    heard = []
    answers = iter(["", "1780 lb"])

    def answer(question):
        heard.append(question)
        return next(answers, ".")

    asked({}, answer)
    first, second, third = (one.split("skipped:")[1] for one in heard[:3])
    for text in (first, second):
        assert " kg" in text
        assert " lb" in text
    assert " kg" not in third
    wheelbase = []
    texts = iter(["2450 lb", "", "", "."])
    asked({}, lambda question: wheelbase.append(question) or next(texts))
    assert " in" in wheelbase[3]
    assert " mm" not in wheelbase[3]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--coil", "front 230 lb/in"], "write front:230 lb/in"),
        (["--lift", "rear 2 in"], "write rear:2 in"),
        (["--tyre", "35-12.50/15"], "is it 35x12.50R15?"),
        (["--pressure", "24 bar"], "24 psi or 2.4 bar would be usual: look at the unit, or at the decimal point"),
        (["--wheelbase", "104 mm"], "104 in would be usual: look at the unit"),
        (["--front", "28g0 lb"], "the number '28g0' is not understood"),
    ],
)
def test_a_slip_in_an_option_is_answered_with_what_was_meant(words, said, tmp_path, capsys, monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    file = tmp_path / "truck.yaml"
    assert main(["new", str(file), "--rear", "1780 lb", *words]) == 2
    assert said in capsys.readouterr().err
    assert not file.exists()


@pytest.mark.parametrize(("units", "other"), [("metric", r"\b(?:in|lb)\b"), ("inch", r"\b(?:mm|kg)\b")])
def test_how_numbers_are_written_is_said_in_the_units_that_are_asked_for(capsys, units, other):
    def nothing(question):
        raise EOFError

    with shown_in(units):
        asked({}, nothing)
    said = capsys.readouterr().err.partition("Write numbers with their unit:")[2].partition("\n")[0]
    assert re.search(r"\d (?:mm|in), \d+ (?:kg|lb)\.", said)
    assert not re.search(other, said)
