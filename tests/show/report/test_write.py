"""A folder of results: written whole, in place of the earlier ones."""

import json
import sys
from pathlib import Path

import pytest

from sim.errors import InternalError, OutputError
from sim.show.report.write import MARKER, written
from tests.show.report.folders import results, snapshot


def test_makes_the_folder_and_those_above(tmp_path):
    folder = tmp_path / "a" / "b" / "c"
    assert written(folder, results("summary.csv")) == folder
    assert sorted(path.name for path in folder.iterdir()) == [MARKER, "summary.csv"]
    assert sorted(path.name for path in folder.parent.iterdir()) == ["c"]
    assert json.loads((folder / MARKER).read_text())["files"] == [MARKER, "summary.csv"]


def test_replaces_earlier_results_whole(out):
    written(out, results("summary.csv", text="second"))
    assert sorted(path.name for path in out.iterdir()) == [MARKER, "summary.csv"]
    assert (out / "summary.csv").read_text() == "second"
    assert [path.name for path in out.parent.iterdir()] == [out.name]


def test_folder_has_the_usual_rights(tmp_path):
    (tmp_path / "usual").mkdir()
    folder = written(tmp_path / "made", results())
    assert folder.stat().st_mode == (tmp_path / "usual").stat().st_mode


@pytest.mark.skipif(sys.platform not in ("linux", "darwin"), reason="the system cannot exchange two names")
def test_the_place_is_never_empty_where_the_system_can_swap_in_one_step(out, monkeypatch):
    def rename(self, target):
        pytest.fail(f"{self} was renamed")

    monkeypatch.setattr(Path, "rename", rename)
    written(out, results("summary.csv", text="second"))
    assert (out / "summary.csv").read_text() == "second"


def test_results_of_something_else_are_not_replaced(out):
    written(out, results("summary.csv", text="one"), of="one")
    before = snapshot(out.parents[1])
    with pytest.raises(OutputError, match="results of another file"):
        written(out, results("summary.csv", text="other"), of="other")
    assert snapshot(out.parents[1]) == before
    written(out, results("summary.csv", text="again"), of="one")
    assert (out / "summary.csv").read_text() == "again"


def test_empty_folder_may_be_filled(tmp_path):
    (tmp_path / "empty").mkdir()
    written(tmp_path / "empty", results("summary.csv"))
    assert (tmp_path / "empty" / "summary.csv").exists()


def test_results_without_a_record_are_a_bug_of_ours(tmp_path):
    with pytest.raises(InternalError):
        written(tmp_path / "out", lambda into: (into / "a.csv").write_text("1"))
    assert snapshot(tmp_path) == {}


def test_link_to_a_folder_stays_a_link(out, tmp_path):
    link = tmp_path / "latest"
    link.symlink_to(out, target_is_directory=True)
    written(link, results("summary.csv", text="second"))
    assert link.is_symlink()
    assert (out / "summary.csv").read_text() == "second"


def test_name_too_long_for_the_disk(tmp_path):
    with pytest.raises(OutputError):
        written(tmp_path / ("x" * 300), results())
    assert snapshot(tmp_path) == {}
