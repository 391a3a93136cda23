"""Bad input of every kind: a clear error at its place, the right exit code, no traceback, old outputs intact."""

import json
import os
import re
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from sim.cli import main

ROOT = Path(__file__).parents[2]


@pytest.fixture
def demo(tmp_path, monkeypatch):
    shutil.copytree(ROOT / "scenarios", tmp_path / "scenarios")
    monkeypatch.chdir(tmp_path)
    return tmp_path / "scenarios"


def edited(path, old, new):
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def told(capsys, *arguments):
    code = main([str(a) for a in arguments])
    out, err = capsys.readouterr()
    assert "Traceback" not in out + err
    return code, out, err


VEHICLE = [
    ("wheelbase: 2.95 m\n", "", ["hut_supply_truck.yaml:4:1", "wheelbase", "missing"]),
    (
        "rate: 36 N/mm",
        "rate: 36",
        [":55:13", "front.springs.coil.rate", "needs a unit", "write e.g. '36 N/mm'", "given: 36"],
    ),
    ("rate: 36 N/mm", "rate: 36 kg", ["not a rate", "given: 36 kg"]),
    ("gas_force: 120 N", "gas_force: 12 lb", ["lb is a mass", "lbf"]),
    ("mass: 85 kg", "mass: 85 lbf", ["that is a force"]),
    ("mass: 232 kg", "mass: -232 kg", ["front.housing.mass", "must be more than 0", "given: -232 kg"]),
    ("length_collapsed: 385 mm", "length_collapsed: 900 mm", ["are they crossed?", "front.dampers.main"]),
    ("tube_end: down", "tube_end: donw", ["'donw' is not one of the choices", "did you mean 'down'?"]),
    ("tube_mass: 1.9", "tube_mas: 1.9", ["'tube_mas' is not known here", "did you mean 'tube_mass'?", "allowed:"]),
    ("kind: knee", "kind: kne", ["the kind 'kne' is not known", "did you mean 'knee'?"]),
    ("name: Hut supply truck", "name: A\nname: B", ["given twice", "first in line"]),
    ("wheelbase: 2.95 m", "wheelbase: 2,95 m", ["decimal point"]),
    ("body:", "body: [1, 2]\nbodies:", ["list of 'key: value' lines"]),
    ("wheelbase: 2.95 m", "wheelbase: [2.95 m", ["this is not YAML"]),
    ("kind: vehicle", "kind: vehicel", ["not a kind of file", "did you mean 'vehicle'?"]),
]


@pytest.mark.parametrize(("old", "new", "said"), VEHICLE)
def test_broken_vehicle(demo, capsys, old, new, said):
    edited(demo / "vehicles" / "hut_supply_truck.yaml", old, new)
    code, _, err = told(capsys, "check", "scenarios/two_or_four.yaml")
    assert code == 2
    for words in said:
        assert words in err


def test_unsorted_table(demo, capsys):
    table = "{kind: table, compression: [{speed: 0.3 m/s, force: 300 N}, {speed: 0.1 m/s, force: 100 N}], rebound: [{speed: 0.1 m/s, force: 200 N}]}"
    edited(demo / "two_or_four.yaml", "  two front:\n", f"  two front:\n    front.dampers.main.valving: {table}\n")
    code, _, err = told(capsys, "check", "scenarios/two_or_four.yaml")
    assert code == 2
    assert "row 2 has speed 0.1 m/s after 0.3 m/s; sort the rows" in err
    assert "two_or_four.yaml:12" in err


def test_all_problems_of_all_set_ups_at_once(demo, capsys):
    path = demo / "two_or_four.yaml"
    edited(path, "front.dampers: none", "front.damper: none")
    edited(path, "front.dampers.main.gas_force: 60 N", "front.dampers.main.gas_force: 60")
    code, _, err = told(capsys, "check", "scenarios/two_or_four.yaml")
    assert code == 2
    assert "did you mean 'dampers'?" in err
    assert "needs a unit" in err
    assert "2 problems" in err


def test_course_shorter_than_the_wheelbase(demo, capsys):
    path = demo / "courses" / "hut_track.yaml"
    path.write_text("kind: course\nname: Kerb\nitems:\n  - {kind: half_sine, height: 50 mm, length: 1 m}\n")
    code, _, err = told(capsys, "compare", "scenarios/two_or_four.yaml")
    assert code == 2
    assert "shorter than the wheelbase" in err


def test_unknown_set_up(demo, capsys):
    code, _, err = told(capsys, "simulate", "scenarios/two_or_four.yaml", "--setup", "two fronts")
    assert code == 2
    assert "did you mean 'two front'?" in err


