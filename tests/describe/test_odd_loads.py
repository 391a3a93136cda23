"""Loads that are possible, but hardly meant: said where they are read from a file, a set-up or the command line."""

import pytest

import sim
from sim.cli import main

TRUCK = """kind: vehicle
name: loads
weighed: {front: 1510 kg, rear: 1240 kg}
wheelbase: 2650 mm
loads:
"""
CARGO = "  cargo: {mass: 300 kg, place: {behind_front_axle: 2650 mm, above_ground: 1000 mm}}\n"
SAID = [
    ("  in the bed: {mass: 300 kg, place: {behind_front_axle: 2650 mm, above_ground: 1010 mm}}\n", "where 'cargo' lies already"),
    ("  in the bed: {mass: -300 kg, place: {behind_front_axle: 1900 mm, above_ground: 1000 mm}}\n", "a load below nothing lifts the truck"),
    ("  winch: {mass: 48 kg, place: {behind_front_axle: 800 mm, above_ground: 650 mm}}\n", "it would be between the axles"),
]  # fmt: skip
MEANT = [
    "  in the bed: {mass: 300 kg, place: {behind_front_axle: 2200 mm, above_ground: 1000 mm}}\n",
    "  lighter engine: {mass: -80 kg, place: {behind_front_axle: 100 mm, above_ground: 750 mm}}\n",
    "  winch: {mass: 48 kg, place: {behind_front_axle: -800 mm, above_ground: 650 mm}}\n",
    "  rear bumper: {mass: 48 kg, place: {behind_front_axle: 3600 mm, above_ground: 650 mm}}\n",
]


@pytest.mark.parametrize(("load", "said"), SAID)
def test_a_slip_in_a_file_is_said_with_its_line(load, said, tmp_path):
    path = tmp_path / "loads.yaml"
    path.write_text(TRUCK + CARGO + load, encoding="utf-8")
    (text,) = [one for one in sim.load(path).notices if said in one]
    assert "loads.yaml:7:" in text
    assert "try: " in text


@pytest.mark.parametrize("load", MEANT)
def test_what_is_meant_passes_unsaid(load, tmp_path):
    path = tmp_path / "loads.yaml"
    path.write_text(TRUCK + CARGO + load, encoding="utf-8")
    assert not [one for one in sim.load(path).notices if "loads." in one]


def test_slips_of_set_ups_and_of_the_command_line_are_said_too(tmp_path, capsys):
    path = tmp_path / "loads.yaml"
    path.write_text(TRUCK + CARGO, encoding="utf-8")
    scenario = tmp_path / "scenario.yaml"
    scenario.write_text(
        "kind: scenario\nname: s\nvehicle: loads.yaml\nrun: {kind: drop, height: 20 mm}\nsetups:\n  as it is: {}\n  winch:\n"
        "    loads.winch: {mass: 48 kg, place: {behind_front_axle: 800 mm, above_ground: 650 mm}}\n",
        encoding="utf-8",
    )
    main(["check", str(scenario)])
    assert "it would be between the axles" in capsys.readouterr().err
    main(["loads", str(path), "--load", "in the bed=300 kg, 2650 mm, 1000 mm"])
    said = capsys.readouterr().err
    assert "NOTICE: --load in the bed: possible, but hardly meant: it lies where 'cargo' lies already" in said
    assert "600 kg" in said
    main(["loads", str(path), "--load", "winch=48 kg, -800 mm, 650 mm"])
    assert "hardly meant" not in capsys.readouterr().err
