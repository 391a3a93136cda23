"""Numbers that vary in a scenario of the page: what is written, what is refused, and that the command takes it."""

import shutil
from pathlib import Path

import pytest

from sim.cli import main
from sim.describe.files.reader import read
from sim.describe.files.scenario import load_scenario
from sim.describe.files.vehicles import load_vehicle, vehicle_from
from sim.errors import JounceError
from sim.show.pages.local.courses import Courses
from sim.show.pages.local.paper import Paper
from sim.show.pages.local.scenarios import opened, written
from sim.show.pages.local.travel_kept import travel_goals, travel_limits
from sim.show.pages.local.varied import around, goals, in_folder, offered, ranges, section

SCENARIOS = Path(__file__).parents[4] / "scenarios"
RATE = {
    "path": "front.springs.coil.rate",
    "kind": "value",
    "called": "Front springs: rate of one",
    "first": "30 N/mm",
    "last": "50 N/mm",
    "points": "3",
}
SPEED = {"path": "run.speed", "kind": "value", "called": "Speed", "first": "15 km/h", "last": "25 km/h", "points": "3"}
FORCE = {
    "path": "front.dampers.main.valving",
    "kind": "scale",
    "called": "Force of the front dampers",
    "first": "0.5",
    "last": "2",
    "points": "9",
}
TICKET = {
    "kind": "vehicle", "name": "Ticket", "weighed": {"front": "2450 lb", "rear": "1780 lb"}, "wheelbase": "92 in",
    "front": {"springs": {"coil": {"rate": "190 lb/in"}}, "dampers": {"main": {"valving": "stock"}}},
}  # fmt: skip


@pytest.fixture
def truck(tmp_path):
    shutil.copy(SCENARIOS / "vehicles" / "hut_supply_truck.yaml", tmp_path)
    return tmp_path / "hut_supply_truck.yaml"


def kept(truck, vary, **more):
    asked = {
        "name": "Varied", "course": "Step up of 80 mm", "speed": "20 km/h", "setups": [{"name": "as it is", "changes": {}}], "vary": vary, **more,
    }  # fmt: skip
    asked["course"] = Courses(truck.parent).names[0]
    return written(Paper(truck, truck.parent), Courses(truck.parent), {}, asked)


def test_a_sweep_of_two_numbers_is_written_and_the_command_takes_it(truck, monkeypatch, capsys):
    said = kept(truck, {"what": "sweep", "rows": [RATE, SPEED]})
    assert [one["command"] for one in said["works"]] == ["compare", "sweep", "sheet"]
    asked = load_scenario(truck.parent / said["file"]).sweep
    assert {path: (one.first, one.last, one.points) for path, one in asked.vary.items()} == {
        "front.springs.coil.rate": ("30 N/mm", "50 N/mm", 3), "run.speed": ("15 km/h", "25 km/h", 3),
    }  # fmt: skip
    monkeypatch.chdir(truck.parent)
    assert main(["check", said["file"]]) == 0
    assert "jounce sweep" in capsys.readouterr().out


@pytest.mark.parametrize("measured", [False, True])
def test_a_tuning_is_written_and_the_command_takes_it(truck, monkeypatch, measured):
    if measured:
        from sim.describe.files.as_written import vehicle_text

        truck.write_text(vehicle_text(TICKET), encoding="utf-8")
    split = {**FORCE, "kind": "split", "called": "Rebound over compression", "first": "1", "last": "4"}
    said = kept(
        truck, {"what": "tune", "rows": [FORCE, split], "goals": [name for name, _ in goals(load_vehicle(truck))]}
    )
    assert [one["command"] for one in said["works"]] == ["compare", "tune", "sheet"]
    tune = load_scenario(truck.parent / said["file"]).tune
    assert {name: (one.kind, one.low, one.high) for name, one in tune.move.items()} == {
        "Force of the front dampers": ("scale", 0.5, 2), "Rebound over compression": ("split", 1, 4),
    }  # fmt: skip
    assert set(tune.goal) == {"ride_wk_driver", "front_tyre_load_variation", "rear_tyre_load_variation"}
    monkeypatch.chdir(truck.parent)
    assert main(["check", said["file"]]) in (0, 3)


