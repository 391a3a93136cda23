"""Set-ups that are tried: what the page gets is what a preview has; what is pulled and saved is what runs."""

import json

import numpy as np
import pytest

import sim
from sim.describe.files.reader import read
from sim.integrate.preview import Preview
from sim.show.pages.local.answers import vehicle_of
from sim.show.pages.local.courses import OWN, Courses
from sim.show.pages.local.more_load import loaded
from sim.show.pages.local.paper import Paper
from sim.show.pages.local.scenarios import written
from sim.show.pages.local.trials import KEPT, Trials
from sim.show.pages.local.tried_truck import CURVE_M_PER_S
from sim.show.pages.scene import FRAME_S
from tests.show.pages.local.test_server import HOME, PORT, TOKEN, client_on, folder, truck  # noqa: F401
from tests.show.pages.local.test_server import OWN as ORIGIN

COURSE = "Washboard, hump and dip"
PATH = "front.dampers.main.valving"


@pytest.fixture
def document(truck):  # noqa: F811
    return read(truck)


@pytest.fixture
def trials(truck):  # noqa: F811
    return Trials(Courses(truck.parent))


def asked(**more):
    return {
        "seq": 7, "course": COURSE, "speed": "26 km/h", "load": "",
        "setups": [{"name": "as it is", "changes": {}}, {"name": "four", "changes": {"front.dampers.main.count": "4"}}], **more,
    }  # fmt: skip


def unpacked(frame):
    """Return what a frame says and its arrays, read as its description has it."""
    length = int.from_bytes(frame[:4], "little")
    said = json.loads(frame[4 : 4 + length])
    numbers = np.frombuffer(frame[4 + length :], "<f4")
    assert length % 4 == 0
    arrays, place = {}, 0
    for name, count in said["arrays"]:
        arrays[name] = numbers[place : place + count]
        place += count
    assert place == len(numbers)
    return said, arrays


def curves(said, number):
    """Return the curves of a set-up's dampers."""
    return said["trucks"][said["setups"][number]["truck"]]["curves"]


def test_what_is_drawn_is_what_a_preview_of_the_same_has(trials, document, truck):  # noqa: F811
    said, arrays = unpacked(trials.run(document, "a", asked()))
    vehicle = sim.load(truck)
    run = {"kind": "course", "course": {"kind": "course", "name": COURSE, "items": OWN[COURSE]}, "speed": "26 km/h"}
    # The same asked of a scenario's file.
    path = truck.parent / "tried.yaml"
    path.write_text(
        json.dumps({"kind": "scenario", "name": "x", "vehicle": truck.name, "run": run, "setups": {"a": None}})
    )
    preview = Preview(sim.load(path).run)
    assert [own["name"] for own in said["setups"]] == ["as it is", "four"]
    setups = {"as it is": vehicle, "four": vehicle.changed({"front.dampers.main.count": 4})}
    for number, (name, seen) in enumerate(preview.all(setups).items()):
        every = round(FRAME_S / preview.output_s)
        np.testing.assert_array_equal(arrays[f"{number}.front.travel_m"], seen.front.jounce_m[::every].astype("f4"))
        np.testing.assert_array_equal(
            arrays[f"{number}.acceleration_m_per_s2"], seen.acceleration_m_per_s2["driver"][::every].astype("f4")
        )
        law, own = setups[name].front.dampers["main"].valving, said["setups"][number]["truck"]
        np.testing.assert_array_equal(arrays[f"{own}.front.main.curve_n"], law.force(CURVE_M_PER_S).astype("f4"))
        assert said["setups"][number]["seat"] == "driver"
        assert said["setups"][number]["step_s"] == pytest.approx(FRAME_S)
    assert curves(said, 1)[0]["count"] == 4


def test_the_same_asked_again_is_the_same_to_the_byte(trials, document, truck):  # noqa: F811
    first = trials.run(document, "a", asked())
    trials.run(document, "a", asked(speed="40 km/h"))
    assert trials.run(document, "a", asked()) == first
    assert Trials(Courses(truck.parent)).run(document, "a", asked()) == first


