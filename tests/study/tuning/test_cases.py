"""Cases that are not courses: launches, stops and hours of track; tubes and mounts that move, and what follows from them."""

import re
from math import pi

import numpy as np
import pytest
import yaml

import sim
from sim.cli import main
from sim.describe.asked.tune import ValueMove
from sim.describe.replaced import value_at
from sim.integrate.damper_room import LEAST_MARGIN
from sim.show.report.tuning_words import _limits
from sim.study.endurance.drive import endure
from sim.study.fit import fits
from sim.study.tuning.confirming import confirmed
from sim.study.tuning.moves import changes_of, moved, moving
from sim.study.tuning.ready import tuning_of
from sim.study.tuning.session import Session
from sim.study.tuning.trials import Trial
from sim.study.tuning.warming import Warming
from tests.study.tuning.cases import ROOT, TUNE, WORN, loaded, refused, written

pytestmark = pytest.mark.long  # whole commands and studies, over and over: seconds each

TRUCK = ROOT / "scenarios" / "vehicles" / "hut_supply_truck.yaml"
ROCK = {"name": "firm rock", "friction": 0.85, "sliding": 0.62, "peak_at": "13 %"}
LAUNCH = {"kind": "launch", "climb": "8 deg", "surface": ROCK, "throttle_rise": "0.25 s", "watch": "1.5 s"}
STOP = {"kind": "brake", "surface": ROCK, "speed": "25 km/h", "pedal": "80 %", "watch": "2 s"}
WASHBOARD = {
    "items": [{"kind": "washboard", "pitch": "0.8 m", "depth": "15 mm", "count": 60}, {"kind": "flat", "length": "4 m"}]
}
TRACK = {
    "kind": "track", "air": "30 °C",
    "stages": [{"kind": "drive", "course": WASHBOARD, "speed": "30 km/h", "duration": "15 min"}, {"kind": "stand", "duration": "5 min"}],
}  # fmt: skip
HEAT = {"generations": 2, "goal": {"acceleration_rms_driver": 1}, "start": "as fitted", "setups": {"as fitted": None}}


def bore(low="30 mm", high="38 mm"):
    return {"kind": "value", "path": "rear.dampers.main.tube.bore", "low": low, "high": high}


@pytest.mark.parametrize(
    "changes",
    [
        {"rear.dampers.main.count": 4},
        *(pytest.param(one, marks=pytest.mark.hours) for one in ({}, {"rear.dampers.main.valving": WORN})),
    ],
)
def test_a_lap_at_some_temperatures_is_as_warm_as_the_whole_drive(changes, tmp_path):
    """Fifteen minutes ridden in full against the laps that stand for them: within 0.3 K at the hottest and at the end, and 1 % of the power."""
    scenario = loaded(tmp_path, over={"track": {"run": TRACK}}, **HEAT)
    run, truck = tuning_of(scenario).cases[0].run, scenario.setups["as fitted"].changed(changes)
    lap, whole = Warming(run, ()).warmed(truck), endure(truck, run)
    for key, full in whole.sets.items():
        quick = lap.sets[key]
        assert quick.hottest == pytest.approx(full.hottest, rel=0, abs=0.3)
        assert quick.settled - run.air == pytest.approx(full.settled - run.air, rel=0.02)
        assert quick.power == pytest.approx(full.power, rel=0.01)
        assert quick.heat.oil == pytest.approx(full.heat.oil, rel=0, abs=0.3)
        assert quick.least_force == pytest.approx(full.least_force, abs=5e-3)
        assert quick.heat.open_share < 1e-9