def test_a_tuning_keeps_off_the_bump_stops_by_goal_and_by_limit(truck):
    """The measures are those of `compare`; a limit that a file has otherwise stays, one that is emptied goes."""
    asked = {name for name, _ in travel_goals(load_vehicle(truck))}
    assert asked == {"front_bump_share", "rear_bump_share"}
    boxes = [name for name, _ in travel_limits(load_vehicle(truck))]
    assert boxes == ["front_left_to_stop", "rear_left_to_stop"]
    vary = {
        "what": "tune",
        "rows": [FORCE],
        "goals": sorted(asked),
        "limits": {"front_left_to_stop": " 3/8 in ", "rear_left_to_stop": ""},
    }
    file = truck.parent / kept(truck, vary)["file"]
    tune = load_scenario(file).tune
    assert set(tune.goal) == asked
    assert {name: limit.at_least for name, limit in tune.limits.items()} == {"front_left_to_stop": "3/8 in"}
    assert opened(file, truck.parent).trial["vary"]["limits"] == {"front_left_to_stop": "3/8 in"}
    before = {
        "tune": {
            "limits": {
                "front_left_to_stop": {"at_least": "5 mm"},
                "rear_left_to_stop": {"at_least": "90 % of now"},
                "rear_stop_hits": {"at_most": 2},
            }
        }
    }
    own = section({**vary, "limits": {"rear_left_to_stop": "0 mm"}}, before)["tune"]["limits"]
    assert own == {"rear_stop_hits": {"at_most": 2}, "rear_left_to_stop": {"at_least": "0 mm"}}
    assert (
        section({**vary, "limits": {}}, {"tune": {"limits": {"front_left_to_stop": {"at_least": "5 mm"}}}})["tune"][
            "limits"
        ]
        == {}
    )
    with pytest.raises(JounceError, match="Left to the front bump stops"):
        kept(truck, {**vary, "limits": {"front_left_to_stop": "5"}}, name="Another")


def test_an_axle_without_bump_stops_has_no_way_to_them(truck):
    bare = load_vehicle(truck).changed({"front.stop": "none"})
    assert [name for name, _ in travel_goals(bare)] == ["rear_bump_share"]
    assert [name for name, _ in travel_limits(bare)] == ["rear_left_to_stop"]


def test_a_tuning_starts_from_the_set_up_that_was_chosen(truck):
    two = [{"name": "as it is", "changes": {}}, {"name": "lifted", "changes": {"front.springs.coil.rate": "45 N/mm"}}]
    vary = {"what": "tune", "rows": [FORCE], "goals": ["front_tyre_load_variation"], "start": "lifted"}
    said = kept(truck, vary, setups=two)
    assert load_scenario(truck.parent / said["file"]).tune.start == "lifted"
    # Opened again, the form has it.
    assert opened(truck.parent / said["file"], truck.parent).trial["vary"]["start"] == "lifted"
    with pytest.raises(JounceError, match="there is no set-up 'boat'"):
        kept(truck, {**vary, "start": "boat"}, name="Another", setups=two)