BOMB = (
    "a: &a [x,x,x,x,x,x,x,x,x]\nb: &b [*a,*a,*a,*a,*a,*a,*a,*a,*a]\nc: &c [*b,*b,*b,*b,*b,*b,*b,*b,*b]\n"
    "d: &d [*c,*c,*c,*c,*c,*c,*c,*c,*c]\ne: &e [*d,*d,*d,*d,*d,*d,*d,*d,*d]\nkind: [*e,*e,*e,*e]\n"
)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "the file is empty"),
        (b"  \n# nothing\n", "the file is empty"),
        (bytes(range(256)) * 8, "binary"),
        (b"kind: scenario\nname: \xff\xfe\xfa\n", "not UTF-8"),
        (b"#" * 3_000_000, "at most 2 MB"),
        (BOMB.encode(), "unfold without end"),
        (b"kind: &k [*k]\n", "unfold without end"),
        (b"- a\n- b\n", "must be a list of 'key: value' lines"),
        (b"name: x\n", "the key 'kind' is missing"),
        (b"kind: course\nname: x\nitems: []\n", "no items"),
    ],
)
def test_broken_files(demo, capsys, content, said):
    (demo / "x.yaml").write_bytes(content)
    code, _, err = told(capsys, "check", "scenarios/x.yaml")
    assert code == 2
    assert said in err
    assert "x.yaml" in err


def test_missing_file_and_folder(demo, capsys):
    code, _, err = told(capsys, "check", "scenarios/two_or_fuor.yaml")
    assert code == 2
    assert "did you mean scenarios/two_or_four.yaml?" in err
    # The ending alone, which every file has, makes no name near.
    (demo / "b9_first.yaml").write_text("kind: scenario\n", encoding="utf-8")
    code, _, err = told(capsys, "check", "nofile.yaml")
    assert code == 2
    assert "there is no such file" in err
    assert "did you mean" not in err
    code, _, err = told(capsys, "check", "scenarios")
    assert code == 2
    assert "a folder" in err


def test_absurd_stiffness_is_refused(demo, capsys):
    edited(demo / "vehicles" / "hut_supply_truck.yaml", "rate: 265 N/mm", "rate: 265e9 N/mm")
    code, _, err = told(capsys, "simulate", "scenarios/two_or_four.yaml")
    assert code == 2
    assert "wrong unit" in err or "stands still" in err


def test_old_outputs_survive_a_failed_run(demo, capsys, monkeypatch):
    code, _, _ = told(capsys, "simulate", "scenarios/push_on_the_bumper.yaml", "--no-plots")
    assert code == 0
    folder = Path("outputs/push_on_the_bumper-bare_springs")
    before = {p.name: p.read_bytes() for p in folder.iterdir()}
    edited(demo / "push_on_the_bumper.yaml", "force: 800 N", "force: 800")
    assert told(capsys, "simulate", "scenarios/push_on_the_bumper.yaml", "--no-plots")[0] == 2
    edited(demo / "push_on_the_bumper.yaml", "force: 800", "force: 850 N")

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("sim.show.report.summary_csv.write", full)  # half-way: series are written, the summary is not
    code, _, err = told(capsys, "simulate", "scenarios/push_on_the_bumper.yaml", "--no-plots")
    assert code == 4
    assert "No space left on device" in err
    assert {p.name: p.read_bytes() for p in folder.iterdir()} == before
    assert [p.name for p in Path("outputs").iterdir()] == [folder.name]


def test_unwritable_output(demo, capsys):
    Path("afile").write_text("mine")
    code, _, err = told(capsys, "simulate", "scenarios/push_on_the_bumper.yaml", "--no-plots", "--outputs", "afile")
    assert code == 4
    assert "cannot be written" in err
    assert Path("afile").read_text() == "mine"


def test_a_flagged_run_says_so(demo, capsys):
    edited(demo / "vehicles" / "hut_supply_truck.yaml", "length_extended: 720 mm", "length_extended: 600 mm")
    code, out, err = told(
        capsys, "simulate", "scenarios/two_or_four.yaml", "--setup", "two front", "--no-plots", "--json"
    )
    assert code == 3
    flags = json.loads(out)["setups"]["two front"]["flags"]
    assert flags[0]["kind"] == "damper_end"
    assert flags[0]["time_s"] > 0.0
    assert "front damper 'main'" in flags[0]["part"]
    assert "FLAGGED" in err


def test_json_and_streams(demo, capsys):
    code, out, err = told(capsys, "simulate", "scenarios/push_on_the_bumper.yaml", "--no-plots", "--json")
    assert code == 0
    values = json.loads(out)["setups"]["bare springs"]["measures"]
    assert values["pitch_nose_down"]["value"] > 0.0
    assert "Wrote" in err
    assert "Next:" in err


