"""A first file of one's own truck: written from flags, read again, never written over without a copy."""

import io
import re
import shutil
import sys
from pathlib import Path

import pytest
import yaml

from sim.cli import main
from sim.describe.estimates.fields import fields
from sim.describe.files.as_written import vehicle_text
from sim.describe.files.scenario import load, load_scenario
from sim.describe.files.vehicles import load_vehicle, vehicle_from
from sim.linear.standing import stand
from tests.cli.shop import FLAGS, ROOT, SCENARIOS, new

pytestmark = pytest.mark.long  # whole commands and studies, over and over: seconds each


def test_an_assumed_count_of_leaves_stands_in_the_file_as_a_comment(tmp_path):
    words = ["--set", "rear.springs.pack.leaves=7", "--set", "rear.springs.pack.leaf_thickness=0.28 in"]
    assert main(["new", str(tmp_path / "t.yaml"), "--front", "2450 lb", "--rear", "1780 lb", *words]) == 0
    assert re.search(
        r"^# +full_length_leaves: '?1'? +# from the main leaf alone",
        (tmp_path / "t.yaml").read_text(encoding="utf-8"),
        re.MULTILINE,
    )


def test_the_ticket_gives_a_truck_that_stands_and_a_scenario_that_runs(tmp_path, capsys):
    assert new(tmp_path) == 0
    # the files are checked as a person would
    assert main(["check", str(tmp_path / "my_truck.yaml"), str(tmp_path / "my_truck_first.yaml")]) == 0
    assert "stands with 1111 kg (2450 lb) in front, 807 kg (1780 lb) behind" in capsys.readouterr().out
    scenario = load_scenario(tmp_path / "my_truck_first.yaml")
    assert list(scenario.setups) == ["as it is", "soft", "firm"]
    assert scenario.reference == "as it is"


def test_what_is_written_is_what_was_given_and_the_rest_is_remarks(tmp_path):
    new(tmp_path, "--name", 'O\'Neill "x": #1, <b>', "--aboard", "driver, half a tank", "--set", "front.strap=none")
    text = (tmp_path / "my_truck.yaml").read_text()
    data = yaml.safe_load(text)
    assert data["name"] == 'O\'Neill "x": #1, <b>'
    assert data["weighed"] == {"front": "2450 lb", "rear": "1780 lb", "aboard": ["driver", "half a tank"]}
    assert data["front"] == {
        "tyre": {"outside_diameter": '33"'}, "springs": {"coil": {"rate": "190 lb/in"}}, "strap": "none",
        "dampers": {"main": {"length_extended": "23.5 in", "length_collapsed": "14.25 in"}},
    }  # fmt: skip
    remarks = [line for line in text.splitlines() if line.startswith("# ") and "docs/measure/" in line]
    assert len(remarks) > 60
    for line in remarks:
        assert (ROOT / line[line.index("docs/measure/") :].split(")")[0].strip()).exists(), line


@pytest.mark.parametrize("word", ["worn", "soft", "stock", "firm", "heavy"])
def test_a_word_for_the_valving_stands_in_the_file_as_given(tmp_path, word):
    assert new(tmp_path, "--valving", word) == 0
    data = yaml.safe_load((tmp_path / "my_truck.yaml").read_text())
    assert data["front"]["dampers"]["main"]["valving"] == data["rear"]["dampers"]["main"]["valving"] == word
    load_vehicle(tmp_path / "my_truck.yaml")


def test_remarks_taken_away_are_the_file_without_estimates(tmp_path):
    """A person takes away '# ' of all lines: the truck is the same, and nothing of it is estimated but the words for its valving."""
    new(tmp_path)
    path = tmp_path / "my_truck.yaml"
    before = load_vehicle(path)
    head, *lines = path.read_text().split("\nkind:", 1)
    path.write_text(head + "\nkind:" + "\n".join(line.removeprefix("# ") for line in lines[0].splitlines()) + "\n")
    after = load_vehicle(path)
    assert after.estimates == ()
    assert after.model_dump() == before.model_dump()


