"""Pulling away on the page: what is drawn is the launch that was asked for, its sentence is that of a report, and what is saved is what runs."""

import json

import numpy as np
import pytest

import sim
from sim.describe.files.reader import read
from sim.describe.runs import Launch
from sim.integrate.preview import Preview
from sim.measure.verdict import verdict
from sim.measure.winding import pinion_up
from sim.show.pages.local.courses import Courses
from sim.show.pages.local.judging import rests_on
from sim.show.pages.local.launching import BOXES, LAUNCHES, as_typed, run_as_written
from sim.show.pages.local.paper import Paper
from sim.show.pages.local.scenarios import opened, reopened, written
from sim.show.pages.local.trials import Trials
from sim.show.pages.local.varied import launch_goals
from sim.show.report.verdict_words import headline
from sim.study.compare import compare
from sim.study.runnable import runnable
from tests.browser.test_local_tries import SHOP_TRUCK
from tests.show.pages.local.test_server import folder, truck  # noqa: F401
from tests.show.pages.local.test_trials import unpacked

ROCK = "Pull away: up 8 deg (14 %), firm rock"
TWO = [{"name": "as it is", "changes": {}}, {"name": "none", "changes": {"rear.dampers": "none"}}]


@pytest.fixture
def document(truck):  # noqa: F811
    return read(truck)


@pytest.fixture
def trials(truck):  # noqa: F811
    return Trials(Courses(truck.parent))


def asked(launch=LAUNCHES[ROCK], **more):
    return {"seq": 3, "course": ROCK, "speed": "", "load": "", "setups": TWO, "launch": launch, **more}


def saved_as(truck, what):  # noqa: F811
    said = written(Paper(truck, truck.parent), Courses(truck.parent), {}, {"name": "Away", "question": "", **what})
    return truck.parent / said["file"], said["works"]


def test_what_is_drawn_is_the_launch_of_the_scenario_that_is_saved(trials, document, truck):  # noqa: F811
    said, arrays = unpacked(trials.run(document, "a", asked()))
    assert said["problems"] == []
    path, works = saved_as(truck, asked())
    scenario = sim.load(path)
    assert isinstance(scenario.run, Launch)
    assert scenario.run.climb == pytest.approx(np.radians(8.0))
    assert scenario.run.surface.friction == 0.85
    for number, (name, vehicle) in enumerate(scenario.setups.items()):
        run = Preview(scenario.run).of(vehicle, name)
        every = round(said["setups"][number]["step_s"] / float(run.time_s[1] - run.time_s[0]))
        for channel, values in {
            "rear.wind_up_rad": run.rear.wind_up_rad, "speed_m_per_s": run.drive.speed_m_per_s, "rear.slip": run.drive.rear.slip,
        }.items():  # fmt: skip
            assert arrays[f"{number}.{channel}"] == pytest.approx(values[::every].astype(np.float32))
    assert said["road"]["climb_rad"] == pytest.approx(np.radians(8.0))
    assert [own["command"] for own in works] == ["compare", "lean", "tramp", "sheet"]


def test_the_sentence_is_that_of_a_report_on_the_same_set_ups(trials, document, truck):  # noqa: F811
    for name in (ROCK, "Pull away: level, wet grass, little grip"):
        what = asked(LAUNCHES[name], name=name)
        said = trials.judged(document, "a", what)
        path, _ = saved_as(truck, what)
        assert said["sentence"] == headline(verdict(compare(sim.load(path))))
        path.unlink()
    assert "winds up by" in said["sentence"]
    assert trials.judged(document, "a", asked(None))["sentence"] == ""


def test_a_change_to_one_set_up_runs_that_one_alone_again(trials, document, monkeypatch):
    from sim.show.pages.local import judging

    ran = []
    real = judging.simulate
    monkeypatch.setattr(judging, "simulate", lambda vehicle, run, name: (ran.append(name), real(vehicle, run, name))[1])
    first = trials.judged(document, "a", asked())["sentence"]
    assert ran == ["as it is", "none"]
    other = [TWO[0], {"name": "none", "changes": {"rear.dampers.main.count": "4"}}]
    assert trials.judged(document, "a", asked(setups=other))["sentence"] != first
    assert ran == ["as it is", "none", "none"]
    # A set-up that cannot be run is left out; it says so at its card.
    broken = [TWO[0], {"name": "x", "changes": {"rear.tyre.slip.stiffness": "0"}}]
    assert "nothing to compare it with" in trials.judged(document, "a", asked(setups=broken))["sentence"]


