"""`jounce sheet`: pages, blanks, what does not fit, bad input."""

import csv
import json
from pathlib import Path

import pytest

from sim.cli import main
from tests.describe.parts.dampers import MONOTUBE

SCENARIOS = Path(__file__).parents[2] / "scenarios"


def table(path):
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_pages_and_numbers(tmp_path, capsys):
    code = main(
        ["sheet", str(SCENARIOS / "two_or_four.yaml"), "--setup", "four valved for four", "--outputs", str(tmp_path)]
    )
    assert code == 0
    folder = tmp_path / "two_or_four_four_valved_for_four_sheet"
    names = {p.name for p in folder.iterdir()}
    sheets = {f"{axle}_main{kind}" for axle in ("front", "rear") for kind in (".pdf", ".png", ".csv", "_forces.csv")}
    assert names == sheets | {"record.json", "margins.png", "margins.svg"}
    assert (folder / "front_main.pdf").read_bytes().startswith(b"%PDF")
    rows = {row["what"]: row for row in table(folder / "front_main.csv")}
    # 0.95 kN s/m to the knee at 0.12 m/s, 0.45 beyond; 2.6 and 0.95 in rebound: by hand.
    assert rows["compression at 0.10 m/s (3.9 in/s)"]["metric"] == "95 N +/- 10 %"
    assert rows["rebound at 0.52 m/s (20.5 in/s)"]["metric"] == "692 N +/- 10 %"
    assert rows["rebound at 0.52 m/s (20.5 in/s)"]["inch"] == "156 lbf +/- 10 %"
    assert rows["stroke"]["metric"] == "335.0 mm"
    for unknown in (
        "oil: grade",
        "oil: volume",
        "rod thread",
        "upper: bush, its angle",
        "gauge at ride length, 20 degC",
    ):
        assert rows[unknown]["metric"] == "__________"  # never invented
    assert rows["rpm for them: v = pi S n/60"]["metric"] == "10, 19, 25, 50, 99, 191"
    assert rows["bore"]["metric"] == "32.0 mm"  # of the tube in the vehicle's file
    assert rows["rod points"]["metric"] == "up"
    assert "4 on the axle" in rows["place, how many on this axle"]["metric"]
    assert "front_main.pdf" in capsys.readouterr().out


def test_valve_parts_fill_what_they_say(tmp_path):
    text = (SCENARIOS / "vehicles" / "hut_supply_truck.yaml").read_text(encoding="utf-8")
    start, end = text.index("      law:\n        kind: knee"), text.index("      body: {behind_front_axle: 130 mm")
    text = text[:start] + f"      law: {json.dumps(MONOTUBE)}\n" + text[end:]
    text = text.replace("      gas_force: 120 N\n", "")
    (tmp_path / "valves.yaml").write_text(text, encoding="utf-8")
    assert main(["sheet", str(tmp_path / "valves.yaml"), "--outputs", str(tmp_path / "out")]) == 0
    rows = {row["what"]: row for row in table(next((tmp_path / "out").glob("*/front_main.csv")))}
    assert rows["bore"]["metric"] == "40.0 mm"
    assert rows["rod diameter"]["inch"] == "0.55 in"
    assert rows["construction"]["metric"] == "monotube"
    assert (rows["gauge at ride length, 20 degC"]["metric"], rows["push of one at ride length"]["metric"]) == (
        "16.00 bar",
        "246 N",
    )
    assert rows["shape; knees"]["metric"] == "bleed, then valves; open at 0.03 and 0.07 then 0.52 m/s"


def test_every_load_stands_on_the_sheet(tmp_path, capsys):
    assert main(["sheet", str(SCENARIOS / "empty_or_loaded.yaml"), "--outputs", str(tmp_path)]) == 0
    rows = {row["what"]: row for row in table(next(tmp_path.glob("*/rear_main.csv")))}
    empty, full = (float(rows[f"in place: ride{name}"]["metric"].split()[0]) for name in ("", ", 'full load'"))
    assert full < empty - 30.0
    said = capsys.readouterr().out
    assert "stroke left in, out" in said
    assert sum("full load" in line for line in said.splitlines()) >= 2


def test_a_vehicle_alone(tmp_path):
    assert main(["sheet", str(SCENARIOS / "vehicles" / "hut_supply_truck.yaml"), "--outputs", str(tmp_path)]) == 0


def test_what_does_not_fit_is_flagged_and_stands_on_the_sheet(tmp_path, capsys):
    text = (SCENARIOS / "vehicles" / "hut_supply_truck.yaml").read_text(encoding="utf-8")
    (tmp_path / "short.yaml").write_text(
        text.replace("length_extended: 720 mm", "length_extended: 650 mm"), encoding="utf-8"
    )
    assert main(["sheet", str(tmp_path / "short.yaml"), "--outputs", str(tmp_path / "out")]) == 3
    assert "becomes the strap" in capsys.readouterr().out
    page = next((tmp_path / "out").glob("*/front_main.csv"))
    assert any("becomes the strap" in row["what"] for row in table(page))


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (["two_or_four.yaml", "--setup", "two frnt"], "two front"),
        (["two_or_four.yaml", "--setup", "bare springs"], "has no dampers"),
        (["courses/hut_track.yaml"], "a course has no dampers"),
    ],
)
def test_bad_input(given, said, tmp_path, capsys):
    assert main(["sheet", str(SCENARIOS / given[0]), *given[1:], "--outputs", str(tmp_path / "out")]) == 2
    assert said in capsys.readouterr().err
    assert not (tmp_path / "out").exists()
