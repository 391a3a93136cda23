"""`jounce convert`: tables and pictures, its files read back, bad input."""

import csv
from pathlib import Path

import pytest
from pydantic import TypeAdapter

from sim.cli import main
from sim.describe.parts.dampers.laws import Law

SCENARIOS = Path(__file__).parents[2] / "scenarios"


def test_tables_pictures_and_files_to_read_back(tmp_path, capsys):
    assert main(["convert", str(SCENARIOS / "two_or_four.yaml"), "--outputs", str(tmp_path)]) == 0
    said = capsys.readouterr()
    assert "47 N (11 lbf)" in said.out  # 0.95 kN s/m x 0.05 m/s: by hand
    assert "shoot out their rods" in said.err
    folder = tmp_path / "two_or_four_two_front_convert"
    pictures = {f"{n}.{k}" for n in ("each", "end_up", "travel", "gas") for k in ("csv", "png", "svg")}
    assert {p.name for p in folder.iterdir()} == pictures | {
        "front_main_each.csv",
        "rear_main_each.csv",
        "record.json",
        "report.html",
    }
    law = TypeAdapter(Law).validate_python({"kind": "measured", "file": str(folder / "front_main_each.csv")})
    assert law.force(-0.52) == pytest.approx(-0.5 * (5200 * 0.12 + 1900 * 0.4), rel=2e-3)
    with (folder / "each.csv").open(encoding="utf-8", newline="") as file:
        assert len(list(csv.DictReader(file))) == 10


def test_to_another_set_up(tmp_path, capsys):
    given = ["convert", str(SCENARIOS / "two_or_four.yaml"), "--from", "two front", "--to", "four valved for four"]
    assert main([*given, "--outputs", str(tmp_path)]) == 0
    assert "front main  4" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (["two_or_four.yaml", "--from", "two frnt"], "two front"),
        (["two_or_four.yaml", "--from", "bare springs"], "has no dampers; choose another with --from"),
        (["two_or_four.yaml", "--to", "bare springs"], "has no dampers; choose another with --to"),
        (["courses/hut_track.yaml"], "a course has no dampers"),
        (["nothing.yaml"], "nothing.yaml"),
    ],
)
def test_bad_input(given, said, tmp_path, capsys):
    assert main(["convert", str(SCENARIOS / given[0]), *given[1:], "--outputs", str(tmp_path / "out")]) == 2
    assert said in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_the_page_of_travel_has_the_axle_in_its_title_that_the_file_changes(tmp_path, monkeypatch):
    """Only the front dampers lean differently in this file; the rear ones, as fitted, change their ratio more."""
    from sim.show.plots import save

    pages = {}
    monkeypatch.setattr(save, "saved", lambda page, stem: pages.update({stem.name: page}) or [])
    main(["convert", str(SCENARIOS / "lean_them_in.yaml"), "--from", "leaned 30 deg", "--outputs", str(tmp_path)])
    assert pages["travel"].texts[0].get_text().startswith("The front 'main' damper's motion ratio")