def test_the_table_says_how_far_the_driven_axle_winds_up_and_whether_it_hops(trials, document, truck):  # noqa: F811
    over, _ = unpacked(
        trials.run(document, "a", {**asked(), "launch": None, "course": "Washboard", "speed": "20 km/h"})
    )
    assert not any("winds up" in row["label"] for row in over["setups"][0]["measures"])
    said, _ = unpacked(trials.run(document, "a", asked()))
    rows = {row["label"]: row["text"] for row in said["setups"][0]["measures"]}
    path, _ = saved_as(truck, asked())
    scenario = sim.load(path)
    run = Preview(scenario.run).of(scenario.setups["as it is"])
    assert rows["Rear axle winds up, most (pinion up)"] == f"{np.degrees(pinion_up(run, 'rear')):.2f} deg"
    assert not any(label.startswith("Front axle winds up") for label in rows)
    both, _ = unpacked(trials.run(document, "a", asked(setups=[{"name": "b", "changes": {"driveline.drive": "both"}}])))
    assert any(row["label"].startswith("Front axle winds up") for row in both["setups"][0]["measures"])
    goal, _ = unpacked(trials.run(document, "a", asked({**LAUNCHES[ROCK], "to_speed": "8 km/h"})))
    assert any(row["label"] == "Time to the speed asked for" for row in goal["setups"][0]["measures"])


@pytest.mark.parametrize(
    ("box", "text", "words"),
    [
        ("climb", "50 deg", "steeper than any truck drives"), ("climb", "8 mm", "mm"), ("friction", "", "Grip: most is needed"),
        ("friction", "much", "bare number"), ("sliding", "0.9", "less than “Grip: most”"), ("sliding", "0.1", "of these tyres 0.387 to 0.850 where the most is 0.85"),
        ("peak_at", "120 %", "90 %"), ("throttle", "0", "more than 0"), ("throttle_rise", "11 s", "10 s"),
        ("throttle_off_after", "-1 s", "more than 0"), ("brakes_off", "fast", "a number with its unit"), ("watch", "0.1 s", "more than 0.5 s"), ("watch", "6 hours", "must not be more than about 0.0333 hours"),
        ("to_speed", "3 kg", "not a speed"),
    ],
)  # fmt: skip
def test_a_wrong_entry_is_said_at_its_box(trials, document, box, text, words):
    said, arrays = unpacked(trials.run(document, "a", asked({**LAUNCHES[ROCK], box: text})))
    assert [row["box"] for row in said["problems"]] == [box]
    assert words in said["problems"][0]["message"] + said["problems"][0]["allowed"]
    assert arrays == {}


def test_every_launch_of_the_page_runs_and_every_box_has_its_words(trials, document):
    for name, launch in LAUNCHES.items():
        said, _ = unpacked(trials.run(document, name, asked(launch, setups=TWO[:1])))
        assert said["problems"] == []
        assert "needs" not in said
        assert said["setups"][0]["problems"] == []
        assert set(launch) <= {box.key for box in BOXES} | {"ground", "over"}
    assert all(box.label and box.how for box in BOXES)


def test_what_is_taken_of_an_empty_box_is_what_a_file_takes():
    whole = {"kind": "launch", "surface": {"friction": 0.8, "sliding": 0.6}}
    plain = Launch.model_validate(whole)
    for box in BOXES:
        if not box.taken or not box.taken[0].isdigit():
            continue
        run = json.loads(json.dumps(whole))
        inside = run if len(box.place) == 1 else run["surface"]
        inside[box.place[-1]] = box.taken
        assert Launch.model_validate(run) == plain


