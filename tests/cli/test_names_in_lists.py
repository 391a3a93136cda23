"""Names of set-ups in what a person reads: in quotes, so that a name with a comma is one name."""

from pathlib import Path

import pytest

from sim.cli import main

VEHICLES = Path(__file__).parents[2] / "scenarios" / "vehicles"

SCENARIO = """kind: scenario
name: block and leaf
vehicle: {vehicle}
run: {{kind: push, over: rear, force: 200 lbf}}
setups:
  as it is: {{}}
  soft:
    rear.tyre.rate: 80 N/mm
  soft, as fitted:
    rear.tyre.rate: 80 N/mm
"""


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "tyres.yaml"
    path.write_text(SCENARIO.format(vehicle=VEHICLES / "hut_supply_truck.yaml"), encoding="utf-8")
    return str(path)


def test_check_lists_them_in_quotes(file, capsys):
    assert main(["check", file]) == 0
    assert "3 set-ups (“as it is”, “soft”, “soft, as fitted”)" in capsys.readouterr().out


def test_stand_lists_them_in_quotes(file, capsys):
    """A hop of sqrt(k/m): a tyre so soft has both set-ups hop slower than any axle does."""
    main(["stand", file])
    told = capsys.readouterr().out
    assert "\n  “soft”, “soft, as fitted”: rear hop " in told
    assert ": slow, usual 8.0 to 12.0 Hz" in told
