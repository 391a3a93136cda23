"""A new law, guide, spring, shape, run, measure, plot and command is one file and one line: each through every command it concerns.

The new files are in `tests/promise/new`; a process of its own has them in the package (`tests/promise/startup`), and its commands
are those that people type.
"""

import csv
import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
import yaml

from sim.show.looks import GUIDE

pytestmark = pytest.mark.hours  # a minute of commands

ROOT = Path(__file__).parents[2]
STARTUP = Path(__file__).parent / "startup"

DRIVE = """
import io, json, sys
from contextlib import redirect_stderr, redirect_stdout
from sim.cli import main
done = {}
for name, arguments in json.load(sys.stdin).items():
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        try:
            code = main(arguments)
        except SystemExit as stop:
            code = stop.code
    done[name] = [code, out.getvalue(), err.getvalue()]
json.dump(done, sys.stdout)
"""

LAW = {"kind": "parabolic", "compression": "900 N", "rebound": "2400 N"}
SOFT = {"kind": "parabolic", "compression": "700 N", "rebound": "1500 N"}
COURSE = {
    "kind": "course", "name": "Teeth",
    "items": [{"kind": "flat", "length": "4 m"}, {"kind": "saw_tooth", "height": "40 mm", "slope": "700 mm", "repeat": 2, "gap": "1 m"},
              {"kind": "flat", "length": "4 m"}],
}  # fmt: skip
SURFACE = {"name": "firm", "friction": 0.8, "sliding": 0.6, "peak_at": "13 %"}
RUNS = {
    "teeth": {"kind": "there_and_on", "course": "teeth.yaml", "speed": "25 km/h", "pressed": "20 mm", "watch": "3 s"},
    "away": {"kind": "launch", "surface": SURFACE, "watch": "1 s"},
    "hours": {"kind": "track", "stages": [
        {"kind": "drive", "course": "teeth.yaml", "speed": "25 km/h", "duration": "12 s"}, {"kind": "stand", "duration": "1 min"}]},
}  # fmt: skip
TUNE = {
    "move": {
        "scaled": {"kind": "scale", "path": "front.dampers.main.valving", "low": 0.5, "high": 2.0},
        "split": {"kind": "split", "path": "rear.dampers.main.valving", "low": 1.0, "high": 4.0},
        "value": {"kind": "value", "path": "front.dampers.main.valving.rebound", "low": "1 kN", "high": "4 kN"},
        "bag": {"kind": "value", "path": "rear.springs.bag.pressure", "low": "3.2 bar", "high": "4 bar"},
    },
    "goal": {"front_load_swing": 1.0},
    "limits": {"rear_load_swing": {"at_most": "110 % of now"}},
    "generations": 1,
    "hold": {"draws": 16},
}
PLOTS = ["verdict", "swing_words", "valving", "damper_speeds", "obstacles", "matrix", "damper_force_speed"]


def vehicle():
    """Return the demo's truck with parts that the package does not know."""
    made = yaml.safe_load((ROOT / "scenarios" / "vehicles" / "hut_supply_truck.yaml").read_text(encoding="utf-8"))
    for end, place in (("front", 0.0), ("rear", 2.95)):
        made[end]["dampers"]["main"]["valving"] = LAW
        made[end]["guide"] = {
            "kind": "pillar",
            "lean_back": "5 deg",
            "wind_up": {"rate": "40 kN m/rad", "damping": "80 N m s/rad"},
        }
        made[end]["springs"] = {
            "bag": {"kind": "air_bag", "pressure": "3.5 bar", "diameter": "150 mm", "volume": "5.5 l",
                    "body": {"behind_front_axle": f"{place} m", "above_ground": "0.86 m"}, "axle": {"ahead": "0 mm", "above": "95 mm"}}
        }  # fmt: skip
    return made


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    """Return what every command said, and the folder of its results."""
    folder = tmp_path_factory.mktemp("promise")

    def write(name, data):
        path = folder / name
        path.write_text(yaml.safe_dump(data, sort_keys=False, allow_unicode=True), encoding="utf-8")
        return str(path)

    truck, course = write("truck.yaml", vehicle()), write("teeth.yaml", COURSE)
    setups = {"as it is": {}, "soft": {"front.dampers.main.valving": SOFT, "front.dampers.main.gas_force": "0 N"}}
    scenarios = {
        name: write(
            f"{name}_scenario.yaml",
            {"kind": "scenario", "name": name, "vehicle": "truck.yaml", "run": run, "setups": setups}
            | ({"show": PLOTS, "tune": TUNE} if name == "teeth" else {}),
        )
        for name, run in RUNS.items()
    }
    wrong = vehicle()
    wrong["rear"]["guide"]["kind"] = wrong["rear"]["springs"]["bag"]["kind"] = "other"
    wrong["rear"]["dampers"]["main"]["valving"] = {"kind": "other"}
    teeth, out = scenarios["teeth"], ["--outputs", str(folder / "out")]
    one = [*out, "--workers", "1"]
    points = str(ROOT / "tests" / "describe" / "parts" / "machine" / "points.csv")
    commands = {
        "help": ["--help"],
        "weigh help": ["weigh", "--help"],
        "weigh": ["weigh", truck],
        "check": ["check", truck, course, *scenarios.values()],
        "check wrong": ["check", write("wrong.yaml", wrong)],
        "schema": ["schema"],
        "stand": ["stand", teeth, "--all", "--picture", str(folder / "pictures")],
        "road": ["road", course, *out],
        "sheet": ["sheet", teeth, *out],
        "convert": ["convert", teeth, "--from", "as it is", *out],
        "dyno": ["dyno", points, "--against", truck, "--damper", "front.main", *out],
        "compare": ["compare", teeth, *out],
        "simulate": ["simulate", teeth, "--setup", "soft", "--no-plots", *out],
        "shake": ["shake", teeth, *out],
        "sweep law": ["sweep", teeth, "--vary", "front.dampers.main.valving.rebound", "1 kN", "3 kN", "3", *one],
        "sweep road": [
            "sweep", teeth, "--vary", "run.course.items.1.height", "20 mm", "40 mm", "2", "--vary", "run.pressed", "10 mm", "20 mm", "2",
            "--measure", "front_load_swing", *one,
        ],
        "tune": ["tune", teeth, *one, "--no-plots"],
        "endure": ["endure", scenarios["hours"], *one],
        "lean": ["lean", scenarios["away"], "--steps", "3", *out],
        "tramp": ["tramp", scenarios["away"], "--steps", "3", "--setup", "soft", *out],
        "compare away": ["compare", scenarios["away"], "--no-plots", *out],
        "endure teeth": ["endure", teeth, *one],
        "lean teeth": ["lean", teeth, *out],
        "tramp teeth": ["tramp", teeth, *out],
    }  # fmt: skip
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join((str(STARTUP), str(ROOT)))}
    done = subprocess.run(
        [sys.executable, "-c", DRIVE], input=json.dumps(commands), cwd=ROOT, env=environment, capture_output=True, text=True
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout), folder