@pytest.mark.parametrize(
    ("vary", "why"),
    [
        ({"what": "sweep", "rows": []}, "one at least, 2 at most"),
        ({"what": "sweep", "rows": [RATE, SPEED, FORCE]}, "one at least, 2 at most"),
        ({"what": "sweep", "rows": [{**RATE, "path": ""}]}, "Choose the numbers that vary"),
        ({"what": "sweep", "rows": [{**RATE, "last": " "}]}, "give both ends"),
        ({"what": "sweep", "rows": [{**RATE, "points": "one"}]}, "2 to 60 values"),
        ({"what": "sweep", "rows": [RATE, RATE]}, "are the same one"),
        ({"what": "sweep", "rows": [{**RATE, "first": "12 parrots"}]}, "Front springs: rate of one"),
        ({"what": "sweep", "rows": [{**RATE, "last": "50 in"}]}, "Front springs: rate of one"),
        ({"what": "sweep", "rows": [{**RATE, "path": "front.springs.boat.rate"}]}, "boat"),
        ({"what": "sweep", "rows": [{**RATE, "points": "²"}]}, "2 to 60 values"),
        ({"what": "tune", "rows": [FORCE], "goals": []}, "Choose what is to be better"),
        ({"what": "tune", "rows": [FORCE, {**FORCE, "kind": "split"}], "goals": ["front_tyre_load_variation"]}, "Two of the numbers that vary are called"),
        ({"what": "tune", "rows": [FORCE], "goals": ["happiness"]}, "happiness"),
        ({"what": "tune", "rows": [{**FORCE, "first": "3"}], "goals": ["front_tyre_load_variation"]}, "Force of the front dampers"),
    ],
)  # fmt: skip
def test_what_cannot_be_run_is_said_and_leaves_no_file(truck, vary, why):
    with pytest.raises(JounceError, match=why):
        kept(truck, vary)
    assert [path.name for path in truck.parent.glob("*.yaml")] == [truck.name]


def test_nothing_varies_unless_it_is_asked_for(truck):
    for vary in (None, {}, {"what": "", "rows": [RATE]}, {"what": "boat"}):
        assert section(vary) == {}
    said = kept(truck, None)
    assert [one["command"] for one in said["works"]] == ["compare", "sheet"]
    assert not {"sweep", "tune"} & set(read(truck.parent / said["file"]).data)


SCENARIOS_THAT_VARY = (
    "which_speed",
    "which_tyre_pressure",
    "will_it_bottom",
    "coil_for_the_engine",
    "tune_for_the_track",
    "tune_for_rock_and_heat",
)


@pytest.fixture
def demo(tmp_path):
    for name in ("vehicles", "courses", "dampers"):
        shutil.copytree(SCENARIOS / name, tmp_path / name)
    for name in SCENARIOS_THAT_VARY:
        shutil.copy(SCENARIOS / f"{name}.yaml", tmp_path)
    return tmp_path


def kept_again(folder, name, vary, saved="Again"):
    """Save what a scenario's file brings, as the page does; return the file that comes of it, and what was opened."""
    page = opened(folder / f"{name}.yaml", folder)
    courses = Courses(page.vehicle.parent)
    setups = page.trial.get("setups", [{"name": "as it is", "changes": {}}])
    asked = {"name": saved, "course": courses.names[0], "speed": "20 km/h", "setups": setups, "vary": vary}
    return page.vehicle.parent / written(Paper(page.vehicle, folder), courses, {}, asked, page)["file"], page


@pytest.mark.parametrize("name", SCENARIOS_THAT_VARY)
def test_what_varies_in_a_file_stands_in_the_form_and_is_saved_as_it_was(demo, name):
    path, page = kept_again(demo, name, {"as_opened": True})
    was, now = read(demo / f"{name}.yaml").data, read(path).data
    key = "sweep" if "sweep" in was else "tune"
    form = page.trial["vary"]
    moved = was[key].get("vary") or was[key]["move"]
    assert form["what"] == key
    assert len(form["rows"]) == len(moved)
    assert form["goals"] == list(was[key].get("goal", {}))
    # Files that it names lie elsewhere from the truck's folder; all else is word for word.
    assert in_folder(now[key], path.parent, demo) == was[key]
    assert list(now[key]) == list(was[key])
    load_scenario(path)


def test_what_was_touched_of_a_file_is_saved_and_the_rest_of_it_kept(demo):
    _, page = kept_again(demo, "tune_for_the_track", {"as_opened": True})
    form = page.trial["vary"]
    form["rows"][0]["last"] = "3"
    path, _ = kept_again(demo, "tune_for_the_track", form, "Touched")
    was, now = read(demo / "tune_for_the_track.yaml").data["tune"], read(path).data["tune"]
    assert now["move"].pop("front force") == {**was["move"].pop("front force"), "high": 3}
    # Also what moves together, and weights of goals.
    assert in_folder(now, path.parent, demo) == was