def test_what_the_page_has_is_said_by_its_id_alone(trials, document):
    whole, arrays = unpacked(trials.run(document, "a", asked()))
    ids = [own["id"] for own in whole["setups"]]
    rows = [asked()["setups"][0], {"name": "moved", "changes": {f"{PATH}.rebound.low": "6 kN s/m"}}]
    said, fewer = unpacked(trials.run(document, "a", asked(setups=rows, have=[*ids, whole["road"]["id"]])))
    moved = said["setups"][1]["truck"]
    assert {name.split(".")[0] for name in fewer} == {"1", moved}
    assert said["setups"][0]["id"] == ids[0]
    assert set(said["trucks"]) == {moved}
    assert said["setups"][1]["id"] not in ids
    # The one that moved comes whole, and is what a page without anything gets.
    again, more = unpacked(trials.run(document, "a", asked(setups=rows)))
    assert again["setups"][1] == said["setups"][1]
    assert again["setups"][0] == whole["setups"][0]
    for name, values in fewer.items():
        np.testing.assert_array_equal(more[name], values)
    assert "road" in more
    np.testing.assert_array_equal(more["road"], arrays["road"])


def test_a_truck_comes_once_whatever_it_runs_over(trials, document):
    first, _ = unpacked(trials.run(document, "a", asked()))
    trucks = [own["truck"] for own in first["setups"]]
    have = [*trucks, *(own["id"] for own in first["setups"])]
    for other in ({"speed": "40 km/h"}, {"course": "One long dip"}):
        said, arrays = unpacked(trials.run(document, "a", asked(have=have, **other)))
        assert [own["truck"] for own in said["setups"]] == trucks
        assert said["trucks"] == {}
        assert {name.split(".")[0] for name in arrays} == {"0", "1", "road"}
    # Another load is another truck, even if its dampers are the same.
    loaded_one, _ = unpacked(trials.run(document, "a", asked(have=have, load="300 kg")))
    assert not set(loaded_one["trucks"]) & set(trucks)
    assert len(loaded_one["trucks"]) == 2


def test_many_moves_keep_no_more_than_a_few_runs_and_lose_none_that_is_asked_for(trials, document):
    path = f"{PATH}.rebound.low"
    first = {}
    for number in range(KEPT + 10):
        rows = [asked()["setups"][0], {"name": "moved", "changes": {path: f"{4000 + number} N s/m"}}]
        _, arrays = unpacked(trials.run(document, "a", asked(setups=rows)))
        first.setdefault(number, arrays["1.front.travel_m"].copy())
    rows[1]["changes"] = {path: "4000 N s/m"}
    _, again = unpacked(trials.run(document, "a", asked(setups=rows)))
    # It was run beside another one at first and is run alone now, which differs by rounding.
    np.testing.assert_allclose(again["1.front.travel_m"], first[0], atol=np.finfo("f4").eps * np.ptp(first[0]))


def test_a_set_up_that_is_wrong_does_not_keep_the_others_from_running(trials, document):
    rows = [*asked()["setups"], {"name": "wrong", "changes": {"front.dampers.main.count": "four"}}]
    said, arrays = unpacked(trials.run(document, "a", asked(setups=rows)))
    assert [bool(own["problems"]) for own in said["setups"]] == [False, False, True]
    assert "0.front.travel_m" in arrays
    assert "2.front.travel_m" not in arrays


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"speed": "26"}, "needs a unit"), ({"speed": ""}, "missing"), ({"speed": "900 km/h"}, "must not be more than"),
        ({"course": "nowhere"}, "There is no course"),
    ],
)  # fmt: skip
def test_a_run_that_cannot_be_is_refused_in_the_projects_words(trials, document, more, words):
    said, arrays = unpacked(trials.run(document, "a", asked(**more)))
    assert words in " ".join(row["message"] + row["allowed"] for row in said["problems"])
    assert arrays == {}


def test_a_load_presses_the_rear_down(trials, document):
    _, empty = unpacked(trials.run(document, "a", asked()))
    _, full = unpacked(trials.run(document, "a", asked(load="300 kg")))
    assert full["0.rear.travel_m"][0] > empty["0.rear.travel_m"][0] + 0.005
    # Before the course both stand still: the ground carries the load, and nearly all of it at the rear axle, over which it lies.
    more = [full[f"0.{axle}.tyre_load_n"][0] - empty[f"0.{axle}.tyre_load_n"][0] for axle in ("front", "rear")]
    assert sum(more) == pytest.approx(300.0 * 9.80665, rel=1e-5)
    assert more[1] > 0.95 * sum(more)


