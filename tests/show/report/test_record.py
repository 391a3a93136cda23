import hashlib
import json
import shutil
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy
import pytest

import sim
from sim.cli import main
from sim.describe.files import kept
from sim.describe.files.scenario import load_kept
from sim.errors import InputError
from sim.show.report import record
from tests.show.plots.cases import BOTTOMED
from tests.synthetic import synthetic_comparison


@pytest.fixture
def recorded(tmp_path):
    """A comparison whose scenario was read from files, and its record as written."""
    folder = tmp_path / "home" / "scenarios"
    (folder / "vehicles").mkdir(parents=True)
    (folder.parent / "courses").mkdir()
    texts = {
        "two.yaml": "kind: scenario\nname: Zwei oder vier – Dämpfer\n",
        "vehicles/truck.yaml": "kind: vehicle\n",
        "../courses/track.yaml": "kind: course\r\n",
    }
    for name, text in texts.items():
        (folder / name).write_bytes(text.encode())
    comparison = synthetic_comparison(2)
    runs = comparison.runs | {"two dampers": replace(comparison.runs["two dampers"], flags=(BOTTOMED,))}
    scenario = SimpleNamespace(
        name="Two or four", question="Do four beat two?", path=folder / "two.yaml", show=None,
        sources=tuple(folder / name for name in texts),
        changes={"bare springs": {"front.dampers": None}, "two dampers": {"front.dampers.main.count": 2, "odd": Path("x")}},
    )  # fmt: skip
    path = tmp_path / "record.json"
    record.write(replace(comparison, scenario=scenario, runs=runs), path, "jounce compare two.yaml")
    return texts, tmp_path, path.read_text(encoding="utf-8")


def test_texts_and_sums_of_all_files_by_path_from_the_scenario(recorded):
    texts, _, written = recorded
    sources = json.loads(written)["sources"]
    assert set(sources) == set(texts)
    for name, text in texts.items():
        assert sources[name]["text"] == text
        assert sources[name]["sha256"] == hashlib.sha256(text.encode()).hexdigest()


def test_no_path_of_the_machine(recorded):
    _, folder, written = recorded
    assert str(folder) not in written
    assert "home" not in written


def test_setups_flags_versions_and_command(recorded):
    data = json.loads(recorded[2])
    assert data["set-ups"]["bare springs"] == {"front.dampers": None}
    assert data["set-ups"]["two dampers"] == {"front.dampers.main.count": 2, "odd": "x"}
    assert data["flags"]["bare springs"] == []
    assert data["flags"]["two dampers"] == [
        {"kind": "damper_end", "time [s]": 3.21, "part": "front damper 'main'", "sentence": BOTTOMED.sentence}
    ]
    assert data["versions"]["numpy"] == numpy.__version__
    assert {"python", "jounce", "numba", "scipy"} <= set(data["versions"])
    assert data["to make it again"] == "jounce compare two.yaml"
    assert data["made by"].startswith("jounce ")


def test_is_valid_json_even_of_a_run_that_broke_down(tmp_path):
    comparison = synthetic_comparison(1)
    ((name, run),) = comparison.runs.items()
    run = replace(run, energy=replace(run.energy, residual_j=float("nan")))
    record.write(replace(comparison, runs={name: run}), tmp_path / "r.json", "again")

    def refused(constant):
        raise AssertionError(f"{constant} is not JSON")

    data = json.loads((tmp_path / "r.json").read_text(encoding="utf-8"), parse_constant=refused)
    assert data["energy left open, share"] == {name: None}


ROOT = Path(__file__).parents[3]


@pytest.fixture
def demo(tmp_path, monkeypatch):
    shutil.copytree(ROOT / "scenarios", tmp_path / "scenarios")
    monkeypatch.chdir(tmp_path)
    return Path("scenarios")


def test_a_file_edited_during_the_run_is_recorded_as_it_was_run(demo, monkeypatch, capsys):
    """The scenario is edited once the run has begun, and the vehicle deleted."""
    import sim.study.compare as module

    files = [demo / "push_on_the_bumper.yaml", demo / "vehicles" / "hut_supply_truck.yaml"]
    before = [file.read_text(encoding="utf-8") for file in files]
    plain = module.compare

    def edited(*given):
        made = plain(*given)
        files[0].write_text(before[0] + "# edited", encoding="utf-8")
        files[1].unlink()
        return made

    monkeypatch.setattr(module, "compare", edited)
    assert main(["compare", str(files[0]), "--no-plots"]) == 0
    sources = json.loads(Path("outputs/push_on_the_bumper/record.json").read_text(encoding="utf-8"))["sources"]
    assert {name: one["text"] for name, one in sources.items()} == {
        "push_on_the_bumper.yaml": before[0], "vehicles/hut_supply_truck.yaml": before[1],
    }  # fmt: skip
    assert sources["push_on_the_bumper.yaml"]["sha256"] == hashlib.sha256(before[0].encode()).hexdigest()


@pytest.mark.parametrize("name", ["as_ordered_or_returned", "courses/upper_track"])
def test_tables_are_recorded_as_they_were_read(demo, name):
    """Files of a test machine and surveyed profiles."""
    loaded, read = load_kept(demo / f"{name}.yaml")
    tables = [path for path in read if path.suffix == ".csv"]
    assert tables
    texts = {path: path.read_bytes() for path in tables}
    for path in tables:
        path.write_text("edited", encoding="utf-8")
    given = SimpleNamespace(
        name="x", question="", path=demo / f"{name}.yaml", sources=tuple(read), changes={}, read=read
    )
    sources = record.origin(given, "again")["sources"]
    found = {one["sha256"] for one in sources.values()}
    assert {hashlib.sha256(raw).hexdigest() for raw in texts.values()} <= found


def test_a_machines_file_is_read_once_for_all_that_is_changed_later(demo):
    """A sweep changes a set-up again and again: a file that is edited meanwhile does not get into some of its points."""
    scenario = sim.load(demo / "as_ordered_or_returned.yaml")
    name, vehicle = next((name, one) for name, one in scenario.setups.items() if one.measured_files)
    for path in vehicle.measured_files:
        path.write_text("edited", encoding="utf-8")
    changed = vehicle.changed({"front.springs.coil.rate": "40 N/mm"})
    assert changed.front.dampers == vehicle.front.dampers
    with pytest.raises(InputError):
        sim.load(demo / "as_ordered_or_returned.yaml")


def test_a_file_that_changes_while_it_is_read_is_refused(tmp_path):
    path = tmp_path / "table.csv"
    path.write_text("1,2")

    def reads():
        path.write_text("1,2\n3")
        return "half"

    with pytest.raises(ValueError, match="is being changed"):
        kept.steady(path, reads)


def test_what_is_read_inside_is_kept_outside_too(tmp_path):
    with kept.keeping() as outer:
        kept.keep(tmp_path / "a", b"first")
        with kept.keeping() as inner:
            kept.keep(tmp_path / "a", b"second")
        kept.keep(tmp_path / "b", b"x" * (kept.LONGEST_TEXT + 1))
    assert inner[tmp_path / "a"].text == "second"
    assert outer[tmp_path / "a"].text == "first"
    assert outer[tmp_path / "b"].text == "left out: 2.0 MB"
    kept.keep(tmp_path / "c", b"nobody keeps it")
    assert set(outer) == {tmp_path / "a", tmp_path / "b"}