REFUSED = {
    "check wrong": "allowed: pillar, arm, leaf, links, straight",
    "endure teeth": "its run is a there_and_on, not a track of stages; run it with: jounce compare",
    "lean teeth": "is a there_and_on run; leans are tried in a launch or a brake run",
    "tramp teeth": "its run is a there_and_on; tramp is mapped for a launch",
}
"""Commands that must refuse what they were given, and what they say."""

FINE = (
    "help", "weigh help", "weigh", "check", "schema", "stand", "road", "sheet", "convert", "compare", "simulate", "shake", "sweep law",
    "sweep road", "tune", "endure", "lean", "tramp", "compare away",
)  # fmt: skip


@pytest.mark.parametrize("command", FINE)
def test_every_command_takes_what_is_new(house, command):
    code, out, err = house[0][command]
    assert code == 0, f"{out}\n{err}"


@pytest.mark.parametrize("command", REFUSED)
def test_what_does_not_suit_is_refused_in_words(house, command):
    code, out, err = house[0][command]
    assert code == 2, f"{out}\n{err}"
    assert REFUSED[command] in out + err


def rows(path):
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.reader(file))


def test_law(house):
    said, folder = house
    out = folder / "out"
    sheet = {row[1]: row[2] for row in rows(folder / "out" / "teeth_scenario_as_it_is_sheet" / "front_main.csv")}
    assert sheet["knees, or what it is written as"] == "parabolic; as the square of speed"
    assert sheet["shape, by force over speed"].startswith("progressive")
    assert sheet["rebound at 0.52 m/s (20.5 in/s)"].startswith(f"{2400 * 0.52**2:.0f} N")
    # Twice as many dampers on the same mounts: each gives half.
    each = rows(out / "teeth_scenario_as_it_is_convert" / "front_main_each.csv")
    at = {float(row[0]): float(row[2]) for row in each[1:]}
    assert at[1.0] == pytest.approx(0.5 * 2400.0, rel=1e-3)
    tuned = yaml.safe_load((out / "teeth_scenario_tuned" / "tuned.yaml").read_text(encoding="utf-8"))
    laws = [
        value
        for changes in tuned["setups"].values()
        for path, value in (changes or {}).items()
        if path.endswith("main.valving")
    ]
    assert {law["kind"] for law in laws} == {"parabolic"}
    assert any(law not in (LAW, SOFT) for law in laws)  # it was moved, and written as a person would
    moved = rows(out / "teeth_scenario_by_rebound" / "swept.csv")
    assert "front.dampers.main.valving.rebound" in ",".join(moved[0])
    code, text, err = said["dyno"]
    assert code in (0, 3), err  # the file is of another damper than was ordered
    assert f"{2400 * 0.52**2:.0f} N" in text
    heat = rows(out / "hours_scenario_endured" / "summary.csv")
    assert any("front" in row[0].lower() for row in heat)