@pytest.mark.hours  # two searches of four cases each
def test_launches_stops_and_tracks_are_cases_for_one_or_two_workers(tmp_path):
    asked = {
        "over": {"push": {}, "pulling away": {"run": LAUNCH}, "stopping": {"run": STOP}, "a quarter of an hour": {"run": TRACK}},
        "goal": {"acceleration_rms_driver": 1, "rear_pinion_up": 1, "stopping_distance": 0.2, "rear_main_oil_hottest": 0.5},
        "limits": {"rear_main_oil_hottest": {"at_most": "95 % of now"}},
        "move": {"rear tube": bore(), "rear force": {"kind": "scale", "path": "rear.dampers.main.valving", "low": 0.5, "high": 2}},
        "generations": 1, "start": "as fitted", "setups": {"as fitted": None},
    }  # fmt: skip
    scenario = loaded(tmp_path, **asked)
    tuning = tuning_of(scenario)
    one = Session(tuning, tmp_path / "one", workers=1).answer(studies=False)
    two = Session(tuning, tmp_path / "two", workers=2).answer(studies=False)
    assert one.trial == two.trial
    assert np.array_equal(one.best.values, two.best.values, equal_nan=True)
    assert one.reached
    names = one.judge.names
    says = ~np.isnan(one.start.values)
    assert list(says[:, names.index("rear_pinion_up")]) == [False, True, True, False]
    assert list(says[:, names.index("stopping_distance")]) == [False, False, True, False]
    assert list(says[:, names.index("rear_main_oil_hottest")]) == [False, False, False, True]
    # A share of now is of how much warmer than the air it gets, and the whole drive confirms what the lap said.
    air, hot = 303.15, names.index("rear_main_oil_hottest")
    (limit,) = one.judge.bounds
    assert limit.value - air == pytest.approx(0.95 * (one.start.values[3, hot] - air))
    assert one.best.values[3, hot] <= limit.value
    runs = confirmed(scenario, tuning, one.changes)
    # What is said of the pair, in its report and record, is what is run: both set-ups, each with what its case adds.
    for case in tuning.cases:
        changes = runs[case.name].pair.changes
        assert list(changes) == [tuning.start, "tuned"]
        assert changes["tuned"] == {**changes[tuning.start], **one.changes}
        assert changes[tuning.start].items() >= dict(case.changes).items()
    driven = runs["a quarter of an hour"].values["tuned"]["rear_main_oil_hottest"].value
    assert driven - air == pytest.approx(one.best.values[3, hot] - air, rel=0.02)
    for place, case, name in ((1, "pulling away", "rear_pinion_up"), (2, "stopping", "stopping_distance")):
        value = runs[case].values["tuned"][name]
        assert value.value == pytest.approx(one.best.values[place, names.index(name)], rel=5e-3)


def test_what_follows_when_a_bore_grows(tmp_path):
    """The gap to the outer tube stays, heat capacity and surface grow, the tube's end gets heavier by oil and steel."""
    truck = sim.load(TRUCK)
    move = moving("tube", ValueMove(**bore()), truck)
    made = moved(truck, [move], [0.036])
    before, after = (v.rear.dampers["main"] for v in (truck, made))
    assert after.tube.bore == 0.036
    assert after.tube.gap == pytest.approx(before.tube.gap)
    assert after.tube.oil_capacity > before.tube.oil_capacity
    assert after.tube.cooled_area > before.tube.cooled_area
    more = after.tube.oil_mass + after.tube.steel_mass - before.tube.oil_mass - before.tube.steel_mass
    assert after.tube_mass - before.tube_mass == pytest.approx(more)
    assert after.valving is before.valving  # a written curve stays: the builder valves the tube to give it
    again = truck.changed(changes_of(truck, made, [move]))
    assert again.rear.dampers["main"].tube.outside_diameter == pytest.approx(after.tube.outside_diameter, abs=1e-5)
    assert again.rear.dampers["main"].tube_mass == pytest.approx(after.tube_mass, abs=1e-3)


def test_valves_in_a_larger_bore_give_more_by_the_cube_of_the_annulus(tmp_path):
    """A sharp-edged hole alone: drop ½ρ(A v / Cd a)² on A, so force goes with A³ (Bernoulli; any fluid mechanics text)."""
    law = {
        "kind": "valves", "piston": {"diameter": "30 mm", "bleed": {"diameter": "3 mm"}}, "rod_diameter": "12.5 mm",
        "tube": {"kind": "monotube", "gas_pressure": "25 bar", "gas_volume": "0.1 l"},
    }  # fmt: skip
    tube = {
        "construction": "monotube",
        "bore": "30 mm",
        "outside_diameter": "34 mm",
        "length": "345 mm",
        "rod": "12.5 mm",
    }
    truck = sim.load(TRUCK).changed(
        {"rear.dampers.main.valving": law, "rear.dampers.main.tube": tube, "rear.dampers.main.gas_force": None}
    )
    moves = [
        moving("bore", ValueMove(**bore("28 mm", "44 mm")), truck),
        moving("rod", ValueMove(kind="value", path="rear.dampers.main.tube.rod", low="10 mm", high="20 mm"), truck),
    ]
    made = moved(truck, moves, [0.040, 0.016])
    one, two = (v.rear.dampers["main"].valving for v in (truck, made))
    assert (two.piston.diameter, two.rod_diameter) == (0.040, 0.016)
    grown = (0.040**2 - 0.016**2) / (0.030**2 - 0.0125**2)
    for speed in (0.1, 0.5, -0.3):
        assert two.force(speed) == pytest.approx(grown**3 * one.force(speed), rel=1e-9)
    push = two.tube.gas_pressure * pi / 4 * 0.016**2
    assert made.rear.dampers["main"].push[0] == pytest.approx(push)
    again = truck.changed(changes_of(truck, made, moves))
    assert again.rear.dampers["main"].valving.force(0.5) == pytest.approx(two.force(0.5), rel=1e-3)


