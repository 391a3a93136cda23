"""A coil by what a caliper says of it: wire, mean diameter and turns, from a flag, to a question, and for `jounce spring coil`."""

import pytest

from sim.cli import main
from sim.cli.coil_list import coil_list, is_coil_list
from sim.describe.files.vehicles import load_vehicle
from tests.cli.shop import said_to

TRUCK = ["--front", "1390 kg", "--rear", "1180 kg"]
BY_HAND = 79.3e9 * 0.016**4 / (8 * 0.140**3 * 8.5)
"""G d⁴ / (8 D³ n) (Shigley, ch. 10), spring steel 79.3 GPa: 27.85 N/mm."""

KEYS = {"wire_diameter": "16 mm", "coil_diameter": "140 mm", "active_coils": "8.5"}


@pytest.mark.parametrize(
    "text", ["16 mm, 140 mm, 8.5", "16 mm wire, 140 mm mean diameter, 8.5 active turns", "140 mm, 16 mm, 8.5 turns"]
)
def test_a_list_says_what_it_is(text):
    assert is_coil_list(text)
    assert coil_list(text) == KEYS


@pytest.mark.parametrize("text", ["190 lb/in", "40,000 N/m", "33,5 N/mm", "7, 2 1/2 in, 0.28 in, 46 in"])
def test_a_rate_and_a_pack_are_no_such_list(text):
    assert not is_coil_list(text)


def test_an_option_takes_it_in_place_of_a_rate(tmp_path, capsys):
    file = tmp_path / "truck.yaml"
    assert main(["new", str(file), *TRUCK, "--coil", "front: 16 mm wire, 140 mm, 8.5 turns"]) == 0
    assert load_vehicle(file).front.springs["coil"].rate_n_per_m == pytest.approx(BY_HAND)
    assert main(["new", str(file), "--coil", "front: 33 N/mm"]) == 0
    assert "wire_diameter 16 mm, coil_diameter 140 mm, active_coils 8.5 taken out" in capsys.readouterr().err
    assert load_vehicle(file).front.springs["coil"].rate_n_per_m == pytest.approx(33e3)
    for wrong in ("front: 16 mm, 140 mm", "front: 16 mm"):
        assert main(["new", str(tmp_path / "no.yaml"), *TRUCK, "--coil", wrong]) == 2
        said = capsys.readouterr().err
        assert "wire, mean diameter (outside less one wire) and active turns" in said
        assert "--coil 'front: 0.63 in wire, 5.5 in, 8.5 turns'" in said


@pytest.mark.parametrize(
    "asked", [{"Front springs": ["coils"], "Front coil: rate": ["16 mm, 140 mm, 8.5"]}, {"Front springs": ["coil 16 mm, 140 mm, 8.5"]}]
)  # fmt: skip
def test_a_question_takes_it_too(asked, capsys):
    answers, heard = said_to(asked)
    assert answers == {"front.springs": "coils", **{f"front.springs.coil.{key}": text for key, text in KEYS.items()}}
    assert not any(one.startswith(("Front coil, wire", "Front coil, mean")) for one in heard)
    assert "wire: " in capsys.readouterr().err


COIL = ["spring", "coil", "--load", "5333 N", "--length", "290 mm", "--across", "140 mm", "--travel", "69 mm"]


def test_a_coil_that_is_there_is_worked_out_by_its_wire_and_turns(capsys):
    assert main([*COIL, "--wire", "16 mm", "--turns", "8.5", "--units", "metric"]) == 0
    out = capsys.readouterr().out
    assert f"{BY_HAND / 1e3:.2f} N/mm" in out
    assert f"{290 + 5333 / BY_HAND * 1e3:.1f} mm" in out  # 481.5 mm free
    assert "8.50, 10.50" in out


@pytest.mark.parametrize("more", [[], ["--turns", "8.5"], ["--rate", "28 N/mm", "--wire", "16 mm", "--turns", "8.5"]])
def test_a_coil_wants_its_rate_or_its_wire_and_turns(more, capsys):
    assert main([*COIL, *more]) == 2
    assert "give the wanted --rate, or --wire and --turns of a coil that is there" in capsys.readouterr().err


def test_a_rate_in_the_wrong_unit_is_asked_about(capsys):
    """36 lb/in are 6.3 N/mm: under 5333 N such a coil gives 846 mm."""
    given = ["--load", "5333 N", "--length", "341 mm", "--across", "140 mm", "--travel", "120 mm"]
    assert main(["spring", "coil", *given, "--rate", "36 lb/in"]) == 2
    said = capsys.readouterr().err
    assert "36 N/mm or 360 lb/in would be usual: look at the unit, or at the decimal point" in said
    assert f"gives {5333 / (36 * 4.4482216152605 / 0.0254) * 1e3:.1f} mm" in said
