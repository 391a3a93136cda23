"""FLAGGED is said in one way by every command: beside its other results."""

import re
from pathlib import Path

import pytest

import sim.cli
from sim.cli import main
from tests.synthetic import SCENARIOS

COMMANDS = sorted(Path(sim.cli.__file__).parent.glob("*.py"))


@pytest.mark.parametrize("path", COMMANDS, ids=lambda path: path.stem)
def test_no_command_prints_it_by_itself(path):
    """Of a run's result, which the report's tables print, nothing is said here: they write to standard output too."""
    if path.stem != "flagging":
        assert not re.search(r"print\(\s*f?\"\s*FLAGGED", path.read_text(encoding="utf-8"))


@pytest.mark.long  # a whole response
def test_it_is_a_result(tmp_path, capsys):
    """A shaking road so rough that the front dampers, cut short, meet their ends: its flags stand where its table does."""
    vehicle = (SCENARIOS / "vehicles" / "hut_supply_truck.yaml").read_text(encoding="utf-8")
    assert "length_extended: 720 mm" in vehicle
    (tmp_path / "short.yaml").write_text(
        vehicle.replace("length_extended: 720 mm", "length_extended: 585 mm", 1), encoding="utf-8"
    )
    code = main(["shake", str(tmp_path / "short.yaml"), "--road", "0.3 m/s", "--outputs", str(tmp_path / "out")])
    out, err = capsys.readouterr()
    assert code == 3
    assert re.search(r"^FLAGGED  Hut supply truck: .*front damper 'main'", out, re.MULTILINE)
    assert "FLAGGED" not in err