def test_check_says_what_it_read(demo, capsys):
    code, out, _ = told(
        capsys, "check", "scenarios/two_or_four.yaml", "scenarios/vehicles/hut_supply_truck.yaml",
        "scenarios/courses/hut_track.yaml",
    )  # fmt: skip
    assert code == 0
    assert "4 set-ups" in out
    assert " kg (" in out
    assert " lb) in front" in out
    assert "course 'Hut track'" in out


def test_schema_describes_the_files(capsys, tmp_path):
    code, out, _ = told(capsys, "schema", "vehicle")
    assert code == 0
    schema = json.loads(out)
    assert "wheelbase" in schema["required"]
    assert schema["properties"]["wheelbase"]["type"] == "string"
    assert told(capsys, "schema", "--folder", tmp_path / "s")[0] == 0
    assert sorted(p.name for p in (tmp_path / "s").iterdir()) == [
        "course.schema.json", "scenario.schema.json", "vehicle.schema.json",
    ]  # fmt: skip


def test_module_and_command_are_the_same():
    done = subprocess.run(
        [sys.executable, "-m", "sim", "--help"], cwd=ROOT, capture_output=True, text=True, check=True, env=os.environ
    )
    assert "jounce" in done.stdout
    assert "compare" in done.stdout


def test_an_edited_law_takes_effect_in_the_next_process(tmp_path):
    """The compiled cache is keyed to all kernel sources: change a force law in another file, and it is the new one."""
    shutil.copytree(ROOT / "sim", tmp_path / "sim", ignore=shutil.ignore_patterns("__pycache__"))
    probe = "from sim.machine.jit import compiled\nfrom sim.kernel.user import twice\nprint(twice(3.0))\n"
    user = (
        "from sim.kernel.forces import tyre\nfrom sim.machine.jit import compiled\n\n\n@compiled\n"
        "def twice(d):\n    return tyre(d, 0.0, 1.0, 0.0, 0.0)[0]\n"
    )
    (tmp_path / "sim" / "kernel" / "user.py").write_text(user)
    environment = {**os.environ, "NUMBA_CACHE_DIR": str(tmp_path / "cache")}

    def answer():
        done = subprocess.run(
            [sys.executable, "-c", probe], cwd=tmp_path, env=environment, capture_output=True, text=True, check=True
        )
        return float(done.stdout)

    assert answer() == 3.0
    law = tmp_path / "sim" / "kernel" / "forces.py"
    law.write_text(law.read_text().replace("elastic = d * (rate", "elastic = 5.0 * d * (rate"))
    assert answer() == 15.0


@pytest.mark.parametrize(
    ("run", "said"),
    [
        ("speed: 25", ["two_or_four.yaml:9:10: run.speed", "the number 25 needs a unit", "given: 25"]),
        ("speed: 400 km/h", ["two_or_four.yaml:9:10: run.speed", "must not be more than 252 km/h", "given: 400 km/h"]),
        ("speed: 25 km/h\n  sped: 3", ["two_or_four.yaml:10:3: run.sped", "did you mean 'speed'?"]),
        ("speed: 25 km/h\n  settle: 90 s", ["two_or_four.yaml:10:11: run.settle", "must not be more than 60 s"]),
        ("settle: 3 s", ["two_or_four.yaml:7:3: run.speed", "the key 'speed' is missing"]),
    ],
)
def test_a_fault_of_the_run_is_laid_at_the_scenario(demo, capsys, run, said):
    """A run of the kind `course` has a key `course`, whose file is not to blame for the run's other values."""
    path = demo / "two_or_four.yaml"
    text = path.read_text(encoding="utf-8")
    line = next(line for line in text.splitlines() if line.startswith("run:"))
    path.write_text(
        text.replace(line, f"run:\n  kind: course\n  course: courses/hut_track.yaml\n  {run}"), encoding="utf-8"
    )
    assert main(["check", str(path)]) == 2
    complaint = capsys.readouterr().err
    assert all(words in complaint for words in said), complaint
    assert "hut_track.yaml:" not in complaint


def test_a_fault_of_the_course_is_laid_at_the_course(demo, capsys):
    path = demo / "courses" / "hut_track.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("kind: washboard", "kind: washbord"), encoding="utf-8")
    assert main(["check", str(demo / "two_or_four.yaml")]) == 2
    complaint = capsys.readouterr().err
    assert "hut_track.yaml:6:12: run.course.items.1" in complaint
    assert "did you mean 'washboard'?" in complaint


