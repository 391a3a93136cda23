"""Parts of a file that `jounce new` describes otherwise: a spring by its leaves in place of a rate, and back; no strap, and one again."""

import io
import sys

import pytest

from sim.cli import main
from sim.cli.asking import asked
from sim.cli.question_answers import with_answers
from sim.describe.estimates.fields import fields
from sim.describe.files.vehicles import load_vehicle, vehicle_from

pytestmark = pytest.mark.long  # whole commands

LEAVES = "7, 2, 2 1/2 in, 0.28 in, 22 in, 24 in"


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "truck.yaml"
    assert main(["new", str(path), "--front", "2450 lb", "--rear", "1780 lb", "--leaf", "230 lb/in"]) == 0
    return path


def rear_pack(file):
    return load_vehicle(file).rear.springs["pack"]


def test_leaves_take_the_place_of_a_rate_and_a_rate_that_of_leaves(file, capsys):
    before = file.read_text(encoding="utf-8")
    assert main(["new", str(file), "--leaf", f"rear:{LEAVES}"]) == 0
    assert "rear.springs.pack: rate 230 lb/in taken out" in capsys.readouterr().err
    assert rear_pack(file).rate is None
    assert rear_pack(file).leaves == 7
    assert load_vehicle(file).front.springs["pack"].rate is not None
    assert file.with_name("truck_before_1.yaml").read_text(encoding="utf-8") == before
    assert main(["new", str(file), "--leaf", "rear:210 lb/in"]) == 0
    assert (
        "leaves 7, full_length_leaves 2, leaf_width 2 1/2 in, leaf_thickness 0.28 in taken out"
        in capsys.readouterr().err
    )
    assert rear_pack(file).rate == pytest.approx(210 * 4.4482216152605 / 0.0254)
    assert rear_pack(file).halves is not None  # taped, and true of a pack with a rate too


def test_a_coil_beside_a_leaf_pack_is_said_once(file, capsys):
    """Both carry the axle then; who updates another axle's coil would not see it."""
    capsys.readouterr()
    for times in (1, 0):
        assert main(["new", str(file), "--coil", "rear:190 lb/in"]) == 0
        said = capsys.readouterr().err
        assert said.count("coils and leaf packs now carry this axle together") == times
        assert "NOTICE: front" not in said
    assert set(load_vehicle(file).rear.springs) == {"coil", "pack"}


def test_so_do_answers(file, monkeypatch, capsys):
    # Springs of the rear axle are the twelfth question of a truck on leaf packs, the pack the thirteenth.
    monkeypatch.setattr(sys, "stdin", io.StringIO("\n" * 11 + f"{LEAVES}\n"))
    assert main(["new", str(file), "--questions"]) == 0
    assert "rear.springs.pack: rate 230 lb/in taken out" in capsys.readouterr().err
    assert rear_pack(file).leaves == 7


def test_both_at_once_are_refused_with_what_to_take_out(file, capsys):
    both = ["--leaf", "rear:230 lb/in", "--set", "rear.springs.pack.leaves=7"]
    before = file.read_text(encoding="utf-8")
    assert main(["new", str(file), *both]) == 2
    assert "not both: take out rate, or leaves, leaf_width, leaf_thickness and length" in capsys.readouterr().err
    assert file.read_text(encoding="utf-8") == before


def travel(capsys, answers, before=None):
    """Return what is answered to the questions of travel, by path, and which of them were asked."""
    asked_for = []

    def answer(question):
        label = question.strip().partition(";")[0].partition(" (")[0]
        if label.startswith(("More:", "Travel:")):
            return "y"
        if "stop" in label or "strap" in label:
            asked_for.append(label)
        return answers.get(label, "")

    found = asked(before or {}, answer)
    return found, asked_for, capsys.readouterr().err


def test_a_question_takes_no_strap_and_no_stop_for_an_answer(capsys):
    strap, gap = "limit strap, length when taut", "bump stop, gap at ride height"
    answers = {f"Front {strap}": "none", f"Rear {strap}": "same", f"Front {gap}": "None"}
    found, labels, said = travel(capsys, answers)
    assert found == {"front.strap.length": "none", "rear.strap.length": "none", "front.stop.gap": "None"}
    assert "Front bump stop, free height" not in labels  # of a stop that is not there
    assert "Rear bump stop, free height" in labels
    assert "Taken as in front: none." in said
    vehicle = vehicle_from(with_answers({"weighed": {}}, found, fields()))
    assert (vehicle.front.strap, vehicle.rear.strap, vehicle.front.stop) == (None, None, None)
    assert vehicle.rear.stop is not None
    # The other way: a strap that the file said there was none of.
    found, _, _ = travel(capsys, {f"Front {strap}": "17 in"}, {"weighed": {}, "front": {"strap": "none"}})
    vehicle = vehicle_from(with_answers({"weighed": {}, "front": {"strap": "none"}}, found, fields()))
    assert vehicle.front.strap.length == pytest.approx(17 * 0.0254)


def test_a_file_keeps_that_there_is_no_strap(file, capsys):
    assert main(["new", str(file), "--set", "front.strap=none", "--set", "rear.strap.length=none"]) == 0
    assert (load_vehicle(file).front.strap, load_vehicle(file).rear.strap) == (None, None)
    assert main(["new", str(file), "--set", "front.strap.length=17 in"]) == 0
    assert load_vehicle(file).front.strap.length == pytest.approx(17 * 0.0254)
    assert load_vehicle(file).rear.strap is None
    assert main(["new", str(file), "--set", "front.strap.length=nonne"]) == 2
    assert "write e.g. '420 mm' or '17 in'" in capsys.readouterr().err
