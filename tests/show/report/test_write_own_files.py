"""A person's own files among results stay, and a place that is not ours is left alone."""

from pathlib import Path

import pytest

from sim.errors import OutputError
from sim.show.report import write
from sim.show.report.write import MARKER, written
from tests.show.report.folders import results, snapshot


@pytest.mark.usefixtures("step")
def test_a_file_saved_while_the_new_results_are_made_is_kept(out):
    (out / "notes.txt").write_text("before")
    (out / "photos").mkdir()

    def files(into: Path) -> None:
        results("summary.csv", text="second")(into)
        (out / "late.txt").write_text("mine")
        (out / "notes.txt").write_text("after")
        (out / "photos" / "late.jpg").write_bytes(b"jpg")

    written(out, files)
    assert (out / "summary.csv").read_text() == "second"
    assert (out / "late.txt").read_text() == "mine"
    assert (out / "notes.txt").read_text() == "after"
    assert (out / "photos" / "late.jpg").read_bytes() == b"jpg"
    assert [path.name for path in out.parent.iterdir()] == [out.name]


@pytest.mark.usefixtures("step")
def test_a_file_saved_in_the_very_last_moment_is_kept(out, monkeypatch):
    """After the files are taken along and before the swap: a new one, and one that an editor replaces by a new version."""
    (out / "notes.txt").write_text("before")
    real = write._kept

    def kept(new: Path) -> None:
        real(new)
        (out / "late.txt").write_text("mine")
        (out / "notes.tmp").write_text("after")
        (out / "notes.tmp").replace(out / "notes.txt")

    monkeypatch.setattr(write, "_kept", kept)
    written(out, results("summary.csv", text="second"))
    assert (out / "summary.csv").read_text() == "second"
    assert (out / "late.txt").read_text() == "mine"
    assert (out / "notes.txt").read_text() == "after"
    assert [path.name for path in out.parent.iterdir()] == [out.name]


def test_place_below_a_file(tmp_path):
    """Root may write anywhere, so rights are no test; a file where a folder should be stops everybody."""
    (tmp_path / "outputs").write_text("a file")
    with pytest.raises(OutputError, match=r"scenario: results cannot be written.*\n?.*--outputs"):
        written(tmp_path / "outputs" / "scenario", results())
    assert snapshot(tmp_path) == {"outputs": b"a file"}


def test_file_of_that_name(tmp_path):
    (tmp_path / "scenario").write_text("mine")
    with pytest.raises(OutputError, match="there is a file of this name"):
        written(tmp_path / "scenario", results())
    assert snapshot(tmp_path) == {"scenario": b"mine"}


@pytest.mark.parametrize("record", [None, "not json", "[1]", '{"made by": "someone else"}', "{}"])
def test_folder_of_somebody_else_is_left_alone(tmp_path, record):
    folder = tmp_path / "holiday"
    folder.mkdir()
    (folder / "photo.png").write_bytes(b"\x89PNG")
    if record is not None:
        (folder / MARKER).write_text(record)
    before = snapshot(tmp_path)
    ran = []
    with pytest.raises(OutputError, match="jounce did not write"):
        written(folder, ran.append)
    assert snapshot(tmp_path) == before
    assert not ran


def test_own_files_among_results_are_kept(out):
    (out / "notes.txt").write_text("tyres at 2.5 bar")
    (out / "my plot.png").write_bytes(b"\x89PNG")
    (out / "photos").mkdir()
    (out / "photos" / "mount.jpg").write_bytes(b"jpg")
    for text in ("second", "third"):
        written(out, results("summary.csv", text=text))
    assert (out / "summary.csv").read_text() == "third"
    assert not (out / "old.csv").exists()
    assert (out / "notes.txt").read_text() == "tyres at 2.5 bar"
    assert (out / "my plot.png").exists()
    assert (out / "photos" / "mount.jpg").read_bytes() == b"jpg"


def test_own_file_with_the_name_of_a_new_result(out):
    (out / "new.csv").write_text("mine")
    before = snapshot(out.parents[1])
    with pytest.raises(OutputError, match=r"new\.csv: a file of your own"):
        written(out, results("new.csv"))
    assert snapshot(out.parents[1]) == before
