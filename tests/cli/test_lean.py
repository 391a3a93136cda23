"""`jounce lean`, `jounce tramp` and launches from the shell: what they write, and what they refuse."""

import csv
import json
import re
import shutil
from pathlib import Path

import pytest

from sim.cli import main
from sim.integrate.status import Flag

pytestmark = pytest.mark.long  # whole commands and studies, over and over: seconds each

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


def shorter(demo, *names):
    """Watch less of the launches: what is written is the same."""
    for name in names:
        path = demo / "scenarios" / f"{name}.yaml"
        path.write_text(path.read_text(encoding="utf-8").replace("watch: 4 s", "watch: 1.2 s"), encoding="utf-8")


@pytest.mark.hours
def test_lean_writes_a_page_of_two_roads(demo, capsys):
    files = "scenarios/rear_lean_on_rock.yaml", "scenarios/rear_lean_on_ripples.yaml"
    shorter(demo, "rear_lean_on_rock", "rear_lean_on_ripples")
    code, out, err = told(capsys, "lean", *files, "--steps", "3")
    assert code == 0
    assert "Corrugated gravel" in out
    assert "leans.png" in err
    folder = demo / "outputs" / "rear_lean_on_rock_leaned"
    assert {path.name for path in folder.iterdir()} == {
        "leans.png", "leans.svg", "leans.csv", "lean_changes.csv", "record.json", "report.html",
    }  # fmt: skip
    rows = table(folder / "leans.csv")
    # grips, roads, set-ups; as it stands, three places of three moves, and two of one ahead and one behind
    assert len(rows) == 2 * 2 * 3 * (1 + 3 * 3 + 2)
    assert all(row["left out"] or float(row["Pinion winds up by [deg]"]) > 1.0 for row in rows)
    # 180 mm ahead with the upper mount where it was, it hangs too far from the strap: a reason, not a value
    assert {row["moved"] for row in rows if row["left out"]} == {"lower", "staggered"}
    assert "LEFT OUT lower mounts 180 mm (7.1 in) ahead of the axle: rear damper 'main' is fully out" in err
    record = json.loads((folder / "record.json").read_text(encoding="utf-8"))
    assert record["scenarios"] == ["Firm rock", "Corrugated gravel"]
    assert record["finding"] in out
    changes = table(folder / "lean_changes.csv")
    assert len(changes) == len(record["changes"]) == 2 * 2 * 3 * 4
    for row in changes:
        if row["change [deg]"]:
            assert row["says"] == ("matters" if float(row["share of the spread [%]"]) >= 9.5 else "hardly matters")


@pytest.mark.hours
def test_lean_tells_of_flagged_runs_and_leaves_them_aside(demo, capsys):
    """Front dampers 600 mm long at most top out as the nose rises: no place of the rear ones counts, and it ends with 3."""
    shorter(demo, "rear_lean_on_rock")
    vehicle = demo / "scenarios" / "vehicles" / "hut_supply_truck.yaml"
    text = vehicle.read_text(encoding="utf-8")
    vehicle.write_text(text.replace("length_extended: 720 mm", "length_extended: 600 mm", 1), encoding="utf-8")
    code, out, err = told(capsys, "lean", "scenarios/rear_lean_on_rock.yaml", "--steps", "3")
    assert code == 3
    assert "FLAGGED  leaves as fitted: front damper 'main' was pulled to its extended end" in out
    assert "FLAGGED" not in err
    assert "no place that was tried counts" in out.lower()
    folder = demo / "outputs" / "rear_lean_on_rock_leaned"
    record = json.loads((folder / "record.json").read_text(encoding="utf-8"))
    assert {flag["kind"] for flag in record["flags"]["leaves as fitted"]} == {"damper_end"}
    assert any(row["flags"] == "front damper 'main' met its extended end" for row in table(folder / "leans.csv"))


