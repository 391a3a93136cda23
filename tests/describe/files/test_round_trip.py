"""A person's file with some values changed: all else stays as it was, to the letter; and both ways of writing agree."""

from pathlib import Path

import pytest

from sim.describe.files.reader import read
from sim.describe.files.round_trip import edited, put, scalar
from sim.errors import InputError

SCENARIOS = Path(__file__).parents[3] / "scenarios"
FILES = sorted(SCENARIOS.rglob("*.yaml"))
TRUCK = SCENARIOS / "vehicles" / "hut_supply_truck.yaml"


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_file_that_nobody_edits_stays_as_it_is_to_the_letter(path):
    text = path.read_text(encoding="utf-8")
    assert edited(text, {}) == text


def test_one_value_changes_one_line():
    text = TRUCK.read_text(encoding="utf-8")
    new = edited(text, {("front", "tyre", "rate"): "1500 lb/in"})
    different = [(a, b) for a, b in zip(text.splitlines(), new.splitlines(), strict=True) if a != b]
    assert different == [("    rate: 265 N/mm", "    rate: 1500 lb/in")]


@pytest.mark.parametrize(
    "typed",
    ['33"', "2 1/2 in", "1,640 kg", "<b>&\"'", "a: b", "# no comment", "- 3", "{x}", "true", "0123", "*a", "=1"],
)
def test_what_is_typed_is_read_back_as_typed(tmp_path, typed):
    path = tmp_path / "truck.yaml"
    path.write_text(edited("kind: vehicle\n", {("name",): typed, ("front", "tyre", "size"): typed}), encoding="utf-8")
    data = read(path).data
    assert data == {"kind": "vehicle", "name": typed, "front": {"tyre": {"size": typed}}}


@pytest.mark.parametrize(
    ("edits", "line"),
    [
        ({("front", "dampers", "main", "count"): 4}, "      count: 4"),
        ({("loads", "stones", "mass"): "300 kg"}, "    mass: 300 kg"),
        ({("overall_length",): "4.4 m"}, "overall_length: 4.4 m"),
    ],
)
def test_a_new_key_is_added_and_nothing_else_moves(edits, line):
    old = TRUCK.read_text(encoding="utf-8").splitlines()
    new = edited("\n".join(old) + "\n", edits).splitlines()
    assert line in new
    assert [row for row in new if row in old] == old


def test_a_key_that_is_taken_out_takes_along_what_then_holds_nothing():
    text = "a: 1\nb: {c: {d: 2}}\ne: {f: 3, g: 4}\n"
    assert edited(text, {("b", "c", "d"): None, ("e", "f"): None, ("z", "y"): None}) == "a: 1\ne: {g: 4}\n"


def test_plain_data_get_the_same_edits(tmp_path):
    edits = {
        ("name",): None, ("front", "tyre", "rate"): "1500 lb/in", ("loads", "driver", "mass"): None,
        ("loads", "driver", "place", "above_ground"): None, ("loads", "driver", "place", "behind_front_axle"): None,
        ("rear", "dampers", "second", "count"): 2,
    }  # fmt: skip
    data = read(TRUCK).data
    put(data, edits)
    path = tmp_path / "truck.yaml"
    path.write_text(edited(TRUCK.read_text(encoding="utf-8"), edits), encoding="utf-8")
    assert read(path).data == data
    assert "loads" not in data


@pytest.mark.parametrize("typed", ["4", "0.5", "010", "-3", "1e3", "4 in", "yes", "1:30"])
def test_numbers_are_numbers_where_the_reader_of_files_reads_numbers(tmp_path, typed):
    path = tmp_path / "file.yaml"
    path.write_text(f"a: {typed}\n", encoding="utf-8")
    own, read_ = scalar(f" {typed} "), read(path).data["a"]
    assert (own, type(own)) == (read_, type(read_))


def test_nothing_is_written_into_a_single_value():
    with pytest.raises(InputError, match="single value"):
        edited("a: 1\n", {("a", "b"): 2})


@pytest.mark.parametrize("text", ["[1, 2]", "a: [", "just words"])
def test_what_is_no_list_of_keys_is_refused(text):
    with pytest.raises(InputError):
        edited(text, {("a",): 1})


def test_remarks_stay_where_a_key_goes():
    text = "# top\nb: 'x'   # why\n\nf:\n  g: 1   # own\n  # after\n#   far left\nh:\n  i:\n    j: 2\n    # beneath\nk: 1\n"
    new = edited(text, {("f", "g"): None, ("f", "l"): 2})
    for remark in ("# top", "# why", "  # after", "#   far left", "    # beneath"):
        assert remark in new
    new = edited(text, {("h", "i", "j"): None})
    assert new == text.replace("h:\n  i:\n    j: 2\n", "")


LISTED = """\
stages:
  - kind: drive
    speed: 45 km/h  # as fast as it goes
    distance: 2 km
  - {kind: stand, duration: 3 min}  # at the spring
"""


def test_what_stands_in_a_list_is_changed_by_its_number_and_remarks_stay():
    def at(*steps):
        return ("stages", *steps)

    assert edited(LISTED, {at("0", "distance"): "5 km"}) == LISTED.replace("2 km", "5 km")
    assert edited(LISTED, {at("1", "duration"): "9 min"}) == LISTED.replace("3 min", "9 min")
    assert edited(LISTED, {at("0", "distance"): None}) == LISTED.replace("    distance: 2 km\n", "")
    assert edited(LISTED, {at("1"): None}).startswith(LISTED.partition("  - {")[0])
    assert "stand" not in edited(LISTED, {at("1"): None})
    # The number after the last one adds to it.
    assert edited(LISTED, {at("2"): {"kind": "stand"}}).startswith(LISTED)
    with pytest.raises(InputError, match="single value"):
        edited(LISTED, {at("drive", "distance"): "5 km"})
