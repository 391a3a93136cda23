"""A scenario that is saved again under its name: over the one that the page knows, with a copy beside it, and never over another's work."""

import pytest

from sim.describe.files.reader import read
from sim.errors import JounceError
from sim.show.pages.local.courses import Courses
from sim.show.pages.local.paper import ChangedOutsideError, Paper, TakenError
from sim.show.pages.local.scenarios import opened, saved, written
from sim.show.pages.local.written_over import ThereError

TRUCK = """\
kind: vehicle
name: Shop truck
weighed: {front: 2450 lb, rear: 1780 lb, aboard: [driver]}
wheelbase: 92 in
front:
  springs: {coil: {kind: coil, rate: 260 lb/in}}
rear:
  springs: {pack: {kind: leaf_pack}}
"""
RATE = "front.springs.coil.rate"
SETUPS = [{"name": "as it is", "changes": {}}, {"name": "stiffer", "changes": {RATE: "300 lb/in"}}]


@pytest.fixture
def truck(tmp_path):
    path = tmp_path / "truck.yaml"
    path.write_text(TRUCK, encoding="utf-8")
    return path


def kept(truck, known=None, setups=SETUPS, **more):
    courses = Courses(truck.parent)
    asked = {"name": "Stiffer", "course": courses.names[0], "speed": "20 km/h", "setups": setups, "known": known or {}}
    return written(Paper(truck, truck.parent), courses, {}, {**asked, **more}, opened(truck, truck.parent))


def test_what_was_saved_from_the_page_is_saved_again_with_a_copy_beside_it(truck):
    first = kept(truck)
    assert (first["file"], first["copy"]) == ("stiffer.yaml", "")
    file = truck.parent / "stiffer.yaml"
    before = file.read_text(encoding="utf-8")
    again = kept(
        truck, {"stiffer.yaml": first["mark"]}, [SETUPS[0], {"name": "stiffer", "changes": {RATE: "330 lb/in"}}]
    )
    assert (truck.parent / again["copy"]).read_text(encoding="utf-8") == before
    assert file.read_text(encoding="utf-8") == before.replace("300 lb/in", "330 lb/in")
    assert again["mark"] == Paper(file, truck.parent).mark() != first["mark"]
    # The copy is no scenario to open from the list: it is the same one as it was.
    assert saved(truck) == ["stiffer.yaml"]


def test_a_change_from_outside_is_not_written_over(truck):
    mark = kept(truck)["mark"]
    file = truck.parent / "stiffer.yaml"
    file.write_text(file.read_text(encoding="utf-8") + "# mine\n", encoding="utf-8")
    before = {path.name: path.read_bytes() for path in truck.parent.iterdir()}
    with pytest.raises(ChangedOutsideError, match="since this page opened or saved it"):
        kept(truck, {"stiffer.yaml": mark})
    assert {path.name: path.read_bytes() for path in truck.parent.iterdir()} == before


def test_one_that_the_page_does_not_know_is_asked_about_and_then_written_over(truck):
    kept(truck)
    with pytest.raises(ThereError, match="Write over it") as asked:
        kept(truck)
    more = asked.value.more
    assert kept(truck, {more["file"]: more["mark"]})["copy"]


@pytest.mark.parametrize("text", ["kind: vehicle\n", "kind: scenario\nvehicle: other.yaml\n", "a: [\n"])
def test_what_is_no_scenario_of_this_truck_is_never_written_over(truck, text):
    file = truck.parent / "stiffer.yaml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(TakenError, match="choose another name"):
        kept(truck, {"stiffer.yaml": Paper(file, truck.parent).mark()})
    assert file.read_text(encoding="utf-8") == text


HAND = """\
# What the hut asked for
kind: scenario
name: Stiffer
vehicle: truck.yaml   # as weighed in May
run:
  kind: course
  course: courses/slow.yaml  # from a tape
  speed: 20 km/h
  step: 1 ms
reference: soft
setups:
  as it is:
  soft: {front.springs.coil.rate: 200 lb/in}  # the ones on the shelf
  stiffer:
    front.springs.coil.rate: 300 lb/in
"""


def test_what_the_page_does_not_show_and_did_not_touch_stays_to_the_letter(truck):
    file = truck.parent / "stiffer.yaml"
    file.write_text(HAND, encoding="utf-8")
    (truck.parent / "courses").mkdir()
    (truck.parent / "courses" / "slow.yaml").write_text(
        "kind: course\nname: slow\nsections: [{shape: flat, length: 20 m}]\n", encoding="utf-8"
    )
    mark = Paper(file, truck.parent).mark()
    setups = [
        {"name": "as it is", "changes": {}}, {"name": "soft", "changes": {RATE: "200 lb/in"}},
        {"name": "stiffer", "changes": {RATE: "310 lb/in"}},
    ]  # fmt: skip
    kept(truck, {"stiffer.yaml": mark}, setups, course="Slow")
    assert file.read_text(encoding="utf-8") == HAND.replace("300 lb/in", "310 lb/in")
    # A set-up that is not there any more is no reference.
    mark = Paper(file, truck.parent).mark()
    kept(truck, {"stiffer.yaml": mark}, [setups[0], setups[2]], course="Slow")
    data = read(file).data
    assert "reference" not in data
    assert list(data["setups"]) == ["as it is", "stiffer"]
    assert data["run"]["step"] == "1 ms"


def test_a_set_up_may_lose_all_its_changes_and_get_some(truck):
    mark = kept(truck)["mark"]
    setups = [SETUPS[0], {"name": "stiffer", "changes": {}}, {"name": "more", "changes": {RATE: "400 lb/in"}}]
    mark = kept(truck, {"stiffer.yaml": mark}, setups)["mark"]
    data = read(truck.parent / "stiffer.yaml").data["setups"]
    assert {name: one or None for name, one in data.items()} == {
        "as it is": None, "stiffer": None, "more": {RATE: "400 lb/in"},
    }  # fmt: skip
    kept(truck, {"stiffer.yaml": mark}, [SETUPS[0], SETUPS[1], setups[2]])
    assert read(truck.parent / "stiffer.yaml").data["setups"]["stiffer"] == {RATE: "300 lb/in"}


def test_what_cannot_be_run_is_not_written_over_what_can(truck):
    mark = kept(truck)["mark"]
    before = {path.name: path.read_bytes() for path in truck.parent.iterdir()}
    row = {"path": RATE, "kind": "value", "called": "rate", "first": "a little", "last": "300 lb/in", "points": "3"}
    with pytest.raises(JounceError, match="must be numbers with one unit"):
        kept(truck, {"stiffer.yaml": mark}, vary={"what": "sweep", "rows": [row], "goals": []})
    assert {path.name: path.read_bytes() for path in truck.parent.iterdir()} == before


def test_one_that_was_saved_here_is_opened_with_the_mark_that_it_had(truck):
    said = kept(truck)
    own = opened(truck.parent / said["file"], truck.parent)
    assert own.known() == {"stiffer.yaml": said["mark"]}
    # A file of a name of its own is saved beside itself, as another one.
    other = truck.parent / "by_hand.yaml"
    other.write_bytes((truck.parent / said["file"]).read_bytes())
    assert opened(other, truck.parent).known() == {}