def test_every_damper_set_is_offered_by_its_name(truck):
    vehicle = vehicle_from(TICKET).changed({"front.dampers.second": {"count": 2, "valving": "soft"}})
    values = [value for value, _, _ in offered(vehicle)]
    assert "front.dampers.second.valving|scale" in values
    words = {words for _, words, _ in offered(vehicle)}
    assert "Force of the front dampers 'second', a factor" in words
    assert "Force of the rear dampers, a factor" in words


def test_numbers_of_equal_words_are_told_apart_by_their_places():
    rear = {**FORCE, "path": "rear.dampers.main.valving"}
    asked = section({"what": "tune", "rows": [FORCE, rear], "goals": ["front_tyre_load_variation"]})
    assert {name: one["path"] for name, one in asked["tune"]["move"].items()} == {
        f"{FORCE['called']} ({row['path']})": row["path"] for row in (FORCE, rear)
    }


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        # By hand: 0.7 and 1.3 of it, to three digits.
        ("3 1/4 in", "2.27 in", "4.22 in"), ("12 ft 10 in", "108 in", "200 in"), ('33"', "23.1 in", "42.9 in"), ("½ in", "0.35 in", "0.65 in"),
        ("0.25", "0.175", "0.325"), (".25 in", "0.175 in", "0.325 in"), ("-3 in", "-3.9 in", "-2.1 in"), ("1,640 kg", "1150 kg", "2130 kg"),
        ("about 9 kg m^2", "6.3 kg m^2", "11.7 kg m^2"), ("620 kg +- 15 kg", "434 kg", "806 kg"), ("190lb/in", "133 lb/in", "247 lb/in"),
    ],
)  # fmt: skip
def test_a_range_begins_around_a_number_as_it_is_written(text, first, last):
    ends = around(text)
    assert [end.split(maxsplit=1)[1:] for end in ends] == [end.split(maxsplit=1)[1:] for end in (first, last)]
    # A half is rounded either way by what the computer has of it.
    numbers = [[float(end.split()[0]) for end in both] for both in (ends, (first, last))]
    assert numbers[0] == pytest.approx(numbers[1], rel=0.003)


@pytest.mark.parametrize("text", ["", "none", "0", "0 in", "stock", "parrots"])
def test_what_is_no_number_begins_with_no_range(text):
    assert around(text) is None


@pytest.mark.parametrize(("text", "ends"), [("2", ("1", "3")), ("1", ("1", "2")), ("7", ("5", "9"))])
def test_what_is_counted_begins_with_whole_numbers(text, ends):
    assert around(text, whole=True) == ends


@pytest.mark.parametrize("measured", [False, True])
def test_every_range_that_is_offered_can_be_swept(truck, measured):
    """A set-up takes both ends, of a file as measured also of what is estimated."""
    vehicle = vehicle_from(TICKET) if measured else load_vehicle(truck)
    known = ranges(TICKET if measured else read(truck).data)
    assert known["front.dampers.main.count"] == ("1", "3")
    assert known["scale"] == ("0.5", "2")
    assert "front.dampers.main.valving" not in known
    assert not measured or known["front.springs.coil.rate"] == ("133 lb/in", "247 lb/in")
    for path in (
        "front.dampers.main.count",
        "front.dampers.main.gas_force",
        "rear.springs.pack.rate",
        "rear.springs.pack.friction",
    ):
        for end in known[path]:
            vehicle.changed({path: int(end) if end.isdecimal() else end})


def test_a_range_at_fault_is_said_at_its_end_in_the_forms_words(truck):
    with pytest.raises(JounceError) as caught:
        kept(truck, {"what": "tune", "rows": [{**FORCE, "first": "0,5"}], "goals": ["front_tyre_load_variation"]})
    assert str(caught.value).startswith("Force of the front dampers, from: ")
    assert "write 0.5" in str(caught.value)
    with pytest.raises(JounceError, match=r"^speed: write both ends in one unit"):
        kept(truck, {"what": "sweep", "rows": [{**SPEED, "last": "12 parrots"}]})
