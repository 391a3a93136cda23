"""`jounce road`: numbers, files, bad input."""

import json
from pathlib import Path

import pytest

from sim.cli import main

ROOT = Path(__file__).parents[2]
ROUGH = """kind: course
name: Rough
items:
  - {kind: random, iso_class: D, length: 400 m, seed: 3}
"""


def test_numbers_and_files(tmp_path, capsys):
    (tmp_path / "rough.yaml").write_text(ROUGH, encoding="utf-8")
    assert main(["road", str(tmp_path / "rough.yaml"), "--outputs", str(tmp_path / "out"), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["more"]["iso_8608_class"] == "D"
    assert found["measures"]["length"]["value"] == pytest.approx(400.0)
    # Expectation of a class D road (published-values 3.1): 17.751 m/km, less what its band and four hundred metres leave out.
    assert 1e3 * found["measures"]["iri"]["value"] == pytest.approx(17.75, rel=0.2)
    folder = tmp_path / "out" / "rough_road"
    assert {p.name for p in folder.iterdir()} == {
        "course.png",
        "course.svg",
        "profile.csv",
        "spectrum.csv",
        "record.json",
    }
    assert (folder / "profile.csv").read_text(encoding="utf-8").startswith("distance [m],height [mm]\n0,")


def test_a_scenario_names_its_course(tmp_path, capsys):
    assert main(["road", str(ROOT / "scenarios" / "two_or_four.yaml"), "--outputs", str(tmp_path)]) == 0
    out, err = capsys.readouterr()
    assert "m/km" in out
    assert "in/mi" in out
    assert "course.png" in err


@pytest.mark.parametrize(
    ("file", "said"),
    [
        ("vehicles/hut_supply_truck.yaml", "a vehicle has no roughness"),
        ("push_on_the_bumper.yaml", "drives over no course"),
    ],
)
def test_what_has_no_roughness(file, said, tmp_path, capsys):
    assert main(["road", str(ROOT / "scenarios" / file), "--outputs", str(tmp_path / "out")]) == 2
    assert said in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_too_short(tmp_path, capsys):
    (tmp_path / "short.yaml").write_text(
        "kind: course\nname: Short\nitems:\n  - {kind: plank, height: 50 mm, width: 200 mm}\n  - {kind: flat, length: 5 m}\n",
        encoding="utf-8",
    )
    assert main(["road", str(tmp_path / "short.yaml"), "--outputs", str(tmp_path / "out")]) == 2
    assert "11 m are needed" in capsys.readouterr().err


def test_a_random_course_is_driven(tmp_path, capsys):
    (tmp_path / "rough.yaml").write_text(ROUGH.replace("400 m", "60 m"), encoding="utf-8")
    vehicle = ROOT / "scenarios" / "vehicles" / "hut_supply_truck.yaml"
    (tmp_path / "drive.yaml").write_text(
        f"kind: scenario\nname: Drive\nvehicle: {vehicle}\nrun: {{kind: course, course: rough.yaml, speed: 30 km/h}}\n"
        "setups:\n  as it is: {}\n",
        encoding="utf-8",
    )
    assert (
        main(["compare", str(tmp_path / "drive.yaml"), "--outputs", str(tmp_path / "out"), "--no-plots", "--json"]) == 0
    )
    found = json.loads(capsys.readouterr().out)
    assert found["setups"]["as it is"]["measures"]["acceleration_rms_driver"]["value"] > 0.2


def test_a_course_of_all_kinds_tells_what_was_found_in_its_survey(tmp_path, capsys):
    """Said to the person, on the page of the record, and the surveyed file kept beside it."""
    course = ROOT / "scenarios" / "courses" / "upper_track.yaml"
    assert main(["road", str(course), "--outputs", str(tmp_path), "--json"]) == 0
    out, err = capsys.readouterr()
    assert json.loads(out)["measures"]["iri"]["value"] > 10e-3
    assert "NOTICE: stream_crossing.csv: 241 points over 24.00 m (78.7 ft); distance in m, height in mm" in err
    record = json.loads((tmp_path / "upper_track_road" / "record.json").read_text(encoding="utf-8"))
    for words in ("decimal comma", "1 spike taken out (line 86)", "1 gap bridged", "mean grade"):
        assert words in err
        assert any(words in text for text in record["notices"])
    assert "stream_crossing.csv" in record["sources"]
    assert main(["check", str(course)]) == 0
    assert "NOTICE: stream_crossing.csv" in capsys.readouterr().err


def test_a_drive_over_a_survey_tells_and_records_it(tmp_path, capsys):
    (tmp_path / "track.csv").write_text(
        "distance [m],height [in]\n" + "".join(f"{d},{d % 3}\n" for d in range(40)), encoding="utf-8"
    )
    vehicle = ROOT / "scenarios" / "vehicles" / "hut_supply_truck.yaml"
    (tmp_path / "drive.yaml").write_text(
        f"kind: scenario\nname: Drive\nvehicle: {vehicle}\nrun:\n  kind: course\n  speed: 15 km/h\n"
        "  course: {items: [{kind: flat, length: 4 m}, {kind: survey, file: track.csv}]}\nsetups:\n  as it is: {}\n",
        encoding="utf-8",
    )
    assert (
        main(["compare", str(tmp_path / "drive.yaml"), "--outputs", str(tmp_path / "out"), "--no-plots", "--json"]) == 0
    )
    assert (
        "NOTICE: track.csv: 40 points over 39.00 m (128.0 ft); distance in m, height in in" in capsys.readouterr().err
    )
    record = json.loads((tmp_path / "out" / "drive" / "record.json").read_text(encoding="utf-8"))
    assert len(record["notices"]) == 1
    assert record["sources"]["track.csv"]["text"].startswith("distance [m],height [in]")