def test_a_curve_that_is_pulled_is_run_and_written_back(trials, document):
    pull = {"setup": 1, "axle": "front", "damper": "main", "number": 1, "speed_m_per_s": 0.5, "force_n": 900.0}
    said, arrays = unpacked(trials.run(document, "a", asked(pull=pull)))
    assert said["pulled"]["setup"] == 1
    assert set(said["pulled"]["changes"]) == {f"{PATH}.compression.high"}
    rows = asked()["setups"]
    rows[1]["changes"] = {**rows[1]["changes"], **said["pulled"]["changes"]}
    again, same = unpacked(trials.run(document, "a", asked(setups=rows)))
    pulled = said["setups"][1]["truck"]
    assert again["setups"][1]["truck"] == pulled
    np.testing.assert_array_equal(same[f"{pulled}.front.main.curve_n"], arrays[f"{pulled}.front.main.curve_n"])
    assert curves(again, 1)[0]["handles"][1][1] == pytest.approx(900.0, rel=2e-3)
    # Its neighbour is another set-up.
    assert curves(again, 0)[0]["handles"][1][1] != pytest.approx(900.0, rel=2e-3)


def factored(trials, document, factor, setups=None):
    pull = {"setup": 1, "axle": "front", "damper": "main", "factor": factor}
    return unpacked(trials.run(document, "a", asked(pull=pull, **({"setups": setups} if setups else {}))))


def test_a_damper_half_as_hard_is_one_change(trials, document):
    rows = asked()["setups"]
    rows[1]["changes"] = {f"{PATH}.compression.low": "5 kN s/m", f"{PATH}.rebound.knee": "0.2 m/s"}
    before, arrays = unpacked(trials.run(document, "a", asked()))
    said, own = factored(trials, document, "0.5", rows)
    assert set(said["pulled"]["changes"]) == {PATH}
    assert set(said["pulled"]["gone"]) == {f"{PATH}.compression.low", f"{PATH}.rebound.knee"}
    # Half of the truck's own force at every speed, to the four digits that are written.
    was, now = (
        arrays[f"{before['setups'][0]['truck']}.front.main.curve_n"],
        own[f"{said['setups'][1]['truck']}.front.main.curve_n"],
    )
    np.testing.assert_allclose(now, 0.5 * was, rtol=1e-3, atol=0.1)
    assert curves(said, 1)[0]["times"] == "0.5"
    assert curves(said, 0)[0]["times"] == "1"
    # Of the damping ratio the friction of the seals is not halved.
    as_is, half = (float(curves(said, number)[0]["ratio"]) for number in (0, 1))
    assert 0.5 * as_is - 0.01 < half < as_is
    # Pulled now, it stays one change; as it was, it is none.
    rows[1]["changes"] = {**said["pulled"]["changes"]}
    pull = {"setup": 1, "axle": "front", "damper": "main", "number": 1, "speed_m_per_s": 0.5, "force_n": 900.0}
    again, _ = unpacked(trials.run(document, "a", asked(pull=pull, setups=rows)))
    assert set(again["pulled"]["changes"]) == {PATH}
    assert curves(again, 1)[0]["handles"][1][1] == pytest.approx(900.0, rel=2e-3)
    assert curves(again, 1)[0]["times"] == ""
    none, _ = factored(trials, document, "1", rows)
    assert (none["pulled"]["changes"], none["pulled"]["gone"]) == ({}, [PATH])


@pytest.mark.parametrize(
    ("factor", "why"), [("0,5", "write 0.5"), ("", "number"), ("-1", "more than 0"), ("soft", "number")]
)
def test_a_factor_that_is_none_is_said(trials, document, factor, why):
    said, _ = factored(trials, document, factor)
    assert why in said["pulled"]["why"]
    assert said["pulled"]["changes"] == {}


def test_the_table_has_the_damping_ratio_of_the_standing_truck(trials, document):
    from sim.linear.standing import stand

    said, _ = unpacked(trials.run(document, "a", asked()))
    rows = {row["label"]: row["text"] for row in said["setups"][0]["measures"]}
    for axle, own in stand(vehicle_of(document)).axles.items():
        assert rows[f"{axle.capitalize()}: damping ratio as it stands"] == f"{own.damping_ratio:.2f}"


