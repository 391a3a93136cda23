"""Commands that the page gives to be copied: they are those of jounce."""

import pytest

from sim.cli import main
from sim.show.pages.local.terminal import questions


def test_every_command_is_one_and_names_the_truck(capsys):
    for asked in questions("old truck.yaml"):
        command = asked.command.split()[1]
        with pytest.raises(SystemExit) as ended:
            main([command, "--help"])
        assert ended.value.code == 0
    capsys.readouterr()
    assert any("'old truck.yaml'" in asked.command for asked in questions("old truck.yaml"))
