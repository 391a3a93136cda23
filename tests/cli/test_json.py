"""`--json` of every command: one object of one form on standard output, whatever comes of it.

That it is JSON is judged by RFC 8259 (section 6: "Infinity and NaN are not permitted"), which Python's own reader holds to once its three
extra words are refused; units by the unit library pint.
"""

import json
import shutil
from pathlib import Path

import pint
import pytest

from sim.cli import COMMANDS, main
from sim.cli.answer_form import Answer
from tests.study.tuning.cases import written

pytestmark = pytest.mark.long  # whole commands and studies, over and over: seconds each

ROOT = Path(__file__).parents[2]
TRUCK = "vehicles/hut_supply_truck.yaml"
PUSH = "push_on_the_bumper.yaml"
TRACK = f"""kind: scenario
name: Short
vehicle: {TRUCK}
run: {{kind: track, air: 20 °C, stages: [{{kind: drive, course: courses/corrugated_track.yaml, speed: 40 km/h, distance: 50 m}}]}}
setups: {{as it is: {{}}}}
"""
AWAY = f"""kind: scenario
name: Away
vehicle: {TRUCK}
run: {{kind: launch, climb: 8 deg, surface: {{name: firm rock, friction: 0.85, sliding: 0.62, peak_at: 13 %}}, throttle_rise: 0.25 s, watch: 1 s}}
setups: {{as it is: {{}}}}
"""

CASES = {
    "new": ["new", "mine.yaml", "--front", "2450 lb", "--rear", "1780 lb", "--wheelbase", "92 in", "--tyre", "33 in", "--coil", "190 lb/in"],
    "measure": ["measure", "tyre-rate", "--load-1", "800 lb", "--height-1", "15.9 in", "--load-2", "1300 lb", "--height-2", "15.58 in"],
    "check": ["check", PUSH],
    "road": ["road", "courses/upper_track.yaml"],
    "open": ["open", TRUCK, "--no-browser"],
    "stand": ["stand", PUSH],
    "loads": ["loads", TRUCK],
    "lift": ["lift", TRUCK, "--front", "2 in"],
    "spring": ["spring", "helper", "--rate", "30 N/mm", "--helper", "10 N/mm", "--gap", "50 mm", "--load", "3 kN"],
    "shake": ["shake", TRUCK],
    "simulate": ["simulate", PUSH, "--no-plots", "--no-doubt"],
    "compare": ["compare", PUSH, "--no-plots"],
    "sweep": ["sweep", PUSH, "--vary", "front.tyre.rate", "200 N/mm", "300 N/mm", "2", "--setup", "as fitted", "--workers", "1"],
    "lean": ["lean", "away.yaml", "--steps", "3"],
    "tramp": ["tramp", "away.yaml", "--steps", "3"],
    "dyno": ["dyno", "dampers/front_returned.csv", "--against", "two_or_four.yaml", "--setup", "two front", "--damper", "front.main"],
    "convert": ["convert", PUSH, "--from", "as fitted"],
    "endure": ["endure", "short.yaml", "--workers", "1"],
    "tune": ["tune", "push.yaml", "--no-plots", "--workers", "1"],
    "sheet": ["sheet", TRUCK],
    "schema": ["schema", "vehicle"],
    "completion": ["completion", "bash"],
}  # fmt: skip
"""The smallest question to each command."""

WITHOUT_NUMBERS = {"new", "check", "open", "schema", "completion"}
"""Commands that answer no question of physics."""


@pytest.fixture
def demo(tmp_path, monkeypatch):
    shutil.copytree(ROOT / "scenarios", tmp_path, dirs_exist_ok=True)
    (tmp_path / "short.yaml").write_text(TRACK, encoding="utf-8")
    (tmp_path / "away.yaml").write_text(AWAY, encoding="utf-8")
    written(tmp_path, generations=1, hold=None)
    monkeypatch.chdir(tmp_path)
    # Served for no time at all: the address is said before anybody is waited for.
    monkeypatch.setattr("sim.show.pages.local.serve.served", lambda what, port, told: told("http://127.0.0.1:1/key"))
    return tmp_path


def no_number(word):
    raise AssertionError(f"{word} is no JSON")


def answered(capsys, *command):
    """Return the exit code, the answer, and what stands on standard error."""
    try:
        code = main([*command, "--json"])
    except SystemExit as stopped:
        code = stopped.code
    out, err = capsys.readouterr()
    found = json.loads(out, parse_constant=no_number)
    Answer.model_validate(found)
    assert set(found) == set(Answer.model_fields)
    assert found["exit_code"] == code
    return code, found, err


