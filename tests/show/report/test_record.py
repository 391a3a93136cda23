import hashlib
import json
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy
import pytest

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
