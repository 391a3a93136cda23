"""Names of folders and files: readable, distinct in any script, allowed on every system; nobody's file is overwritten."""

import json
import shutil
from pathlib import Path

import pytest

from sim.cli import main
from sim.cli.folders import beside, distinct, place, slug
from sim.show.report.write import MARKER, written

ROOT = Path(__file__).parents[2]


@pytest.fixture
def demo(tmp_path, monkeypatch):
    shutil.copytree(ROOT / "scenarios", tmp_path / "scenarios")
    monkeypatch.chdir(tmp_path)
    return tmp_path / "scenarios"


def filled(results, text):
    def files(into):
        (into / MARKER).write_text(json.dumps({"made by": "jounce 0.1.0"}))
        (into / "text").write_text(text)

    return written(results.folder, files, results.of)


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("two_or_four", "two_or_four"),
        ("Two or Four", "two_or_four"),
        ("four, 1.3 x bump", "four_1_3_x_bump"),
        ("Dämpfer vorn", "dämpfer_vorn"),
        ("Передние амортизаторы", "передние_амортизаторы"),
        ("चार शॉक", "चार_शॉक"),
        ("四本", "四本"),
        ("../../etc/passwd", "etc_passwd"),
        ("a\\b:c\x00d\n", "a_b_c_d"),
        ("con", "con_"),
        ("LPT1", "lpt1_"),
        ("...", "setup"),
    ],
)
def test_names_are_readable_in_any_script(text, name):
    assert slug(text) == name


def test_different_words_of_a_script_with_marks_have_different_names():
    assert slug("की") != slug("कि")


def test_long_names_fit_a_disk_and_stay_distinct():
    """255 bytes a name on the usual disks of three systems; something comes before and after."""
    names = {slug(sign * 300 + end) for sign in "xж四" for end in ("a", "b")}
    assert len(names) == 6
    assert max(len(name.encode()) for name in names) <= 120


def test_set_ups_have_distinct_names():
    """Case, spaces, signs, composed letters, and what is reserved."""
    texts = ["summary", "Summary", "my run", "my-run", "my_run", "é", "e\u0301", "🚙", "🚗", "setup"]
    names = distinct(texts, ("summary",))
    assert list(names) == texts
    assert len({name.casefold() for name in names.values()} | {"summary"}) == len(texts) + 1


def test_names_with_ends_are_distinct():
    names = distinct(["a", "a modes", "A"], ends=("", "_modes"))
    files = [name + end for name in names.values() for end in ("", "_modes")]
    assert len(set(files)) == len(files)


def test_scenarios_of_like_names_do_not_share_a_folder(tmp_path):
    outputs = tmp_path / "outputs"
    files = [tmp_path / "my run.yaml", tmp_path / "my-run.yaml", tmp_path / "other" / "my_run.yaml", tmp_path / "🚙.yaml",
             tmp_path / "🚗.yaml"]  # fmt: skip
    for _ in range(2):  # the second time each finds its own again
        for file in files:
            filled(place(outputs, file), file.name)
        folders = {place(outputs, file).folder.name: file.name for file in files}
        assert folders == {
            "my_run": "my run.yaml", "my_run-2": "my-run.yaml", "my_run-3": "my_run.yaml", "setup": "🚙.yaml",
            "setup-2": "🚗.yaml",
        }  # fmt: skip
        for name, text in folders.items():
            assert (outputs / name / "text").read_text() == text


def test_folders_of_earlier_versions_are_replaced_as_before(tmp_path):
    """Their records do not say what they are of."""
    (tmp_path / "run").mkdir()
    (tmp_path / "run" / MARKER).write_text(json.dumps({"made by": "jounce 0.1.0", "files": [MARKER]}))
    assert place(tmp_path, tmp_path / "run.yaml").folder == tmp_path / "run"


def test_a_moved_project_finds_its_results_again(tmp_path):
    """The record holds no path of the machine: what it holds does not depend on where the whole project lies."""
    kept = place(tmp_path / "a" / "outputs", tmp_path / "a" / "scenarios" / "run.yaml").of
    assert place(tmp_path / "b" / "outputs", tmp_path / "b" / "scenarios" / "run.yaml").of == kept
    assert str(tmp_path) not in kept


def test_tuned_files_of_two_scenarios_have_folders_of_their_own(tmp_path):
    outputs = tmp_path / "outputs"
    tuned = [place(outputs, tmp_path / f"{name}.yaml", "_tuned") for name in ("hut", "well")]
    compared = []
    for results in tuned:
        filled(results, "tuned")
        compared.append(place(outputs, results.folder / "tuned.yaml").folder.name)
    assert compared == ["hut_tuned_tuned", "well_tuned_tuned"]


def test_cases_of_a_tuning_have_folders_beside_it(tmp_path):
    results = place(tmp_path, tmp_path / "hut.yaml", "_tuned")
    assert beside(results, "_loaded", "loaded").folder == tmp_path / "hut_tuned_loaded"
    assert beside(results, "_loaded", "loaded").of != beside(results, "_loaded", "Loaded").of


def test_a_set_up_called_summary_keeps_its_history(demo, capsys):
    """Its series were overwritten by the table of measures."""
    path = demo / "push_on_the_bumper.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text[: text.index("setups:")] + "setups:\n  summary:\n", encoding="utf-8")
    assert main(["compare", str(path), "--no-plots"]) == 0
    folder = Path("outputs/push_on_the_bumper")
    assert {file.name for file in folder.iterdir()} == {
        "summary.csv",
        "summary_.csv",
        "report.html",
        "usual.csv",
        MARKER,
    }
    assert (folder / "summary_.csv").read_text(encoding="utf-8").startswith("time [s],")
    assert not (folder / "summary.csv").read_text(encoding="utf-8").startswith("time [s],")


def test_pictures_leave_a_persons_folder_alone(demo, capsys):
    Path("mine").mkdir()
    Path("mine/hut_supply_truck.png").write_bytes(b"photo")
    assert main(["stand", "scenarios/vehicles/hut_supply_truck.yaml", "--picture", "mine"]) == 4
    said = capsys.readouterr().err
    assert "jounce did not write" in said
    assert "--picture" in said
    assert [(p.name, p.read_bytes()) for p in Path("mine").iterdir()] == [("hut_supply_truck.png", b"photo")]


def test_pictures_replace_pictures(demo, capsys):
    for _ in range(2):
        assert main(["stand", "scenarios/vehicles/hut_supply_truck.yaml", "--picture", "drawn"]) == 0
        names = {f"hut_supply_truck{end}.{kind}" for end in ("", "_modes") for kind in ("png", "svg")}
        assert {path.name for path in Path("drawn").iterdir()} == names | {MARKER}
    assert not list(Path().glob(".drawn*"))


def test_schemas_replace_schemas_and_nothing_else(tmp_path, capsys):
    assert main(["schema", "--folder", str(tmp_path)]) == 0
    (tmp_path / "notes.txt").write_text("mine")
    assert main(["schema", "--folder", str(tmp_path)]) == 0
    before = (tmp_path / "course.schema.json").read_bytes()
    for content in ("mine", '{"title": "another"}', "[1]"):
        (tmp_path / "vehicle.schema.json").write_text(content)
        assert main(["schema", "--folder", str(tmp_path)]) == 4
        assert "jounce did not write" in capsys.readouterr().err
        assert (tmp_path / "vehicle.schema.json").read_text() == content
    assert (tmp_path / "course.schema.json").read_bytes() == before
    assert not list(tmp_path.glob(".*"))