def test_a_rod_and_its_bore_may_grow_past_what_each_alone_may(tmp_path):
    truck = sim.load(TRUCK)
    moves = [
        moving("rod", ValueMove(kind="value", path="rear.dampers.main.tube.rod", low="10 mm", high="29 mm"), truck),
        moving("bore", ValueMove(**bore("30 mm", "60 mm")), truck),
    ]
    tube = moved(truck, moves, [0.029, 0.060]).rear.dampers["main"].tube
    assert (tube.rod, tube.bore) == (0.029, 0.060)


def test_a_mount_goes_no_farther_than_its_damper_fits(tmp_path):
    """The order sheet's own margins hold the search back, and are told to; without the mount nothing is said of them."""
    path = "rear.dampers.main.body.above_ground"
    asked = {
        "run": {"kind": "push", "over": "rear", "outside_wheels": "450 mm", "force": "2.4 kN", "press": "0.5 s", "hold": "0.5 s", "watch": "3 s"},
        "move": {"mount": {"kind": "value", "path": path, "low": "0.84 m", "high": "1.1 m"}},
        "goal": {"rear_main_room_in": 1}, "start": "as fitted", "setups": {"as fitted": None}, "generations": 12,
    }  # fmt: skip
    scenario = loaded(tmp_path, **asked)
    answer = Session(tuning_of(scenario), tmp_path / "notes", workers=1).answer(studies=False)
    fit = next(f for f in fits(scenario.setups["as fitted"].changed(answer.changes)) if f.axle == "rear")
    now = next(f for f in fits(scenario.setups["as fitted"]) if f.axle == "rear")
    assert fit.margin_in > now.margin_in  # higher, so longer: what it was asked for
    assert fit.margin_out == pytest.approx(
        min(LEAST_MARGIN, now.margin_out), abs=1e-3
    )  # until its other end holds it back
    assert value_at(scenario.setups["as fitted"].changed(answer.changes), path) < 1.0  # far from the end of its range
    assert [text for text, _ in answer.judge.binding(answer.best)] == [
        "Rear 'main': room to fully out, over the whole travel: at least 12.7 mm (0.50 in)"
    ]
    assert not any(
        "_room_" in name for name in Session(tuning_of(loaded(tmp_path)), tmp_path / "other").answer(False).judge.names
    )


def test_what_a_limit_costs_is_what_a_search_without_it_finds(tmp_path):
    """More force settles the body sooner and shakes the driver less: with not less than 0.3 m/s² asked for, no more force can be had."""
    more = {
        "move": {"front force": TUNE["move"]["front force"]},
        "goal": {"front_body_settling_time": 1},
        "generations": 8,
    }
    answer, free = (
        Session(tuning_of(loaded(tmp_path, limits=limits, **more)), tmp_path / name, workers=1).answer(
            studies=bool(limits)
        )
        for name, limits in (("held", {"acceleration_rms_driver": {"at_least": "0.3 m/s^2"}}), ("free", None))
    )
    (limit,) = [bound.words for bound in answer.judge.bounds]
    held, best = (float(one.judge.cost([one.best])[0]) for one in (answer, free))
    assert held > 1.2 * best
    assert answer.without[limit] == pytest.approx(best, abs=0.01)
    assert answer.elsewhere[limit].values == pytest.approx(free.trial.values, rel=0.02)
    (said,) = _limits(answer)
    assert said.startswith("Holds it back: ")
    assert "; without it the search sets front force to " in said


def test_a_trial_that_does_not_go_together_says_why_and_never_wins(tmp_path):
    scenario = loaded(tmp_path, move={"tube": bore("30 mm", "38 mm")}, setups={"as fitted": None}, start="as fitted")
    session = Session(tuning_of(scenario), tmp_path / "notes", workers=1)
    session.answer(studies=False)
    tried = session.search.trying([Trial("as fitted", (0.011,))])[0]  # thinner than its rod
    assert "must be thinner than the bore" in tried.why[0]
    assert session.search.judge.cost([tried])[0] > 1e3


