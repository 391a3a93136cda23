"""A damper's lean that was measured as an angle is refused with the distance across that it is: length times its sine."""

from math import radians, sin

import pytest

from sim.cli import main
from tests.cli.shop import said_to

TRUCK = ["--front", "1390 kg", "--rear", "1180 kg", "--wheelbase", "2.85 m"]


@pytest.mark.parametrize("text", ["20 deg", "20°"])
def test_an_angle_is_told_as_the_distance_of_the_damper_as_taped(text, tmp_path, capsys):
    given = [*TRUCK, "--at-ride", "rear: 480 mm", "--set", f"rear.dampers.main.lean_inward={text}", "--units", "metric"]
    assert main(["new", str(tmp_path / "truck.yaml"), *given]) == 2
    assert f"480.0 mm x sin 20 deg = {480 * sin(radians(20)):.1f} mm" in capsys.readouterr().err  # 164.2 mm


def test_so_it_is_where_nobody_has_taped_the_damper_and_in_a_question(capsys):
    lean = "Rear damper, distance across"
    answers, _ = said_to({lean: ["20 deg", "164 mm"]})
    assert answers["rear.dampers.main.lean_inward"] == "164 mm"
    assert "the damper's length eye to eye times the sine of its lean" in capsys.readouterr().err


def test_so_it_is_in_a_set_up(tmp_path, capsys):
    assert main(["new", str(tmp_path / "truck.yaml"), *TRUCK, "--at-ride", "rear: 480 mm"]) == 0
    capsys.readouterr()
    file = tmp_path / "lean.yaml"
    file.write_text(
        "kind: scenario\nname: Lean\nvehicle: truck.yaml\nrun: {kind: drop, height: 50 mm}\nsetups:\n  today:\n  lean:\n"
        "    rear.dampers.main.lean_inward: 20 deg\n",
        encoding="utf-8",
    )
    assert main(["check", str(file)]) == 2
    said = capsys.readouterr().err
    assert "lean.yaml:8:5: setups.lean.rear.dampers.main.lean_inward: 'deg' is not a length" in said
    assert "164.2 mm" in said