def test_guide(house):
    _, folder = house
    sheet = {row[1]: row[2] for row in rows(folder / "out" / "teeth_scenario_as_it_is_sheet" / "rear_main.csv")}
    assert sheet["springs, how the axle is held"] == "air bag; on sliding pillars"
    pictures = [path.read_text(encoding="utf-8") for path in (folder / "pictures").glob("as_it_is.svg")]
    assert pictures
    assert GUIDE.lower() in pictures[0].lower()  # the colour of guides
    assert (folder / "out" / "away_scenario_leaned" / "leans.csv").exists()


def test_spring(house):
    said, folder = house
    # n (p + p_a) A² / V of four bags, in N/mm, on each axle as it stands
    rate = 2 * 1.4 * (3.5e5 + 101325.0) * (3.141592653589793 * 0.075**2) ** 2 / 5.5e-3
    sheet = {row[1]: row[2] for row in rows(folder / "out" / "teeth_scenario_as_it_is_sheet" / "rear_main.csv")}
    shown = float(re.match(r"[\d.]+", sheet["springs' rate at the axle (both sides)"]).group())
    assert shown == pytest.approx(rate * 1e-3, rel=0.01)  # the rest is what its seats' path and the dampers' gas add
    assert "springs' rate at the axle" in said["stand"][1]


def test_shape(house):
    said, folder = house
    assert "roughness (IRI)" in said["road"][1]
    profile = [[float(x) for x in row] for row in rows(folder / "out" / "teeth_road" / "profile.csv")[1:]]
    assert max(height for _, height in profile) == pytest.approx(40.0, rel=0.2)  # between two places of the profile
    drawn = (folder / "out" / "teeth_scenario" / "obstacles.svg").read_text(encoding="utf-8")
    assert "saw tooth" in drawn.lower()
    assert "run.course.items.1.height" in (folder / "out" / "teeth_scenario_by_height_pressed" / "swept.csv").read_text(
        encoding="utf-8"
    )


def test_run(house):
    said, folder = house
    schema = json.loads(said["schema"][1])["scenario"]["$defs"]["ThereAndOn"]
    assert (
        schema["properties"]["course"]["anyOf"][0]["type"] == "string"
    )  # a file's name, as of every run with a course
    sheet = {row[1]: row[2] for row in rows(folder / "out" / "teeth_scenario_as_it_is_sheet" / "front_main.csv")}
    assert sheet["computed for (road, speed)"] == "Teeth, there and on"
    trace = rows(folder / "out" / "teeth_scenario" / "soft.csv")
    assert float(trace[-1][0]) == pytest.approx(3.0)
    assert (folder / "out" / "teeth_scenario_tuned_as_the_scenario_drives_it" / "summary.csv").exists()


def test_measure(house):
    said, folder = house
    assert "Front tyres: swing of their load" in said["compare"][1]  # in the short table, as it asks to be
    assert "Front tyres: swing of their load" in said["compare away"][1]
    summary = {row[0]: row for row in rows(folder / "out" / "teeth_scenario" / "summary.csv")}
    value = float(summary["Front tyres: swing of their load"][3])
    most, least = (float(summary[f"Front tyre load: {end}"][3]) for end in ("highest", "lowest"))
    assert value == pytest.approx(most - least, abs=2.0)
    drawn = (folder / "out" / "teeth_scenario" / "verdict.svg").read_text(encoding="utf-8")
    assert "swing of their load" in drawn
    # It carries a block of the verdict, as it claims, beside those of the package.
    carried = [row[5] for row in rows(folder / "out" / "teeth_scenario" / "verdict.csv") if row[2] == "grip"]
    assert carried[:2] == ["Front tyres: swing of their load", "Rear tyres: swing of their load"]
    swept = rows(folder / "out" / "teeth_scenario_by_height_pressed" / "swept.csv")
    assert "as it is: Front tyres: swing of their load [N]" in swept[0]
    tuned = {row[0]: row for row in rows(folder / "out" / "teeth_scenario_tuned" / "tuned.csv")}
    goal, limit = (tuned[f"as the scenario drives it: {end}_load_swing"] for end in ("front", "rear"))
    assert float(goal[3]) < float(goal[2])
    assert float(limit[3]) <= 1.1 * float(limit[2])


def test_plot(house):
    _, folder = house
    made = folder / "out" / "teeth_scenario" / "swing_words.svg"
    assert made.with_suffix(".png").stat().st_size > 1000
    assert "load swings by" in made.read_text(encoding="utf-8")


def test_command(house):
    said, _ = house
    assert "weigh     say what a vehicle weighs" in said["help"][1]
    assert "vehicle file" in said["weigh help"][1]
    weight = float(re.search(r"weighs ([\d.]+) N", said["weigh"][1]).group(1))
    mass = 1640 + 85 + 232 + 205 + 2 * (1.9 + 1.0) + 2 * (1.8 + 0.9)
    assert weight == pytest.approx(mass * 9.80665, abs=1.0)