@pytest.mark.parametrize("command", ["sweep", "tune", "endure"])
@pytest.mark.parametrize("count", ["0", "-1", "999999", "two", "1.5", "9" * 5000])
def test_a_number_of_processes_is_bounded(demo, capsys, command, count):
    with pytest.raises(SystemExit) as ended:
        main([command, "scenarios/which_speed.yaml", f"--workers={count}"])
    assert ended.value.code == 2
    assert "from 1 to 256" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("vary", "said"),
    [
        ([["run.speed", "20 km/h", "20 km/h", "3"]], "both ends are"),
        ([["run.speed", "20 km/h", "30 km/h", "3"], ["run.speed", "20 km/h", "30 km/h", "3"]], "moved twice"),
        ([["run.speed", "1 N", "1 N", "3"]], "both ends are"),
        ([["", "1 N", "2 N", "3"]], "--vary"),
        ([["run.speed", "1 N", "2 N", "9" * 5000]], "how many points"),
    ],
)
def test_a_range_that_is_none(demo, capsys, vary, said):
    code, _, err = told(
        capsys, "sweep", "scenarios/which_speed.yaml", *(word for one in vary for word in ("--vary", *one))
    )
    assert code == 2
    assert said in err


@pytest.mark.skipif(sys.platform == "win32", reason="signals of another kind")
@pytest.mark.parametrize("name", ["SIGTERM", "SIGHUP"])
def test_a_command_that_is_ended_says_so(demo, name):
    """While it reads a long course; nothing is left behind, and the exit code is the shell's."""
    number = getattr(signal, name)
    code = (
        "import os, signal, sys; from sim import cli; from sim.cli import road; "
        f"road.run = lambda options: os.kill(os.getpid(), {int(number)}) or signal.pause(); "
        "sys.argv = ['jounce', 'road', 'x']; sys.exit(cli.main())"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, cwd=demo)
    assert done.returncode == 128 + number
    assert "Ended from outside" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    "words",
    [
        ["new", "{}.yaml"],
        ["new", "--demo", "{}"],
        ["stand", "scenarios/vehicles/hut_supply_truck.yaml", "--picture", "{}.png"],
        ["compare", "scenarios/two_or_four.yaml", "--outputs", "{}"],
        ["check", "{}/x.yaml"],
    ],
)
@pytest.mark.parametrize("name", ["a" * 5000, "é" * 200, "b/" * 3000], ids=["long", "bytes", "deep"])
def test_a_name_that_no_disk_takes(demo, capsys, words, name):
    code, _, err = told(capsys, *(word.format(name) for word in words))
    assert code == 2
    assert "at most 240 bytes" in err
    assert len(err) < 1000


def test_a_test_machines_file_whose_name_no_disk_takes(demo, capsys):
    scenario = demo / "as_ordered_or_returned.yaml"
    text = scenario.read_text(encoding="utf-8")
    assert "dampers/front_returned.csv" in text
    scenario.write_text(text.replace("dampers/front_returned.csv", f"dampers/{'a' * 300}.csv"), encoding="utf-8")
    code, _, err = told(capsys, "check", str(scenario))
    assert code == 2
    assert re.search(r"as_ordered_or_returned\.yaml:\d+:\d+: .*aaaa", err)


@pytest.mark.parametrize(
    ("file", "key"), [("vehicles/hut_supply_truck.yaml", "vehicle"), ("courses/upper_track.yaml", "course")]
)
def test_a_key_that_is_called_as_the_kind_of_its_file(demo, capsys, file, key):
    path = demo / file
    path.write_text(path.read_text(encoding="utf-8") + f"\n{key}: 12\n", encoding="utf-8")
    line = len(path.read_text(encoding="utf-8").splitlines())
    code, _, err = told(capsys, "check", str(path))
    assert code == 2
    assert f":{line}:1: {key}: the key '{key}' is not known here" in err


@pytest.mark.parametrize(
    ("word", "near"), [("medium", ""), ("frim", "did you mean 'firm'?"), ("stok", "did you mean 'stock'?")]
)
def test_a_word_for_a_valving_that_is_none_is_answered_by_those_that_are(tmp_path, capsys, word, near):
    given = ["--front", "1180 kg", "--rear", "960 kg", "--wheelbase", "2580 mm", "--valving", f"front: {word}"]
    assert main(["new", str(tmp_path / "my.yaml"), *given]) == 2
    said = capsys.readouterr().err
    assert f"front.dampers.main.valving: '{word}' is not one of the words" in said
    assert "allowed: worn, soft, stock, firm, heavy" in said
    assert near in said
    assert "key: value" not in said