def test_a_file_that_is_there_is_changed_and_a_copy_kept(tmp_path):
    new(tmp_path)
    path = tmp_path / "my_truck.yaml"
    path.write_text(path.read_text().replace("  rear: 1780 lb ", "  rear: 1780 lb  # with the spare, muddy\n  # "))
    first = path.read_text()
    (tmp_path / "my_truck_first.yaml").write_text("mine")
    assert main(["new", str(path), "--wheelbase", "93 in", "--set", "front.stop.gap=3 1/4 in"]) == 0
    assert (tmp_path / "my_truck_before_1.yaml").read_text() == first
    assert (tmp_path / "my_truck_first.yaml").read_text() == "mine"
    changed = path.read_text()
    gone = [line for line in first.splitlines() if line not in changed.splitlines()]
    # What is estimated follows from what is given; all else stays.
    assert [line.split("#")[0].strip() for line in gone if not line.startswith("# ")] == ["wheelbase: 92 in"]
    assert "# with the spare, muddy" in changed
    assert main(["new", str(path), "--wheelbase", "94 in"]) == 0
    assert (tmp_path / "my_truck_before_2.yaml").read_text() == changed


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--wheelbase", "93"], "wheelbase: the number 93 needs a unit"),
        (["--set", "front.stop"], "write it as KEY=VALUE"),
        (["--set", "=3"], "write it as KEY=VALUE"),
        (["--set", "wheels=3"], "the key 'wheels' is not known here"),
        (["--valving", "front:hard"], "front.dampers.main.valving"),
        (["--tyre", "big"], "a length is written as a number with its unit"),
        ([], "nothing is given"),
    ],
)
def test_nonsense_is_refused_and_nothing_written(tmp_path, capsys, monkeypatch, words, said):
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    assert new(tmp_path, *words, flags=[]) == 2
    assert said in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_a_file_of_another_kind_is_left_alone(tmp_path, capsys):
    path = tmp_path / "my_truck.yaml"
    shutil.copy(ROOT / "scenarios" / "vehicles" / "hut_supply_truck.yaml", path)
    before = path.read_bytes()
    assert new(tmp_path) == 2
    assert "no truck as measured" in capsys.readouterr().err
    assert path.read_bytes() == before
    assert [one.name for one in tmp_path.iterdir()] == ["my_truck.yaml"]
    assert main(["new", str(tmp_path / "truck.txt"), *FLAGS]) == 2
    assert main(["new", str(tmp_path / "nowhere" / "truck.yaml"), *FLAGS]) == 4
    assert main(["new"]) == 2


def test_the_courses_come_along_and_are_named(tmp_path, capsys):
    (tmp_path / "courses").mkdir()
    own = tmp_path / "courses" / "ripples.yaml"
    own.write_text("# my own\n", encoding="utf-8")
    assert new(tmp_path) == 0
    text = (tmp_path / "my_truck_first.yaml").read_text(encoding="utf-8")
    shipped = {path.name for path in (SCENARIOS / "courses").glob("*.yaml")}
    assert {path.name for path in (tmp_path / "courses").glob("*.yaml")} == shipped
    assert all(f"courses/{name}" in text for name in shipped)
    assert own.read_text(encoding="utf-8") == "# my own\n"
    own.unlink()
    assert main(["check", *map(str, sorted((tmp_path / "courses").glob("*.yaml")))]) == 0


def test_one_slip_is_said_once_and_not_with_what_follows_from_it(tmp_path, capsys):
    flags = [{"92 in": "9200 in"}.get(word, word) for word in FLAGS]
    assert new(tmp_path, flags=flags) == 2
    said = capsys.readouterr().err
    assert "wheelbase: must not be more than" in said
    assert "1 problem." in said


def test_an_axle_that_stands_higher_than_its_tyre_is_noticed(tmp_path, capsys):
    assert new(tmp_path, "--axle-height", "front:20 in") == 0
    said = capsys.readouterr().err
    assert "NOTICE: front.axle_height: possible, but hardly meant" in said
    assert "usual: 13.2 in to 16.5 in" in said
    assert "rear.axle_height" not in said


