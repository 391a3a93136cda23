"""In which units commands show: typed, of the scenario's file, of the user's settings; CSV files go the same way."""

import csv

import pytest

from sim.cli import main
from sim.describe import shown

PUSH = """kind: scenario
name: units
vehicle: {truck}
run: {{kind: push, over: front, force: 800 N}}
setups:
  standard: {{}}
  softer: {{front.dampers.main.valving.compression.low: 1.2 kN s/m}}
"""
INCH_OF_MM = 25.4


@pytest.fixture
def scenario(tmp_path):
    def written(more=""):
        from pathlib import Path

        truck = Path("scenarios/vehicles/hut_supply_truck.yaml").resolve()
        (tmp_path / "push.yaml").write_text(PUSH.format(truck=truck) + more, encoding="utf-8")
        return tmp_path / "push.yaml"

    return written


def rows(path):
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.reader(file))


def stands(capsys, *words):
    assert main(["stand", *words]) == 0
    return capsys.readouterr().out


def test_what_is_typed_goes_before_the_file_and_the_file_before_the_setting(scenario, capsys, monkeypatch):
    plain, inch = str(scenario()), None
    assert "[mm (in)]" in stands(capsys, plain)
    monkeypatch.setenv("JOUNCE_UNITS", "metric")
    assert "[mm]" in stands(capsys, plain)
    inch = str(scenario("units: inch\n"))
    said = stands(capsys, inch)
    assert "[in]" in said
    assert "mm" not in said
    assert "[mm (in)]" in stands(capsys, inch, "--units", "both")
    assert "[mm]" in stands(capsys, inch, "--units", "metric")
    # Nothing is left behind for whoever calls next.
    assert shown.system() == "both"


def test_settings_file_of_the_user(scenario, capsys, monkeypatch, tmp_path):
    plain = str(scenario())
    monkeypatch.delenv("JOUNCE_UNITS", raising=False)
    monkeypatch.setattr("platformdirs.user_config_path", lambda name, **more: tmp_path / name)
    settings = tmp_path / "jounce" / "settings.yaml"
    settings.parent.mkdir()
    settings.write_text("units: inch\n", encoding="utf-8")
    assert "[in]" in stands(capsys, plain)
    for text, said in (("units: imperial\n", "allowed: both, metric, inch"), ("unit: inch\n", "there is: units")):
        settings.write_text(text, encoding="utf-8")
        assert main(["stand", plain]) == 2
        assert said in capsys.readouterr().err
    monkeypatch.setenv("JOUNCE_UNITS", "feet")
    assert main(["stand", plain]) == 2
    assert "JOUNCE_UNITS: 'feet' is no system of units" in capsys.readouterr().err


def test_csv_in_inches_says_the_same(scenario, capsys, tmp_path):
    """Column by column, by the inch of 25.4 mm and the pound-force of 4.448222 N (NIST SP 811)."""
    path = str(scenario())
    for system in ("metric", "inch"):
        assert (
            main(
                [
                    "simulate",
                    path,
                    "--setup",
                    "standard",
                    "--no-plots",
                    "--units",
                    system,
                    "--outputs",
                    str(tmp_path / system),
                ]
            )
            == 0
        )
    capsys.readouterr()
    files = [next((tmp_path / system).rglob("standard.csv")) for system in ("metric", "inch")]
    metric, inch = (rows(file) for file in files)
    factors = {"[mm]": ("[in]", 25.4), "[N]": ("[lbf]", 4.448222), "[m/s]": ("[in/s]", 0.0254), "[m]": ("[ft]", 0.3048)}
    assert len(metric) == len(inch)
    for column, head in enumerate(metric[0]):
        unit = head[head.rindex("[") :]
        other, factor = factors.get(unit, (unit, 1.0))
        if unit == "[m/s2]":
            other, factor = "[g]", 9.80665
        assert inch[0][column] == head.replace(unit, other)
        for one, two in zip(metric[100::500], inch[100::500], strict=True):
            # By the digits of the coarser file.
            assert float(two[column]) * factor == pytest.approx(float(one[column]), rel=2e-3, abs=1e-6)
    summaries = [rows(next((tmp_path / system).rglob("summary.csv"))) for system in ("metric", "inch")]
    units = [{row[0]: row[1] for row in table[1:] if len(row) > 1} for table in summaries]
    assert units[0]["Front bump travel left"] == "mm"
    assert units[1]["Front bump travel left"] == "in"


def test_a_wrong_wish_is_said_at_its_line(scenario, capsys):
    path = scenario("units: imperial\n")
    assert main(["check", str(path)]) == 2
    said = capsys.readouterr().err
    line = path.read_text(encoding="utf-8").splitlines().index("units: imperial") + 1
    assert f"push.yaml:{line}:" in said
    assert "'both', 'metric' or 'inch'".replace("'", "") in said
