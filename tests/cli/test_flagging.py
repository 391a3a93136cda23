"""FLAGGED is said in one way by every command: beside its other results."""

import re
from pathlib import Path

import pytest

import sim.cli
from sim.cli import main
from sim.cli.flagging import say_alike
from sim.integrate.status import Flag
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


@pytest.mark.parametrize("command", ["shake", "convert"])
@pytest.mark.long  # whole responses
def test_a_fault_of_several_set_ups_is_said_at_length_once_by(command, tmp_path, capsys):
    """Dampers cut short meet their ends on a rough road, and do not fit where they are converted."""
    (tmp_path / "s.yaml").write_text(
        f"""kind: scenario
name: s
vehicle: {SCENARIOS / "vehicles" / "hut_supply_truck.yaml"}
run: {{kind: drop, height: 50 mm}}
setups:
  short: {{front.dampers.main.length_extended: 585 mm}}
  stiffer too: {{front.dampers.main.length_extended: 585 mm, front.dampers.main.valving.compression.low: 3 kN s/m}}
""",
        encoding="utf-8",
    )
    more = ["--road", "0.3 m/s"] if command == "shake" else []
    assert main([command, str(tmp_path / "s.yaml"), *more, "--outputs", str(tmp_path / "out")]) == 3
    said = [line for line in capsys.readouterr().out.splitlines() if line.startswith("FLAGGED")]
    kinds = {re.sub(r".*?: ", "", line, count=1) for line in said}
    assert any(line.endswith(" too") for line in said), said
    assert len(kinds) == len(said), said


def test_a_fault_that_many_set_ups_have_is_said_at_length_once(capsys):
    """Of the worst one; a fault of another end of the damper is another fault, and a hair more is no worse."""
    seen = [
        ("a", Flag("damper_end", None, "front damper 'main'", "A sentence on a.", 0.0100, "collapsed")),
        ("b", Flag("damper_end", None, "front damper 'main'", "A sentence on b.", 0.0300, "collapsed")),
        ("b", Flag("damper_end", None, "front damper 'main'", "Another end.", 0.001, "extended")),
        ("c", Flag("damper_end", None, "front damper 'main'", "A sentence on c.", 0.0302, "collapsed")),
    ]
    say_alike(seen, lambda name: f"set-up '{name}'", lambda names: f"set-ups {' and '.join(names)}")
    assert capsys.readouterr().out.splitlines() == [
        "FLAGGED  set-up 'b': A sentence on b.",
        "FLAGGED  set-ups a and c: front damper 'main' met its collapsed end too",
        "FLAGGED  set-up 'b': Another end.",
    ]


def test_check_and_stand_say_a_fault_of_all_set_ups_once(tmp_path, capsys):
    (tmp_path / "s.yaml").write_text(
        f"""kind: scenario
name: s
vehicle: {SCENARIOS / "vehicles" / "hut_supply_truck.yaml"}
run: {{kind: drop, height: 50 mm}}
setups:
  one: {{front.springs.coil.solid_length: 390 mm}}
  two: {{front.springs.coil.solid_length: 390 mm, rear.dampers.main.valving.compression.low: 1 kN s/m}}
  three: {{front.springs.coil.solid_length: 390 mm, front.dampers: none}}
""",
        encoding="utf-8",
    )
    for command, who in (
        ("check", "  FLAGGED  set-ups 'two' and 'three': "),
        ("stand", "FLAGGED  “two” and “three”: "),
    ):
        assert main([command, str(tmp_path / "s.yaml")]) == 3
        out = capsys.readouterr().out
        assert (
            out.count("Fit a bump stop that touches earlier") + out.count("fit a bump stop that touches earlier") == 1
        )
        assert f"{who}front spring 'coil' went solid too" in out