@pytest.mark.parametrize("springs", [("coils", "coils"), ("leaf packs", "leaf packs"), ("coils", "leaf packs")])
@pytest.mark.parametrize("stroke", [("14 in", "10 in"), ("23.5 in", "14.25 in"), ("30 in", "18 in")])
def test_springs_that_nobody_measured_hold_both_ends_off_their_stops(springs, stroke):
    from sim.describe.estimates.fields import with_text_at
    from sim.linear.standing import stand

    known = {field.path: field for field in fields()}
    data = {"kind": "vehicle", "name": "x", "weighed": {"front": "2450 lb", "rear": "1780 lb"}}
    for axle, word in zip(("front", "rear"), springs, strict=True):
        data = with_text_at(data, f"{axle}.springs", word, known[f"{axle}.springs"])
        for key, text in zip(("length_extended", "length_collapsed"), stroke, strict=True):
            data = with_text_at(data, f"{axle}.dampers.main.{key}", text)
    standing = stand(vehicle_from(data))
    for axle in standing.axles.values():
        # 20 mm is the least gap that is taken of a stop.
        assert axle.travel_left_up >= 0.0199
        assert abs(axle.jounce) < 1e-4


def test_the_demo_is_copied_and_runs(tmp_path, capsys):
    assert main(["new", "--demo", str(tmp_path / "demo")]) == 0
    for one in (ROOT / "scenarios").rglob("*.yaml"):
        assert (tmp_path / "demo" / one.relative_to(ROOT / "scenarios")).read_bytes() == one.read_bytes()
    load(tmp_path / "demo" / "two_or_four.yaml")
    assert main(["new", "--demo", str(tmp_path / "demo")]) == 4
    assert "not empty" in capsys.readouterr().err


def test_a_vehicle_text_reads_back():
    mapping = {
        "weighed": {},
        "name": "33",
        "note": "a: b # c",
        "front": {"tyre": {"jacked": {"load": ["800 lb", "1300 lb"], "height": ["16 in", "15.6 in"]}}},
    }
    assert yaml.safe_load(vehicle_text(mapping)) == {"kind": "vehicle", **mapping}


@pytest.mark.parametrize("units", ["inch", *(pytest.param(one, marks=pytest.mark.hours) for one in ("both", "metric"))])
def test_what_the_shop_does_next_works_in_any_units(tmp_path, capsys, monkeypatch, units):
    """The README's way: stand with its bands and pictures, then the page to order by."""
    monkeypatch.chdir(tmp_path)
    assert new(tmp_path) == 0
    assert main(["stand", "my_truck.yaml", "--units", units, "--picture", "outputs/stands"]) == 0
    out = capsys.readouterr().out
    assert ("on the ground [lb]" in out, "on the ground [kg]" in out, "on the ground [kg (lb)]" in out) == (
        units == "inch",
        units == "metric",
        units == "both",
    )
    assert main(["sheet", "my_truck.yaml", "--units", units]) in (0, 3)
    [folder] = Path("outputs").glob("my_truck*_sheet")
    assert (folder / "report.html").stat().st_size > 10_000


def test_an_estimate_out_of_range_is_not_told_to_be_written_in_another_unit(tmp_path, capsys):
    """A leaf pack of 120 mm leaves half of 60 mm: nobody typed that half, so 60 cm is no advice; what it comes of is."""
    given = [
        "--front",
        "1180 kg",
        "--rear",
        "960 kg",
        "--wheelbase",
        "2580 mm",
        "--leaf",
        "rear: 6, 63 mm, 7 mm, 120 mm",
    ]
    assert main(["new", str(tmp_path / "my.yaml"), *given]) == 2
    said = capsys.readouterr().err
    assert "estimated from half of the pack's length" in said
    assert "60 cm" not in said
    assert "try: look at what it is estimated from" in said


@pytest.mark.parametrize(
    ("word", "others"),
    [
        ("soft", {"stock", "firm"}),
        ("stock", {"soft", "firm"}),
        ("heavy", {"stock", "firm"}),
        ("worn", {"stock", "firm"}),
    ],
)
def test_a_first_look_sets_no_truck_against_itself(tmp_path, word, others):
    truck = tmp_path / "own.yaml"
    assert (
        main(
            [
                "new",
                str(truck),
                "--front",
                "2450 lb",
                "--rear",
                "1780 lb",
                "--wheelbase",
                "92 in",
                "--tyre",
                "33 in",
                "--valving",
                word,
            ]
        )
        == 0
    )
    scenario = load_scenario(tmp_path / "own_first.yaml")
    assert set(scenario.setups) == {"as it is", *others}
    ratios = {round(stand(one).axles["front"].damping_ratio, 3) for one in scenario.setups.values()}
    assert len(ratios) == 3
