"""Commands that the page gives to be copied: they are those of jounce, and what is to be written runs with them."""

from pathlib import Path

import pytest
import yaml

from sim.cli import main
from sim.show.pages.local.terminal import DRIVELINE, LAUNCH, launch, questions

SCENARIOS = Path(__file__).parents[4] / "scenarios"


def test_every_command_is_one_and_names_the_truck(capsys):
    for asked in questions("old truck.yaml"):
        command = asked.command.split()[1]
        with pytest.raises(SystemExit) as ended:
            main([command, "--help"])
        assert ended.value.code == 0
    capsys.readouterr()
    assert any("'old truck.yaml'" in asked.command for asked in questions("old truck.yaml"))


def test_the_lines_are_those_of_the_docs_and_make_a_truck_that_pulls_away(tmp_path, monkeypatch, capsys):
    docs = (Path(__file__).parents[4] / "docs" / "launches-and-stops.md").read_text(encoding="utf-8")
    block = docs.partition("```yaml\n")[2].partition("```")[0]
    assert yaml.safe_load(DRIVELINE) == yaml.safe_load(block)
    truck = yaml.safe_load((SCENARIOS / "vehicles" / "hut_supply_truck.yaml").read_text(encoding="utf-8"))

    def laid(into, own):
        for key, value in own.items():
            if isinstance(value, dict) and isinstance(into.get(key), dict):
                laid(into[key], value)
            else:
                into[key] = value

    laid(truck, yaml.safe_load(DRIVELINE))
    (tmp_path / "truck.yaml").write_text(yaml.safe_dump(truck), encoding="utf-8")
    (tmp_path / LAUNCH).write_text(launch("truck.yaml"), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    assert main(["check", LAUNCH]) in (0, 3)
    capsys.readouterr()