def numbers(answer):
    """Yield whatever in an answer is a value with its unit."""
    if isinstance(answer, dict):
        if {"value", "unit"} <= set(answer):
            yield answer
        for one in answer.values():
            yield from numbers(one)
    elif isinstance(answer, list):
        for one in answer:
            yield from numbers(one)


def test_every_command_has_a_case():
    assert set(CASES) == set(COMMANDS)


@pytest.mark.parametrize(
    "command",
    [
        pytest.param(one, marks=pytest.mark.hours) if one in ("tune", "tramp", "lean", "endure") else one
        for one in COMMANDS
    ],
)
def test_one_object_of_one_form(command, demo, capsys):
    code, found, err = answered(capsys, *CASES[command])
    assert code in (0, 3), err
    assert found["command"] == command
    assert found["errors"] == []
    assert (code == 3) == bool(found["flags"])
    said = list(numbers(found))
    assert bool(said) == (command not in WITHOUT_NUMBERS)
    units = pint.UnitRegistry()
    for unit in {one["unit"] for one in said}:
        units.parse_units(
            "dimensionless" if unit == "1" else "*".join(unit.replace("²", "**2").replace("³", "**3").split())
        )
    assert all(Path(file).is_file() for file in found["files"])
    for text in found["cautions"]:
        assert f"CAUTION: {text}" in err
    # Every page to hand over that is about a truck has sliders, or says why it has none.
    for file in found["files"]:
        if file.endswith("report.html") and command != "dyno":
            assert Path(file).read_text(encoding="utf-8").count("<h2>Try other settings</h2>") == 1, file
    # What was written is said, and nothing else was.
    there = {
        one.relative_to(demo).as_posix()
        for one in (demo / "outputs").rglob("*")
        if one.is_file() and not one.name.startswith(".")
    }
    assert there <= set(found["files"]) or not there


BAD = {
    "new": ["new", "mine.txt", "--front", "1 kg"],
    "measure": ["measure", "tyre-rate", "--load-1", "800 mm", "--height-1", "15.9 in", "--load-2", "1300 lb", "--height-2", "15.58 in"],
    "open": ["open", "courses/hut_track.yaml"],
    "spring": ["spring", "helper", "--rate", "30 kg", "--helper", "10 N/mm", "--gap", "50 mm", "--load", "3 kN"],
    "schema": ["schema", "boat"],
    "completion": ["completion", "csh"],
    "lift": ["lift", TRUCK],
}  # fmt: skip
"""What is wrong by its arguments; to the others a file is given that has a mistake."""


@pytest.mark.parametrize("command", COMMANDS)
def test_what_is_wrong_is_in_it_too(command, demo, capsys):
    text = (demo / PUSH).read_text(encoding="utf-8").replace("force: 800 N", "force: 800 kg")
    (demo / "bad.yaml").write_text(text, encoding="utf-8")
    code, found, err = answered(capsys, *BAD.get(command, [command, "bad.yaml"]))
    assert code == 2
    assert found["errors"]
    assert found["files"] == []
    assert not (demo / "outputs").exists()
    for one in found["errors"]:
        assert one["message"].splitlines()[0] in err
    # The line, and what stands there, of every command that reads a file of ours.
    if command not in BAD and command != "dyno":
        (one,) = found["errors"]
        line = 1 + next(number for number, row in enumerate(text.splitlines()) if "800 kg" in row)
        assert (one["file"], one["line"], one["where"], one["given"]) == ("bad.yaml", line, "run.force", "800 kg")


def test_a_place_that_cannot_be_written(demo, capsys):
    (demo / "afile").write_text("mine", encoding="utf-8")
    code, found, _ = answered(capsys, "simulate", PUSH, "--no-plots", "--outputs", "afile")
    assert code == 4
    assert "cannot be written" in found["errors"][0]["message"]
    assert found["files"] == []


def test_no_command_at_all(capsys):
    code, found, _ = answered(capsys)
    assert code == 2
    assert "COMMAND" in found["errors"][0]["message"]


def test_help_is_for_people(capsys):
    with pytest.raises(SystemExit) as stopped:
        main(["spring", "coil", "--json", "--help"])
    assert stopped.value.code == 0
    assert "--across" in capsys.readouterr().out


def test_the_same_numbers_as_the_table_on_the_screen(demo, capsys):
    """A standing truck's axle loads are what a scale says: together they carry its weight (statics)."""
    _, found, _ = answered(capsys, "stand", TRUCK)
    (one,) = (setup["measures"] for setup in found["setups"].values())
    mass = sum(one[key]["value"] for key in ("sprung_mass", "front.unsprung_mass", "rear.unsprung_mass"))
    loads = sum(one[f"{axle}.load"]["value"] for axle in ("front", "rear"))
    assert loads == pytest.approx(9.80665 * mass, rel=1e-3)
    assert one["front.load"]["unit"] == "N"
