"""Hours of track on the page: what is saved is what its boxes say, what a file has beside them is kept, and the command that drives it stops and goes on."""

import shutil
import time

import pytest

import sim
from sim.cli.hours import far
from sim.describe.files.reader import read
from sim.describe.runs import Track
from sim.describe.shown import shown_in
from sim.errors import JounceError
from sim.show.pages.local.courses import OWN, Courses
from sim.show.pages.local.hours_of_track import as_typed, edits_of, run_as_written
from sim.show.pages.local.paper import Paper
from sim.show.pages.local.scenarios import opened, written
from sim.show.pages.local.server import Bench
from sim.show.pages.local.working import Working, said_of, works_of
from tests.show.pages.local.test_server import SCENARIOS, folder, truck  # noqa: F401
from tests.show.pages.local.test_working import heard

WASHBOARD = {"far": "2 km", "air": "86 °F", "altitude": "3000 ft", "rest": "4 min"}
TWO = [{"name": "as it is", "changes": {}}, {"name": "four", "changes": {"front.dampers.main.count": "4"}}]
NO_TUBE = [{"name": "as it is", "changes": {}}, {"name": "bare", "changes": {"front.dampers.main.tube": "none"}}]


def asked(hours=WASHBOARD, **more):
    return {"name": "Hot", "course": "Washboard", "speed": "25 mph", "load": "", "setups": TWO, "hours": hours, **more}


def kept(truck, what, known=None):  # noqa: F811
    courses = Courses(truck.parent)
    said = written(Paper(truck, truck.parent), courses, {}, {**what, "known": known or {}}, opened(truck, truck.parent))
    return truck.parent / said["file"], said


def told(path, **more):
    bench = Bench(opened(path, path.parent))
    with shown_in("both"):
        return bench.hours_told(bench.state()[1], "a", {"seq": 1, **more})


def test_what_is_saved_is_what_the_boxes_say(truck):  # noqa: F811
    path, said = kept(truck, asked())
    scenario = sim.load(path)
    assert isinstance(scenario.run, Track)
    drive, stand = scenario.run.stages
    assert drive.speed == pytest.approx(25 * 1609.344 / 3600)
    assert (drive.distance, stand.duration) == (2000.0, 240.0)
    assert drive.course.name == "Washboard"
    assert scenario.run.air == pytest.approx(273.15 + 30.0)
    assert scenario.run.altitude == pytest.approx(914.4)
    assert list(scenario.setups) == ["as it is", "four"]
    # The command for it stands beside the boxes; `compare` would refuse it.
    assert [one["command"] for one in said["works"]] == ["sheet"]
    text = path.read_text(encoding="utf-8")
    assert "jounce endure" in text
    assert "fade" in scenario.question


def test_what_is_left_empty_is_not_written_and_a_time_may_stand_for_the_distance(truck):  # noqa: F811
    path, _ = kept(truck, asked({"far": "3 h", "air": "", "altitude": " ", "rest": "none"}))
    run = read(path).data["run"]
    assert set(run) == {"kind", "stages"}
    (drive,) = run["stages"]
    assert drive["duration"] == "3 h"
    assert "distance" not in drive
    assert sim.load(path).run.metres == pytest.approx(3 * 25 * 1609.344)


