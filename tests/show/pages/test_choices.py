"""What a reader chooses on a page is the same change made in the file: counts, loads, speeds, and sliders on top of them."""

from functools import partial
from pathlib import Path

import pytest

import sim
from sim.cli import main
from sim.describe.runs.changed import changed_run
from sim.show.pages.report.compared import NO_ROOM
from sim.show.pages.simulator.calls import call_of
from sim.show.pages.simulator.choices import _speeds, simulator
from tests.show.pages.in_node import SHARE, apart, contents, native, needs_node, packed_in_node

SCENARIOS = Path(__file__).parents[3] / "scenarios"


def chosen(text, **wanted):
    """Return the number of the run that is chosen by these."""
    runs = contents(text)["runs"]
    (number,) = (n for n, run in enumerate(runs) if {k: run["chosen"][k] for k in wanted} == wanted)
    return number


@needs_node
def test_choices_are_changes_of_the_file(tmp_path):
    scenario = sim.load(SCENARIOS / "two_or_four.yaml")
    text = simulator(scenario.setups, scenario.run)
    table = contents(text)
    assert table["setups"] == list(scenario.setups)
    fitted = table["setups"].index("two front")
    vehicle = scenario.setups["two front"]
    # Over the rear axle, as high as the body's own centre of gravity.
    load = {"loads.more": {"mass": "300 kg", "place": {"behind_front_axle": "2.95 m", "above_ground": "0.98 m"}}}
    slower = changed_run(scenario.run, "speed", "19.5 km/h")
    softer = {"low": "0.95 kN s/m", "knee": "0.12 m/s", "high": "0.9 kN s/m"}
    law = {
        "kind": "knee",
        "compression": softer,
        "rebound": {"low": "5.2 kN s/m", "knee": "0.12 m/s", "high": "1.9 kN s/m"},
    }
    four, valved = {"front.dampers.main.count": 4}, {"front.dampers.main.valving": law}
    half = [(0.5, 1.0, 1.0, 1.0), (1.0,) * 4]
    cases = [
        ({"counts": [4, 2], "load": 0, "way": 0}, None, four, scenario.run),
        ({"counts": [2, 4], "load": 2, "way": 0}, None, {"rear.dampers.main.count": 4, **load}, scenario.run),
        ({"counts": [2, 2], "load": 0, "way": 1}, None, {}, slower),
        ({"counts": [4, 2], "load": 2, "way": 1}, half, {**four, **load, **valved}, slower),
    ]
    numbers = [chosen(text, setup=fitted, **own) for own, *_ in cases]
    pages = packed_in_node(tmp_path, text, [(n, case[1], None) for n, case in zip(numbers, cases, strict=True)])
    for number, (own, _, changes, run), page in zip(numbers, cases, pages, strict=True):
        parts = table["runs"][number]["given"]["every"]["whole"]
        here = native(call_of(vehicle.changed(changes) if changes else vehicle, run, parts))
        assert apart(here, page).max() < SHARE, own


def test_where_a_page_has_less_room_there_is_less_to_choose():
    scenario = sim.load(SCENARIOS / "two_or_four.yaml")
    whole = simulator(scenario.setups, scenario.run)
    table = contents(whole)
    assert (len(table["ways"]), len(table["loads"])) == (3, 3)
    less = simulator(scenario.setups, scenario.run, most_characters=len(whole) - 1)
    assert len(contents(less)["ways"]) == 1
    assert len(less) < len(whole)
    assert simulator(scenario.setups, scenario.run, most_characters=1000) is None


def test_a_page_without_room_for_it_says_so(tmp_path, monkeypatch):
    small = partial(simulator, most_characters=1000)
    monkeypatch.setattr("sim.show.pages.report.simulated.simulator", small)
    push = str(SCENARIOS / "push_on_the_bumper.yaml")
    main(["simulate", push, "--setup", "as fitted", "--no-plots", "--no-doubt", "--outputs", str(tmp_path)])
    (page,) = tmp_path.glob("*/report.html")
    text = page.read_text(encoding="utf-8")
    assert NO_ROOM in text
    assert 'id="simulator"' not in text
    assert "wasm-unsafe-eval" not in text


def test_hours_of_track_are_no_single_run():
    scenario = sim.load(SCENARIOS / "will_they_fade.yaml")
    assert simulator(scenario.setups, scenario.run) is None


def test_another_course_can_be_chosen():
    scenario = sim.load(SCENARIOS / "two_or_four.yaml")
    other = sim.load(SCENARIOS / "bump_or_rebound.yaml").run
    table = contents(simulator(scenario.setups, scenario.run, {"repeated humps": other}))
    assert [way["words"] for way in table["ways"]][-1] == "repeated humps"


@pytest.mark.parametrize("name", ["brake_from_speed", "push_on_the_bumper"])
def test_runs_without_a_held_speed_have_no_other_speed(name):
    scenario = sim.load(SCENARIOS / f"{name}.yaml")
    assert len(contents(simulator(scenario.setups, scenario.run))["ways"]) == 1


def test_a_speed_at_which_a_run_would_last_too_long_is_no_choice_and_no_refusal():
    """Ten minutes are the most: 3.9 km take 9.4 at 25 km/h, and 12.5 at three quarters of that, which a page offers else."""
    scenario = sim.load(SCENARIOS / "two_or_four.yaml")
    flat = {"kind": "course", "name": "Flat", "items": [{"kind": "flat", "length": "3900 m"}]}
    long = type(scenario.run).model_validate({"kind": "course", "course": flat, "speed": "25 km/h"})
    assert [round(one.held_speed * 3.6, 2) for one in _speeds(long, scenario.setups["two front"]).values()] == [31.25]
    own = _speeds(scenario.run, scenario.setups["two front"])
    assert len(own) == 2
