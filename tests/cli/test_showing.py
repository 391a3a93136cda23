"""The answer of a comparison is on the screen before its pictures are drawn, and files are written though it cannot be said."""

import sys
from io import StringIO
from pathlib import Path

import pytest

from sim.cli import main, showing
from sim.errors import OutputError

PUSH = Path(__file__).parents[2] / "scenarios" / "push_on_the_bumper.yaml"


def test_the_answer_comes_before_the_pictures(monkeypatch, tmp_path, capsys):
    before = []
    written = showing.written

    def drawn(*given, **named):
        before.append(capsys.readouterr().out)
        return written(*given, **named)

    monkeypatch.setattr(showing, "written", drawn)
    assert main(["simulate", str(PUSH), "--no-plots", "--outputs", str(tmp_path)]) == 0
    (said,) = before
    assert "How many times does it bob after letting go?" in said
    assert "How many times" not in capsys.readouterr().out


@pytest.mark.parametrize("at", ["write", "flush"])
def test_files_are_written_where_the_answer_cannot_be_said(monkeypatch, tmp_path, capsys, at):
    def full(*_):
        raise OutputError("standard output: no room")

    monkeypatch.setattr(sys, "stdout", type("Full", (StringIO,), {at: full})())
    code = main(["simulate", str(PUSH), "--no-plots", "--outputs", str(tmp_path)])
    assert code == 4
    assert "no room" in capsys.readouterr().err
    (folder,) = tmp_path.iterdir()
    assert (folder / "record.json").is_file()