@pytest.mark.parametrize(
    "pull",
    [{}, {"setup": 9}, {"setup": 0, "axle": "middle", "damper": "main", "number": 0, "speed_m_per_s": 0, "force_n": 0},
     {"setup": 0, "axle": "front", "damper": "gone", "number": 0, "speed_m_per_s": 0, "force_n": 0}],
)  # fmt: skip
def test_a_pull_at_what_is_not_there_changes_nothing(trials, document, pull):
    said, arrays = unpacked(trials.run(document, "a", asked(pull=pull)))
    assert said["pulled"] is None
    assert "1.front.travel_m" in arrays


def test_every_course_of_the_page_can_be_driven(trials, document):
    for name in trials.courses.names:
        if name in OWN:
            said, arrays = unpacked(trials.run(document, "a", asked(course=name, speed="10 km/h")))
            assert said["problems"] == []
            assert np.ptp(arrays["road"]) > 0.01


def test_a_scenario_that_is_saved_runs_what_was_tried(truck):  # noqa: F811
    courses = Courses(truck.parent)
    paper = Paper(truck, truck.parent)
    load = loaded(sim.load(truck), "200 kg")
    pulled = {f"{PATH}.rebound.low": "6 kN s/m", "rear.dampers": ""}
    rows = [{"name": "as it is", "changes": {}}, {"name": '<stiff> & "hard"', "changes": pulled}]
    what = {"name": "Loaded", "question": "", "course": COURSE, "speed": "16 mph", "setups": rows}
    file = written(paper, courses, load, what)["file"]
    scenario = sim.load(truck.parent / file)
    assert list(scenario.setups) == ["as it is", '<stiff> & "hard"']
    assert scenario.run.speed == pytest.approx(16 * 0.44704)
    stiff = scenario.setups['<stiff> & "hard"']
    assert stiff.front.dampers["main"].valving.rebound.low == pytest.approx(6000.0)
    assert stiff.rear.dampers == {}
    assert all(truck.loads["in the bed"].mass == pytest.approx(200.0) for truck in scenario.setups.values())


def test_a_course_of_a_file_is_named_from_the_scenario(truck):  # noqa: F811
    courses = Courses(truck.parent)
    assert "Hut track" in courses.names
    assert courses.written("Hut track", truck.parent) == "../courses/hut_track.yaml"
    what = {"name": "On the track", "course": "Hut track", "speed": "26 km/h", "setups": [{"name": "a", "changes": {}}]}
    file = written(Paper(truck, truck.parent), courses, {}, what)["file"]
    assert sim.load(truck.parent / file).run.course.name == courses.course("Hut track").name


def test_a_scenario_is_kept_from_the_page(truck):  # noqa: F811
    with client_on(truck, truck.parent) as client:
        what = {"name": "Two or four", "course": COURSE, "speed": "26 km/h", "load": "", "setups": asked()["setups"]}
        answer = client.post(f"/{TOKEN}/scenario", json=what, headers=ORIGIN)
        # With the works that can be started beside the scenario that is now there.
        said = answer.json()
        assert said["copy"] == ""
        assert {key: said[key] for key in ("file", "works")} == {
            "file": "two_or_four.yaml",
            "works": [
                {"command": "compare", "words": "Write the report"},
                {"command": "sheet", "words": "Write the order sheet"},
            ],
        }
        assert client.post(f"/{TOKEN}/scenario", json=what, headers=ORIGIN).status_code == 409
        nothing = client.post(f"/{TOKEN}/scenario", json={**what, "name": " "}, headers=ORIGIN)
        assert nothing.status_code == 422
        twice = client.post(
            f"/{TOKEN}/scenario", json={**what, "name": "b", "setups": 2 * what["setups"]}, headers=ORIGIN
        )
        assert "Two set-ups are called" in twice.json()["why"]
        assert not (truck.parent / "b.yaml").exists()


def test_only_the_latest_of_a_kind_is_answered_and_it_is_the_last(truck):  # noqa: F811
    with client_on(truck, truck.parent) as client:
        address = f"ws://127.0.0.1:{PORT}/{TOKEN}/live"
        with client.websocket_connect(address, headers={"origin": HOME}) as socket:
            for number in range(40):
                socket.send_text(
                    json.dumps(
                        {"kind": "run", "mark": "", "edits": {}, **asked(seq=number, speed=f"{20 + number} km/h")}
                    )
                )
            numbers = []
            while not numbers or numbers[-1] != 39:
                numbers.append(unpacked(socket.receive_bytes())[0]["seq"])
        assert numbers == sorted(numbers)
        assert len(numbers) < 40