def test_a_truck_that_cannot_pull_away_is_told_which_boxes_it_needs(trials, tmp_path):
    path = tmp_path / "shop_truck.yaml"
    path.write_text(SHOP_TRUCK, encoding="utf-8")
    said, _ = unpacked(trials.run(read(path), "shop", asked(setups=TWO[:1])))
    needs = {row["path"]: row["label"] for row in said["needs"]}
    assert needs["driveline.engine.torque"] == "Engine: greatest torque"
    # On a slope it begins on its brakes.
    assert "rear.brakes.torque" in needs
    level, _ = unpacked(trials.run(read(path), "shop", asked(LAUNCHES["Pull away: level, gravel"], setups=TWO[:1])))
    assert {row["path"] for row in level["needs"]} == {path for path in needs if "brakes" not in path}
    assert trials.judged(read(path), "shop", asked(setups=TWO[:1]))["sentence"] == ""


def test_what_the_sentence_rests_on_is_said_of_a_truck_with_estimates_alone():
    assert rests_on(0) == ""
    assert "one number of the truck is estimated" in rests_on(1)
    assert "12 numbers of the truck are estimated" in rests_on(12)


def test_a_launch_opened_again_is_the_one_that_was_saved(truck):  # noqa: F811
    launch = {**LAUNCHES["Pull away: over washboard, gravel"], "to_speed": "10 km/h"}
    path, _ = saved_as(truck, asked(launch))
    what = opened(path, truck.parent)
    assert what.trial["launch"] | {"over": "Washboard"} == launch
    # A course of the page stands in the scenario itself, and comes back as it is.
    assert what.trial["launch"]["over"]["items"]
    assert [own["command"] for own in what.works] == ["compare", "lean", "tramp", "sheet"]
    again = run_as_written({"launch": what.trial["launch"]}, Courses(truck.parent), truck.parent)
    assert again == read(path).data["run"]
    course = reopened(path.name, truck, what)
    assert course.trial["launch"] == what.trial["launch"]


def test_a_launch_over_a_course_file_names_the_file(truck):  # noqa: F811
    launch = {**LAUNCHES[ROCK], "over": "Hut track"}
    path, _ = saved_as(truck, asked(launch))
    assert read(path).data["run"]["course"] == "../courses/hut_track.yaml"
    assert as_typed(read(path).data["run"]) == launch
    assert sim.load(path).run.course.length_m > 0


def test_a_tuning_of_a_launch_is_for_less_wind_up_and_less_hop(truck):  # noqa: F811
    vehicle = sim.load(truck)
    goals = [name for name, _ in launch_goals(vehicle)]
    assert goals == ["rear_pinion_up", "rear_hop_swing"]
    assert launch_goals(vehicle.changed({"driveline": "none"})) == []
    path = "rear.dampers.main.valving"
    rows = [{"path": path, "kind": "scale", "called": "Force behind", "first": "0.5", "last": "2", "points": ""}]
    vary = {"what": "tune", "rows": rows, "goals": goals, "start": "as it is"}
    file, works = saved_as(truck, asked(setups=TWO[:1], vary=vary))
    assert set(read(file).data["tune"]["goal"]) == set(goals)
    assert "tune" in [own["command"] for own in works]
    assert runnable(sim.load(file))[0] == []


def test_a_box_that_is_emptied_is_emptied_in_the_file_too(truck):  # noqa: F811
    what = {"name": "Away", "question": "", **asked({**LAUNCHES[ROCK], "over": "Washboard"})}
    paper, courses = Paper(truck, truck.parent), Courses(truck.parent)
    first = written(paper, courses, {}, what)
    path = truck.parent / first["file"]
    known = {first["file"]: first["mark"]}
    launch = {**LAUNCHES[ROCK], "climb": "", "over": "", "brakes_off": "0.4 s"}
    written(paper, courses, {}, {**what, "launch": launch, "known": known})
    run = read(path).data["run"]
    assert "climb" not in run
    assert "course" not in run
    assert run["brakes_off"] == "0.4 s"
    assert sim.load(path).run.climb == 0.0
