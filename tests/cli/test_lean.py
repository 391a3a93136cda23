"""`jounce lean`, `jounce tramp` and launches from the shell: what they write, and what they refuse."""

import csv
import json
import shutil
from pathlib import Path

import pytest

from sim.cli import main

ROOT = Path(__file__).parents[2]


@pytest.fixture
def demo(tmp_path, monkeypatch):
    shutil.copytree(ROOT / "scenarios", tmp_path / "scenarios")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def told(capsys, *arguments):
    code = main([str(a) for a in arguments])
    out, err = capsys.readouterr()
    assert "Traceback" not in out + err
    return code, out, err


def table(path):
    return list(csv.DictReader(path.read_text(encoding="utf-8").splitlines()))


def test_lean_writes_a_page_of_two_roads(demo, capsys):
    files = "scenarios/rear_lean_on_rock.yaml", "scenarios/rear_lean_on_ripples.yaml"
    code, out, err = told(capsys, "lean", *files, "--steps", "3")
    assert code == 0
    assert "Corrugated gravel" in out
    assert "leans.png" in err
    folder = demo / "outputs" / "rear_lean_on_rock_leaned"
    assert {path.name for path in folder.iterdir()} == {"leans.png", "leans.svg", "leans.csv", "record.json"}
    rows = table(folder / "leans.csv")
    assert len(rows) == 2 * 3 * 3
    assert all(float(row["Pinion swings up by [deg]"]) > 1.0 for row in rows)
    assert json.loads((folder / "record.json").read_text(encoding="utf-8"))["scenarios"] == [
        "Firm rock",
        "Corrugated gravel",
    ]


def test_tramp_writes_its_map(demo, capsys):
    code, out, _ = told(capsys, "tramp", "scenarios/rear_lean_on_rock.yaml", "--steps", "3")
    assert code == 0
    assert "tramp starts at a slip slope of" in out
    rows = table(demo / "outputs/rear_lean_on_rock_tramp/tramp.csv")
    ran = [row for row in rows if row["run tramps"]]
    assert len(ran) == 4
    for row in ran:  # the runs of the full model are on the side of the line that the linear view says
        assert (row["run tramps"] == "yes") == (float(row["damping ratio [-]"]) < 0.0)


def test_a_launch_writes_what_it_has(demo, capsys):
    scenario = demo / "scenarios" / "rear_lean_on_rock.yaml"
    scenario.write_text(scenario.read_text(encoding="utf-8").replace("watch: 4 s", "watch: 1 s"), encoding="utf-8")
    code, out, _ = told(capsys, "compare", scenario)
    assert code == 0
    assert "Rear wind-up, pinion up" in out
    folder = demo / "outputs" / "rear_lean_on_rock"
    assert (folder / "wind_up.png").is_file()
    assert not (folder / "road_and_wheels.png").exists()
    header = (folder / "soft_leaves.csv").read_text(encoding="utf-8").splitlines()[0]
    for column in (
        "engine speed [rpm]",
        "slip rear [%]",
        "torque on housing rear pinion up [N m]",
        "joint angle rear at pinion [deg]",
    ):
        assert column in header


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("lean", "scenarios/two_or_four.yaml"), "course run"),
        (("lean", "scenarios/rear_lean_on_rock.yaml", "--from", "20"), "needs a unit"),
        (("lean", "scenarios/rear_lean_on_rock.yaml", "--from", "50 deg"), "less than --to"),
        (("lean", "scenarios/rear_lean_on_rock.yaml", "--steps", "2"), "allowed is 3"),
        (
            ("lean", "scenarios/rear_lean_on_rock.yaml", "scenarios/lean_against_wind_up.yaml", "--steps", "3"),
            "same set-ups",
        ),
        (("tramp", "scenarios/brake_from_speed.yaml"), "brake"),
        (("tramp", "scenarios/rear_lean_on_rock.yaml", "--setup", "none such"), "no set-up"),
    ],
)
def test_what_is_refused(demo, capsys, arguments, words):
    code, _, err = told(capsys, *arguments)
    assert code == 2
    assert words in err
    assert not (demo / "outputs").exists()


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("sliding: 0.62", "sliding: 0.9", "less than the peak's"),
        ("friction: 0.85, sliding", "friction: 0.85, slide", "not known here"),
        ("climb: 8 deg", "climb: 8", "needs a unit"),
        ("kind: launch", "kind: lanch", "did you mean 'launch'?"),
        ("climb: 8 deg", "climb: 32 deg", "too steep"),
    ],
)
def test_a_broken_launch(demo, capsys, old, new, words):
    scenario = demo / "scenarios" / "rear_lean_on_rock.yaml"
    text = scenario.read_text(encoding="utf-8")
    assert old in text
    scenario.write_text(text.replace(old, new, 1), encoding="utf-8")
    code, _, err = told(capsys, "compare", scenario)
    assert code == 2
    assert words in err


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("speed: 1600 rpm", "speed: 600 rpm", "rising speeds"),
        ("limit: 3900 rpm", "limit: 3900", "needs a unit"),
        ("limit: 3900 rpm", "limit: 700 rpm", "above idle"),
        ("drive: rear", "drive: raer", "did you mean 'rear'?"),
    ],
)
def test_a_broken_driveline(demo, capsys, old, new, words):
    vehicle = demo / "scenarios" / "vehicles" / "hut_supply_truck.yaml"
    text = vehicle.read_text(encoding="utf-8")
    assert old in text
    vehicle.write_text(text.replace(old, new, 1), encoding="utf-8")
    code, _, err = told(capsys, "check", "scenarios/rear_lean_on_rock.yaml")
    assert code == 2
    assert words in err


def test_check_says_what_a_launch_lacks(demo, capsys):
    vehicle = demo / "scenarios" / "vehicles" / "hut_supply_truck.yaml"
    text = vehicle.read_text(encoding="utf-8")
    vehicle.write_text(text.replace("    slip: {stiffness: 16, relaxation_length: 220 mm}\n", "", 1), encoding="utf-8")
    code, _, err = told(capsys, "check", "scenarios/rear_lean_on_rock.yaml")
    assert code == 2
    assert "front tyre" in err
    assert "slip: {stiffness: 16}" in err
    assert told(capsys, "check", "scenarios/two_or_four.yaml")[0] == 0