@pytest.mark.hours  # a search, and hours of track with pictures
def test_a_track_from_the_shell(tmp_path, capsys):
    """Histories of both set-ups, and a tuned file that endures: its course is found from its own folder."""
    course = {"kind": "course", "name": "Washboard", **WASHBOARD}
    (tmp_path / "course.yaml").write_text(yaml.safe_dump(course), encoding="utf-8")
    stages = [{"kind": "drive", "course": "course.yaml", "speed": "30 km/h", "duration": "2 min"}]
    path = written(
        tmp_path, run={"kind": "track", "stages": stages}, move={"tube": bore()}, goal={"rear_main_oil_hottest": 1},
        generations=1, start="as fitted", setups={"as fitted": None},
    )  # fmt: skip
    assert main(["tune", str(path), "--outputs", str(tmp_path / "out"), "--workers", "1", "--no-plots"]) == 0
    said = capsys.readouterr()
    assert "of the whole track" in said.out.replace("\n", " ")
    assert "jounce endure" in said.err.replace("\n", " ")
    beside = tmp_path / "out" / "push_tuned_as_the_scenario_drives_it"
    assert {p.name for p in beside.iterdir()} == {
        "as_fitted.csv", "tuned.csv", "summary.csv", "travel_counts.csv", "level_crossings.csv", "record.json",
        "report.html",
    }  # fmt: skip
    again = sim.load(tmp_path / "out" / "push_tuned" / "tuned.yaml")
    assert again.run.stages[0].course.length_m == pytest.approx(52.0)
    assert again.setups["tuned"].rear.dampers["main"].tube.bore > 0.030


NO_DRIVE = {"setups": {"as fitted": {"driveline": "none"}}, "start": "as fitted"}
NO_TUBES = {"rear.dampers.main.tube": "none", "front.dampers.main.tube": "none"}
BAD = [
    ({"over": {"pull": {"run": LAUNCH}}, **NO_DRIVE}, "tune.over.pull", "needs the vehicle's driveline"),
    ({"over": {"push": {}, "hot": {"run": TRACK}}, "goal": {"rear_main_oil_hottest": 1}, "setups": {"bare": NO_TUBES}, "start": "bare"},
     "tune.goal.rear_main_oil_hottest", "only if its set has a tube"),
    ({"limits": {"rear_main_oil_hottest": {"at_most": "110 °C"}}}, "tune.limits.rear_main_oil_hottest", "whose run is a track"),
    ({"over": {"hot": {"run": TRACK}}, "goal": {"rear_main_oil_hottest": 1}, "limits": {"rear_main_oil_hottest": {"at_most": "110"}}},
     "tune.limits.rear_main_oil_hottest", "needs a unit"),
    ({"goal": {"rear_pinion_up": 1}}, "tune.goal.rear_pinion_up", "a launch or a brake"),
    ({"move": {"x": {"kind": "value", "path": "rear.dampers.main.tube.rod", "low": "12 mm", "high": "40 mm"}}}, "tune.move.x",
     "must be thinner than the bore"),
    ({"move": {"x": {"kind": "scale", "path": "rear.dampers.main.count", "low": 1, "high": 2}}}, "tune.move.x", "kind: value"),
    ({"move": {"x": {"kind": "scale", "path": "rear.dampers.main.valving", "low": 3, "high": 2}}}, "tune.move.x", "swap them"),
    ({"move": {"x": {"kind": "scale", "path": "front.dampers.main.valving", "low": 0.5, "high": 2}}, "start": "back",
      "setups": {"back": {"front.dampers.main.valving": {"kind": "measured", "file": str(ROOT / "scenarios" / "dampers" / "front_returned.csv")}}}},
     "tune.move.x", "kind: table or knee"),
    ({"goal": {}}, "tune", "name a measure"),
    ({"goal": {"front_bump_used": 1}}, "tune.goal.front_bump_used", "front_bump_share (Front bump travel used, share of that to the bump stop) or front_left_to_stop"),
    ({"goal": {"Front bump travel left": 1}}, "tune.goal.Front bump travel left", "did you mean front_left_to_stop (Front bump travel left)?"),
    ({"goal": {"rear_bump_travel_left": 1}}, "tune.goal.rear_bump_travel_left", "did you mean rear_left_to_stop"),
]  # fmt: skip


@pytest.mark.parametrize(("tune", "where", "said"), BAD)
def test_bad_input(tune, where, said, tmp_path, capsys):
    error = refused(tmp_path, capsys, tune)
    assert said in error
    assert where in error
    assert re.search(r"push\.yaml:\d+:", error)  # with its line
