"""A key in the wrong part of a file, and a number cut in two by a comma: what to write instead is said."""

import shutil

import pytest

import sim
from sim.describe.files.scenario import load
from tests.synthetic import SCENARIOS

HEAD = "kind: scenario\nname: x\nvehicle: vehicles/hut_supply_truck.yaml\nrun: {kind: course, course: courses/hut_track.yaml, speed: 20 km/h}\n"


@pytest.fixture
def problems(tmp_path):
    for folder in ("vehicles", "courses"):
        shutil.copytree(SCENARIOS / folder, tmp_path / folder)

    def of(text):
        path = tmp_path / "asked.yaml"
        path.write_text(HEAD + text, encoding="utf-8")
        with pytest.raises(sim.InputError) as caught:
            load(path)
        return caught.value.problems

    return of


@pytest.mark.parametrize(
    ("text", "suggestion"),
    [
        ("speed: 30 km/h\nsetups:\n  a:\n", "it belongs inside 'run'"),
        ("setups:\n  a:\n    front.valving: {kind: straight, compression: 2 kN s/m, rebound: 3 kN s/m}\n", "it belongs inside 'dampers.main'"),
        ("setups:\n  a:\n    dampers.rear.main.count: 4\n", "did you mean rear.dampers.main.count?"),
        ("setups:\n  a:\n    dampers.main.count: 4\n", "did you mean front.dampers.main.count or rear.dampers.main.count?"),
        ("setups:\n  a:\n    loads.winch.mass: 75 kg\n", "give the whole of it: loads.winch: {mass: "),
        ("setups:\n  a:\n    loads.drivr.mass: 75 kg\n", "did you mean 'driver'?"),
        ("setups:\na:\n  front.dampers.main.count: 4\n", "if it belongs to 'setups', indent it"),
    ],
)  # fmt: skip
def test_a_key_in_the_wrong_part_is_told_its_place(text, suggestion, problems):
    assert any(suggestion in one.suggestion for one in problems(text))


@pytest.mark.parametrize(
    ("mass", "suggestion"),
    [
        ("300,5 kg", "write the decimal point as a point: 300.5 kg"),
        # As a thousands mark: 1640 kg was meant.
        ("1,640 kg", "write the number without a comma"),
    ],
)
def test_a_number_cut_in_two_by_a_comma_is_one_problem(mass, suggestion, problems):
    text = f"setups:\n  a:\n    loads.winch: {{mass: {mass}, place: {{behind_front_axle: -800 mm, above_ground: 700 mm}}}}\n"
    (one,) = problems(text)
    assert suggestion in one.suggestion


def test_a_damper_speed_without_its_unit_is_not_told_to_be_one_of_the_road(problems):
    side = "{low: 2 kN s/m, knee: 0.12, high: 1 kN s/m}"
    text = f"setups:\n  a:\n    front.dampers.main.valving: {{kind: knee, compression: {side}, rebound: {side}}}\n"
    for one in problems(text):
        assert "'0.12 m/s'" in one.message
        assert "km/h" not in one.message
