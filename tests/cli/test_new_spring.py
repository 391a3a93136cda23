"""A spring of a file that is described otherwise by `jounce new`: by its leaves in place of a rate, and back."""

import io
import sys

import pytest

from sim.cli import main
from sim.describe.files.vehicles import load_vehicle

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