@pytest.mark.parametrize(
    ("hours", "box", "words"),
    [
        ({"far": "80"}, "far", "needs a unit"), ({"far": "-2 km"}, "far", "more than 0"), ({"far": "9000 km"}, "far", "at most 48"),
        ({"far": "two"}, "far", "write"), ({"air": "hot"}, "air", "20 °C"), ({"altitude": "9000 m"}, "altitude", "6000 m"),
        ({"rest": "2 km"}, "rest", "not a time"), ({"rest": "0 min"}, "rest", "more than 0"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_at_its_box_and_not_saved(truck, hours, box, words):  # noqa: F811
    wrong = asked({**WASHBOARD, **hours})
    (problem,) = told(truck, **wrong)["problems"]
    assert problem["box"] == box
    assert words in problem["message"]
    before = sorted(truck.parent.iterdir())
    with pytest.raises(JounceError):
        kept(truck, wrong)
    assert sorted(truck.parent.iterdir()) == before


def test_a_speed_that_is_none_and_a_launch_are_said_beneath_the_boxes(truck):  # noqa: F811
    (problem,) = told(truck, **asked(speed="25"))["problems"]
    assert problem["box"] == ""
    assert problem["message"].startswith("Speed: the number 25 needs a unit")
    (problem,) = told(truck, **asked(launch={"friction": "0.8"}))["problems"]
    assert "over a course" in problem["message"]


def test_how_far_and_how_long_is_said_before(truck):  # noqa: F811
    said = told(truck, **asked({"far": "80 km", "rest": "30 min"}, speed="40 km/h"))
    assert said["problems"] == []
    # 80 km at 40 km/h are two hours, and half an hour parked.
    assert said["words"][0].startswith("80 km (50 mi) over “Washboard”, 40 km/h (25 mph); then parked 30 min.")
    assert "In all 80 km (50 mi) in 2.5 hours" in said["words"][0]
    assert said["heat"] == []


def test_dampers_without_a_tube_are_named_with_what_to_write(truck):  # noqa: F811
    first, then = told(truck, **asked(setups=NO_TUBE))["heat"]
    assert "front.dampers.main (in “bare”)" in first
    assert "rear" not in first
    assert "tube: {construction: twin_tube" in then
    none = [{"name": "bare", "changes": {"front.dampers.main.tube": "none", "rear.dampers.main.tube": "none"}}]
    first, then = told(truck, **asked(setups=none))["heat"]
    assert "is not known: none has a tube" in first
    assert "front.dampers.main and beneath rear.dampers.main" in then
    # What it says to write is taken as it stands there.
    text = truck.read_text(encoding="utf-8")
    whole = then[then.index("tube: {") : then.index("}") + 1].removeprefix("tube: ")
    assert (
        sim.load(truck).changed({"front.dampers.main.tube": read_yaml(whole)}).front.dampers["main"].tube.bore == 0.035
    )
    assert truck.read_text(encoding="utf-8") == text


def read_yaml(text):
    import yaml

    return yaml.safe_load(text)


@pytest.fixture
def fade(folder):  # noqa: F811
    shutil.copy(SCENARIOS / "will_they_fade.yaml", folder)
    return folder / "will_they_fade.yaml"


def asks_as_opened(page, **hours):
    trial = page.trial
    return {
        **asked({**trial["hours"], **hours}),
        "name": trial["name"],
        **{key: trial[key] for key in ("course", "speed", "setups")},
    }


def saved_again(page, courses, what, known=None):
    return (
        page.vehicle.parent
        / written(Paper(page.vehicle, page.folder), courses, {}, {**what, "known": known or {}}, page)["file"]
    )


def opened_with_courses(file):
    page = opened(file, file.parent)
    return page, Bench(page).courses


def test_a_file_of_hours_stands_in_the_boxes_and_is_saved_as_it_was(fade):
    page, courses = opened_with_courses(fade)
    assert page.trial["hours"] == {"far": "80 km", "air": "30 °C", "altitude": "900 m", "rest": "40 min"}
    assert (page.trial["speed"], page.trial["course"]) == ("45 km/h", "Corrugated track")
    path = saved_again(page, courses, asks_as_opened(page))
    # Beside the truck, one folder below: but for the places of the files, and what it is called, no letter is another.
    back = (
        path.read_text(encoding="utf-8").replace("../courses/", "courses/").replace("vehicle: ", "vehicle: vehicles/")
    )
    assert back == fade.read_text(encoding="utf-8")
    sim.load(path)


REMARKED = """\
# Up to the hut.
kind: scenario
name: To the hut
vehicle: hut_supply_truck.yaml
show: [front_main_oil_hottest]
run:
  kind: track
  begins_at: 35 °C  # driven there
  air: 30 °C
  stages:
    - {kind: stand, duration: 2 min}
    - kind: drive
      course: ../courses/corrugated_track.yaml
      speed: 45 km/h  # as fast as it goes
      distance: 2 km
      air: 34 °C
    - {kind: drive, course: ../courses/corrugated_track.yaml, speed: 20 km/h, distance: 1 km}
    - {kind: stand, duration: 3 min}
setups:
  as it is:
"""


@pytest.fixture
def remarked(truck):  # noqa: F811
    text = REMARKED.replace("show: [front_main_oil_hottest]\n", "")
    path = truck.parent / "to_the_hut.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def test_what_is_changed_in_a_box_is_the_only_thing_that_is_changed_in_its_file(remarked):
    page, courses = opened_with_courses(remarked)
    before = remarked.read_text(encoding="utf-8")
    assert page.known() == {"to_the_hut.yaml": page.mark}
    assert page.trial["hours"] == {"far": "2 km", "air": "30 °C", "altitude": "", "rest": "3 min"}
    path = saved_again(page, courses, {**asks_as_opened(page, far="5 km"), "speed": "50 km/h"}, page.known())
    assert path == remarked
    assert path.read_text(encoding="utf-8") == before.replace("distance: 2 km", "distance: 5 km").replace(
        "speed: 45 km/h", "speed: 50 km/h"
    )


def test_a_rest_goes_and_comes_and_a_temperature_too(remarked):
    page, courses = opened_with_courses(remarked)
    saved_again(page, courses, asks_as_opened(page, rest="", air="", altitude="700 m"), page.known())
    run = sim.load(remarked).run
    assert [one.kind for one in run.stages] == ["stand", "drive", "drive"]
    assert (run.altitude, run.air) == (700.0, 293.15)
    text = remarked.read_text(encoding="utf-8")
    assert "# driven there" in text
    assert "# as fast as it goes" in text
    page, courses = opened_with_courses(remarked)
    saved_again(page, courses, asks_as_opened(page, rest="9 min"), page.known())
    assert sim.load(remarked).run.stages[-1].duration == 540.0
    assert "# as fast as it goes" in remarked.read_text(encoding="utf-8")


def test_other_stages_are_said_and_kept(remarked):
    page, _ = opened_with_courses(remarked)
    said = told(remarked, **asks_as_opened(page))
    assert said["words"][0].startswith("parked 2 min; then 2.0 km (1.2 mi)")
    # A wrong distance is of its own box, whichever stage it is.
    (problem,) = told(remarked, **asks_as_opened(page, far="9 lb"))["problems"]
    assert problem["box"] == "far"


def test_what_becomes_of_a_track_is_written_value_by_value():
    was = {
        "kind": "track",
        "air": "9 °C",
        "stages": [{"kind": "drive", "distance": "1 km"}, {"kind": "stand", "duration": "1 min"}],
    }
    now = {"kind": "track", "stages": [{"kind": "drive", "duration": "1 h"}]}
    assert edits_of(was, now) == {
        ("run", "air"): None, ("run", "stages", "0", "duration"): "1 h", ("run", "stages", "0", "distance"): None,
        ("run", "stages", "1"): None,
    }  # fmt: skip
    assert edits_of(was, was) == {}
    other = {"kind": "track", "air": "9 °C", "stages": [{"kind": "stand", "duration": "1 min"}]}
    assert edits_of(was, other) == {("run", "stages"): other["stages"]}


@pytest.mark.parametrize("kind", ["track", "course"])
def test_a_course_that_a_scenario_writes_out_is_driven_over_and_saved_again(truck, kind):  # noqa: F811
    own = "{name: Two ruts, items: [{kind: flat, length: 4 m}, {kind: ditch, depth: 40 mm, width: 2 m}, {kind: flat, length: 6 m}]}"
    run = {
        "track": f"{{kind: track, stages: [{{kind: drive, course: {own}, speed: 20 km/h, distance: 1 km}}]}}",
        "course": f"{{kind: course, course: {own}, speed: 20 km/h}}",
    }[kind]
    path = truck.parent / "ruts.yaml"
    path.write_text(
        f"kind: scenario\nname: Ruts\nvehicle: {truck.name}\nrun: {run}\nsetups:\n  as it is:\n", encoding="utf-8"
    )
    page, courses = opened_with_courses(path)
    assert page.trial["course"] == "Two ruts"
    assert "Two ruts" in courses.names
    assert courses.course("Two ruts").length_m == pytest.approx(12.0)
    before = path.read_text(encoding="utf-8")
    what = {"name": "Ruts", "course": "Two ruts", "speed": "20 km/h", "setups": page.trial["setups"]}
    saved_again(page, courses, {**what, "hours": page.trial["hours"]} if kind == "track" else what, page.known())
    assert path.read_text(encoding="utf-8") == before


def test_a_course_of_the_page_is_known_again_when_it_is_opened(truck):  # noqa: F811
    path, _ = kept(truck, asked())
    assert opened(path, truck.parent).trial["course"] == "Washboard"
    run = read(path).data["run"]
    assert run["stages"][0]["course"]["items"] == OWN["Washboard"]
    assert as_typed(run) == WASHBOARD
    assert run_as_written(asked(), Courses(truck.parent), truck.parent, run) == run


def test_how_far_all_set_ups_are_is_said_in_kilometres(truck):  # noqa: F811
    path, _ = kept(truck, asked({"far": "30 km", "rest": "10 min"}, speed="60 km/h"))
    run = sim.load(path).run
    # 30 km at 60 km/h: after a quarter of an hour half of it; then it rests, and is no farther.
    assert [run.metres_at(minutes * 60.0) for minutes in (0, 15, 30, 35, 99)] == pytest.approx(
        [0, 15e3, 30e3, 30e3, 30e3]
    )
    with shown_in("both"):
        assert far(run, [900.0, 2400.0]).startswith("45 of 60 km (28 of 37 mi)")
    with shown_in("inch"):
        assert far(run, [900.0, 2400.0]).startswith("28 of 37 mi of track")


def test_the_finding_is_whether_they_fade():
    hot, left = (
        "The oil reaches 80 °C.",
        "The damper that fades most has 91 % of the force on its sheet left when hottest.",
    )
    behind = "Of the 9 km that were asked for 97 % were driven in that time: bumps slow a truck down."
    assert said_of("endure", [hot, "Below its limit.", left, behind]) == [left, behind]
    assert said_of("endure", ["How hot the dampers get, and whether they fade, is not known."])[0].startswith("How hot")
    assert [one["command"] for one in works_of({"run": {"kind": "track"}, "endure": {}})] == ["sheet"]


@pytest.mark.long
def test_it_is_driven_beside_stopped_and_goes_on_with_what_was_not_through(truck, tmp_path):  # noqa: F811
    three = [*TWO, {"name": "six", "changes": {"front.dampers.main.count": "6"}}]
    path, _ = kept(truck, asked(setups=three))
    outputs = tmp_path / "outputs"
    work = Working("endure", path, outputs, "metric")
    given_up = time.monotonic() + 300.0
    # On however many cores: once one that is through is noted beneath what the notes are of, pictures are seconds away, and it is stopped.
    while not any(one.read_text(encoding="utf-8").count("\n") > 1 for one in outputs.glob(".hot_endured.*.through")):
        assert time.monotonic() < given_up
        assert work.next() is None or work._process.poll() is None
    work.stop()
    (notes,) = outputs.glob(".hot_endured.*.through")
    assert not (outputs / "hot_endured" / "report.html").exists()
    again = Working("endure", path, outputs, "metric")
    said = heard(again)
    again.stop()
    assert said["said"][0].endswith("of the force on its sheet left when hottest.")
    assert len(said["said"]) == 1
    assert said["report"] == "hot_endured/report.html"
    assert said["picture"] == "hot_endured/heat.png"
    assert {"as_it_is.csv", "four.csv", "six.csv"} <= {one.rpartition("/")[2] for one in said["tables"]}
    assert not notes.exists()