@pytest.mark.hours  # a whole map
def test_tramp_tells_of_flagged_runs(demo, capsys, monkeypatch):
    flag = Flag("damper_end", 0.4, "front damper 'main'", "front damper 'main' was pulled to its extended end.")
    monkeypatch.setattr("sim.study.tramp.map.trace_flags", lambda *given: (flag,))
    code, out, err = told(
        capsys, "tramp", "scenarios/rear_lean_on_rock.yaml", "--steps", "3", "--setup", "leaves as fitted"
    )
    assert code == 3
    assert "FLAGGED  upper mounts (lean alone), grip follows load at once: front damper 'main'" in out
    assert "FLAGGED" not in err
    folder = demo / "outputs" / "rear_lean_on_rock_tramp"
    assert any(row["run: flags"] == flag.words for row in table(folder / "tramp.csv"))
    assert any(row["runs"] == f"flagged: {flag.words}" for row in table(folder / "tramp_starts.csv"))


@pytest.mark.hours
def test_tramp_writes_its_map(demo, capsys):
    code, out, _ = told(capsys, "tramp", "scenarios/rear_lean_on_rock.yaml", "--steps", "4")
    assert code == 0
    assert "tramp starts latest with both mounts" in out
    assert "the advice depends on how the tyre's grip builds up: both are shown" in out
    folder = demo / "outputs/rear_lean_on_rock_tramp"
    rows = table(folder / "tramp.csv")
    # The places asked for, and where the dampers are now: they lean by 15 deg, which is one of the four leans already.
    assert len(rows) == 2 * (4 + (4 + 1)) * 9
    ran = [row for row in rows if row["run tramps"]]
    # Both ends of every map, on both sides of where tramp starts; and the place that is advised.
    for moved in ("upper", "both"):
        for grip in ("at_once", "after_length"):
            places = [row["place in words"] for row in ran if (row["moved"], row["grip follows load"]) == (moved, grip)]
            every = [row["place in words"] for row in rows if (row["moved"], row["grip follows load"]) == (moved, grip)]
            assert {every[0], every[-1]} <= set(places)
            assert len(places) == 2 * len(set(places))
    latest = " ".join(out.split("tramp starts latest with both mounts ")[1].split(":")[0].split())
    assert any(row["moved"] == "both" and row["place in words"] == latest for row in ran)
    for row in ran:
        nods = row["other: pinion nods"] == "yes"
        least = min(float(row["wind-up: damping ratio [-]"]), float(row["other: damping ratio [-]"]) if nods else 1.0)
        if abs(least) > 0.05:  # nearer to none, leaf friction can hold a small kick
            assert (row["run tramps"] == "yes") == (least < 0.0), row
    starts = table(folder / "tramp_starts.csv")
    assert len(starts) == 2 * (4 + (4 + 1))
    assert [row["place in words"].endswith(", as it stands") for row in starts].count(True) == 2 * 2
    record = json.loads((folder / "record.json").read_text(encoding="utf-8"))
    assert record["turns on how grip builds up"]
    for one, said in zip(starts, (p for each in record["maps"] for p in each["places"].values()), strict=True):
        assert one["tramp starts"] == said["tramp starts"]
        assert one["tramp starts"] == "never" or re.match(
            r"(while the tyres still grip|as the tyres reach their most grip|once the tyres spin past their most grip) \(slope",
            one["tramp starts"],
        )
    assert record["finding"] in out
    assert "inf" not in out


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
        "torque on axle rear pinion up [N m]",
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
        (("lean", "scenarios/rear_lean_on_rock.yaml", "--reach", "180"), "needs a unit"),
        (("lean", "scenarios/rear_lean_on_rock.yaml", "--reach", "5 mm"), "allowed is 10 to 400 mm"),
        (("tramp", "scenarios/rear_lean_on_rock.yaml", "--reach", "2 m"), "allowed is 10 to 400 mm"),
        (("tramp", "scenarios/rear_lean_on_rock.yaml", "--reach", "30 deg"), "--reach"),
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
        ("relaxation_length: 220 mm}", "relaxation_length: 220 mm, relaxation: late}", "at_once or after_length"),
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
    assert "front.tyre.slip" in err
    assert "slip: {stiffness: 16}" in err
    assert told(capsys, "check", "scenarios/two_or_four.yaml")[0] == 0
