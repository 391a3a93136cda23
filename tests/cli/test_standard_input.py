"""`-` in place of a file: the same answer as from that file, and errors that name where it came from.

That `-` stands for standard input: POSIX.1-2017, base definitions, 12.2 "Utility syntax guidelines", guideline 13.
"""

import io
import json
import shutil
import sys
from pathlib import Path

import pytest

from sim.cli import main

ROOT = Path(__file__).parents[2]
PUSH = (ROOT / "scenarios" / "push_on_the_bumper.yaml").read_text(encoding="utf-8")
TRUCK = ROOT / "scenarios" / "vehicles" / "hut_supply_truck.yaml"


@pytest.fixture
def typed(tmp_path, monkeypatch):
    """Give what sets standard input; the command runs in a folder that has the vehicle where the scenario names it."""
    (tmp_path / "vehicles").mkdir()
    shutil.copy(TRUCK, tmp_path / "vehicles")
    monkeypatch.chdir(tmp_path)
    return lambda text: monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(text.encode())))


def answer(capsys, *command):
    code = main([*command, "--json"])
    return code, json.loads(capsys.readouterr().out)


def test_the_same_as_from_the_file(typed, capsys):
    Path("push.yaml").write_text(PUSH, encoding="utf-8")
    asked = ("--no-plots", "--no-doubt", "--setup", "as fitted")
    code, from_file = answer(capsys, "simulate", "push.yaml", *asked)
    assert code == 0
    typed(PUSH)
    code, found = answer(capsys, "simulate", "-", *asked)
    assert code == 0
    assert found["setups"] == from_file["setups"]
    folder = Path("outputs/standard_input-as_fitted")
    assert set(map(Path, found["files"])) == set(folder.iterdir())
    sources = json.loads((folder / "record.json").read_text(encoding="utf-8"))["sources"]
    # Whoever opens the record has the text, though no file ever held it.
    assert PUSH in [one["text"] for one in sources.values()]


@pytest.mark.parametrize("command", ["check", "stand", "compare", "sweep", "convert", "sheet", "loads"])
def test_errors_name_standard_input_and_the_line(typed, capsys, command):
    typed(PUSH.replace("force: 800 N", "force: 800 kg"))
    assert main([command, "-"]) == 2
    line = 1 + next(number for number, row in enumerate(PUSH.splitlines()) if "800 N" in row)
    assert f"standard input:{line}:" in capsys.readouterr().err
    assert not Path("outputs").exists()


def test_what_holds_nothing(typed, capsys):
    typed("")
    assert main(["compare", "-"]) == 2
    assert "standard input" in capsys.readouterr().err


def test_a_vehicle(typed, capsys):
    typed(TRUCK.read_text(encoding="utf-8"))
    assert main(["stand", "-", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["setups"]


@pytest.mark.parametrize("command", [["new", "-", "--front", "1 t"], ["open", "-"], ["dyno", "-"], ["check", "-", "-"]])
def test_where_it_cannot_be_read(typed, capsys, command):
    typed(PUSH)
    assert main(command) == 2
    assert "-:" in capsys.readouterr().err


def test_a_file_of_that_name_is_named_with_its_folder(typed, capsys):
    Path("-").write_text(PUSH, encoding="utf-8")
    typed("")  # which is not looked at
    assert main(["check", str(Path("-").absolute())]) == 0
