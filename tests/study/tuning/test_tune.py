"""jounce tune: same seed, same answer, whoever works; the round trip; going on; what cannot be reached; bad input."""

import json
from dataclasses import replace

import numpy as np
import pytest

import sim
import sim.study.tuning.search as search_module
from sim.cli import main
from sim.errors import InputError
from sim.study.fit import fits
from sim.study.many import Track, band_of
from sim.study.tuning.confirming import confirmed
from sim.study.tuning.ready import tuning_of
from sim.study.tuning.session import Session
from sim.study.tuning.trials import Trial
from tests.study.tuning.cases import TUNE, loaded, refused, written

pytestmark = pytest.mark.long  # whole commands and studies, over and over: seconds each


def test_same_seed_same_answer_on_one_or_two_workers(tmp_path):
    tuning = tuning_of(loaded(tmp_path, trade_off=["front_body_settling_time", "acceleration_rms_driver"]))
    one = Session(tuning, tmp_path / "one", workers=1).answer(studies=False)
    two = Session(tuning, tmp_path / "two", workers=2).answer(studies=False)
    assert one.trial == two.trial
    assert np.array_equal(one.best.values, two.best.values)
    assert [trial for trial, _ in one.front] == [trial for trial, _ in two.front]
    other = replace(tuning, asked=tuning.asked.model_copy(update={"seed": 2}))
    assert Session(other, tmp_path / "other", workers=1).answer(studies=False).trial != one.trial


def test_found_by_search_is_no_worse_than_the_start_or_any_trial(tmp_path):
    session = Session(tuning_of(loaded(tmp_path)), tmp_path / "notes", workers=1)
    answer = session.answer(studies=False)
    costs = answer.judge.cost([f for t, f in session.search.trying.known.items() if t.values])
    assert answer.judge.cost([answer.best])[0] == costs.min()
    assert costs.min() <= answer.judge.cost([answer.start])[0] == 1.0


def test_confirmed_in_full_precision_is_what_was_searched(tmp_path):
    """The compare path at half the step agrees with blocks at the plain one within what a figure is flagged for."""
    scenario = loaded(tmp_path)
    answer = Session(tuning_of(scenario), tmp_path / "notes", workers=1).answer(studies=False)
    (comparison,) = confirmed(scenario, tuning_of(scenario), answer.changes).values()
    for column, name in enumerate(answer.judge.names):
        assert comparison.values["tuned"][name].value == pytest.approx(answer.best.values[0, column], rel=2e-3)
        assert comparison.values["worn"][name].value == pytest.approx(answer.start.values[0, column], rel=2e-3)


@pytest.mark.parametrize("part", [0.1, 0.6, 0.95])
def test_stopped_goes_on_to_the_same_answer(tmp_path, monkeypatch, part):
    """Stopped in the search for the goal, for the front, and in the studies after it."""
    tuning = tuning_of(loaded(tmp_path, trade_off=["front_body_settling_time", "acceleration_rms_driver"]))
    plain, rounds, last = search_module.tried, [], [0]

    def counted(spread, trials):
        if len(rounds) == last[0] > 0:
            raise KeyboardInterrupt
        rounds.append(len(trials))
        return plain(spread, trials)

    monkeypatch.setattr(search_module, "tried", counted)
    whole = Session(tuning, tmp_path / "whole", workers=1).answer()
    # Not before the search has tried anything: with the start alone nothing is best.
    every, rounds[:], last[0] = list(rounds), [], max(round(part * len(rounds)), 2)
    session = Session(tuning, tmp_path / "notes", workers=1)
    with pytest.raises(KeyboardInterrupt):
        session.answer()
    assert session.search.best is not None  # what is told when it is stopped
    with (tmp_path / "notes").open("a", encoding="utf-8") as file:
        file.write('[["worn", [1.0, 20')  # killed in the middle of a line
    last[0] = 0
    again = Session(tuning, tmp_path / "notes", workers=1).answer()
    assert rounds == every  # nothing that was noted is run again, and the rest as it would have been
    assert again.trial == whole.trial
    assert np.array_equal(again.best.values, whole.best.values)
    assert [trial for trial, _ in again.front] == [trial for trial, _ in whole.front]
    assert again.tries == whole.tries


def test_asked_again_it_is_the_same_answer_with_nothing_to_do(tmp_path, monkeypatch):
    tuning = tuning_of(loaded(tmp_path, trade_off=["front_body_settling_time", "acceleration_rms_driver"]))
    whole = Session(tuning, tmp_path / "notes", workers=1).answer()
    monkeypatch.setattr(search_module, "tried", lambda *_: pytest.fail("everything is noted"))
    again = Session(tuning, tmp_path / "notes", workers=1).answer()
    assert again.trial == whole.trial
    assert [trial for trial, _ in again.front] == [trial for trial, _ in whole.front]


def test_tuned_file_is_compared_by_the_same_command(tmp_path, capsys):
    """From the shell: everything is written, and the tuned set-up's file gives the figures that were told."""
    path = written(tmp_path, trade_off=["front_body_settling_time", "acceleration_rms_driver"])
    assert main(["tune", str(path), "--outputs", str(tmp_path / "out"), "--workers", "1"]) == 0
    said = capsys.readouterr().out
    for words in (
        "Set front force × ",
        "(1 case, ",
        "as good",
        "single change",
        "scatter 10 %",
        "hot",
        "better than 'worn' in ",
    ):
        assert words in said
    folder = tmp_path / "out" / "push_tuned"
    assert {p.name for p in folder.iterdir()} == {
        "tuned.yaml", "tuned.csv", "trade_off.csv", "single_changes.csv", "record.json", "report.html", *(
            f"{name}.{kind}" for name in ("trade_off", "single_changes", "holding") for kind in ("png", "svg")
        ), *(f"{axle}_main.{kind}" for axle in ("front", "rear") for kind in ("csv", "pdf", "png")),
        *(f"{axle}_main_forces.csv" for axle in ("front", "rear")),
    }  # fmt: skip
    beside = tmp_path / "out" / "push_tuned_as_the_scenario_drives_it"
    assert (beside / "verdict.png").exists()
    first = (beside / "summary.csv").read_text(encoding="utf-8")
    assert main(["compare", str(folder / "tuned.yaml"), "--outputs", str(tmp_path / "again"), "--no-plots"]) == 0
    again = (tmp_path / "again" / "push_tuned_tuned" / "summary.csv").read_text(encoding="utf-8")

    def column(text, name):
        rows = [line.split(",") for line in text.splitlines()]
        place = next(i for i, title in enumerate(rows[0]) if title.strip('"') == name)
        return {row[0]: row[place] for row in rows[1:]}

    assert column(first, "tuned") == column(again, "tuned")
    assert len(column(first, "tuned")) > 20
    assert not list((tmp_path / "out").glob(".*"))


def test_no_goal_reachable_says_what_stops_it_and_the_nearest(tmp_path, capsys):
    path = written(
        tmp_path, limits={"front_body_settling_time": {"at_most": "1 ms"}, "bounce_overshoot": {"at_most": "300 %"}}
    )
    assert main(["tune", str(path), "--outputs", str(tmp_path / "out"), "--workers", "1", "--no-plots"]) == 3
    said = capsys.readouterr().out
    assert "NO GOAL REACHABLE" in said
    assert "Stopped by: Body over front axle: settling time: at most 0.001 s" in said.replace("\n", " ")
    assert "nearest" in said
    # What the start breaks comes before all else that is said of the answer.
    assert "'worn' breaks the limit: Body over front axle: settling time: " in said
    assert said.index("'worn' breaks the limit") < said.index("NO GOAL REACHABLE")
    assert "s, at most 0.001 s." in said.replace("\n", " ")
    record = json.loads((tmp_path / "out" / "push_tuned" / "record.json").read_text(encoding="utf-8"))
    assert record["keeps every limit"] is False


def test_limits_are_kept_and_told_when_they_bind(tmp_path):
    """A limit between what the free search finds and what is there now."""
    free = Session(tuning_of(loaded(tmp_path)), tmp_path / "one", workers=1).answer(studies=False)
    column = free.judge.names.index("front_body_settling_time")
    value = 1.5 * free.best.values[0, column]
    move = {"front force": TUNE["move"]["front force"]}
    tuning = tuning_of(
        loaded(
            tmp_path,
            move=move,
            goal={"front_main_rebound_speed": 1},
            limits={"front_body_settling_time": {"at_most": f"{value} s"}},
        )
    )
    with pytest.raises(InputError, match="no better way"):
        Session(tuning, tmp_path / "two", workers=1)
    tuning = tuning_of(loaded(
        tmp_path, move=move, goal={"acceleration_peak_driver": 1}, generations=6,
        limits={"front_body_settling_time": {"at_most": f"{value} s"}},
    ))  # fmt: skip
    held = Session(tuning, tmp_path / "two", workers=1).answer(studies=False)
    assert held.reached
    assert held.best.values[0, held.judge.names.index("front_body_settling_time")] <= value * (1 + 1e-9)


def test_whole_numbers_tables_and_splits_move(tmp_path):
    table = {"kind": "table", "compression": [{"speed": "0.1 m/s", "force": "200 N"}, {"speed": "0.5 m/s", "force": "600 N"}],
             "rebound": [{"speed": "0.1 m/s", "force": "400 N"}, {"speed": "0.5 m/s", "force": "900 N"}]}  # fmt: skip
    scenario = loaded(
        tmp_path, setups={"worn": {"front.dampers.main.valving": table}},
        move={
            "count": {"kind": "value", "path": "front.dampers.main.count", "low": 2, "high": 4},
            "point": {"kind": "value", "path": "front.dampers.main.valving.compression.1.force", "low": "300 N", "high": "900 N"},
            "split": {"kind": "split", "path": "front.dampers.main.valving", "low": 1, "high": 3},
            "lean": {"kind": "value", "path": "rear.dampers.main.lean_inward", "low": "0 mm", "high": "150 mm"},
            "mount": {"kind": "value", "path": "rear.dampers.main.body.behind_front_axle", "low": "2.6 m", "high": "2.8 m"},
        },
    )  # fmt: skip
    tuning = tuning_of(scenario)
    assert [m.whole for m in tuning.moves] == [True, False, False, False, False]
    session = Session(tuning, tmp_path / "notes", workers=1)
    answer = session.answer(studies=False)
    assert answer.trial.values[0] in (2.0, 3.0, 4.0)
    made = scenario.setups["worn"].changed(answer.changes)
    law = made.front.dampers["main"].valving
    assert made.front.dampers["main"].count == answer.trial.values[0]
    ratio = float(-law.force(-0.1) / law.force(0.1))
    assert ratio == pytest.approx(answer.trial.values[2], rel=2e-3)
    whole = float(law.force(0.1) - law.force(-0.1))
    assert whole == pytest.approx(600.0, rel=1e-3)
    assert made.rear.dampers["main"].lean_inward == pytest.approx(answer.trial.values[3], abs=1e-4)
    # The document's way and the search's way make the same set-up.
    band = band_of(scenario.setups["worn"], scenario.run, answer.judge.names)  # all are asked for the rest of the start
    tracks = Track(scenario.run, answer.judge.names, band=band).outcomes([made])
    values = tracks[0].values
    for fit in fits(made):  # leans and mounts move, so whether the dampers fit is judged too
        values[f"{fit.axle}_{fit.name}_room_in"] = fit.margin_in
        values[f"{fit.axle}_{fit.name}_room_out"] = fit.margin_out
    for column, name in enumerate(answer.judge.names):
        slack = 1e-3 if "_room_" in name else 0.0  # mounts are written in whole millimetres
        assert values[name] == pytest.approx(answer.best.values[0, column], rel=2e-3, abs=slack)
    assert {"rear_main_room_in", "rear_main_room_out"} <= {bound.measure.name for bound in answer.judge.bounds}


def test_scatter_moves_each_side_of_each_set(tmp_path):
    tuning = tuning_of(loaded(tmp_path))
    from sim.study.tuning.trials import Trials

    trials = Trials([(c.run, c.setups) for c in tuning.cases], tuning.moves, ["bounce_overshoot"])
    plain = trials.vehicle(Trial("worn"), tuning.cases[0].setups)
    made = trials.vehicle(Trial("worn", (), (1.1, 0.9, 1.0, 1.2)), tuning.cases[0].setups)
    for axle, bump, rebound in (("front", 1.1, 0.9), ("rear", 1.0, 1.2)):
        one, two = (dict(v.axles)[axle].dampers["main"].valving for v in (plain, made))
        assert two.force(0.3) == pytest.approx(bump * one.force(0.3))
        assert two.force(-0.3) == pytest.approx(rebound * one.force(-0.3))


BAD = [
    ({"start": "nobody"}, "push.yaml", "there is no set-up 'nobody'"),
    ({"goal": {"ride_wk_drivr": 1}}, "tune.goal.ride_wk_drivr", "did you mean 'ride_wk_driver'"),
    ({"limits": {"bounce_overshoot": {}}}, "tune.limits.bounce_overshoot", "either at_most or at_least"),
    ({"limits": {"bounce_overshoot": {"at_most": "5 mm"}}}, "bounce_overshoot", "a share"),
    ({"limits": {"front_left_to_stop": {"at_least": "5"}}}, "front_left_to_stop", "needs a unit"),
    ({"move": {"x": {"kind": "value", "path": "front.dampers.man.count", "low": 2, "high": 4}}}, "tune.move.x", "no 'man'"),
    ({"move": {"x": {"kind": "value", "path": "front.dampers.main.count", "low": 4, "high": 2}}}, "tune.move.x", "less than high"),
    ({"move": {"x": {"kind": "value", "path": "front.dampers.main.lean_inward", "low": "-4 mm", "high": "2 mm"}}}, "tune.move.x",
     "must not be less than 0"),
    ({"move": {"x": {"kind": "value", "path": "front.dampers.main.lean_inward", "low": "4 kg", "high": "2 mm"}}}, "tune.move.x",
     "is not a length"),
    ({"move": {"x": {"kind": "split", "path": "front.dampers.main.count", "low": 1, "high": 2}}}, "tune.move.x", "needs a valving"),
    ({"over": {"full": {"changes": {"loads.stores.mass": "4 kg"}}}}, "tune.over.full", "no 'stores'"),
    ({"over": {"full": {"run": {"kind": "push", "over": "middle", "force": "1 kN"}}}}, "tune.over.full.run", "front"),
    ({"trade_off": ["ride_wk_driver"]}, "tune", "two or three"),
    ({"goal": {"rear_damper_end_hitz": 1}}, "rear_damper_end_hitz", "there is no measure"),
]  # fmt: skip


@pytest.mark.parametrize(("tune", "where", "said"), BAD)
def test_bad_input(tune, where, said, tmp_path, capsys):
    error = refused(tmp_path, capsys, tune)
    assert said in error
    assert where in error


def test_scenario_without_a_tune_section(tmp_path, capsys):
    path = written(tmp_path)
    text = path.read_text(encoding="utf-8")
    path.write_text(text[: text.index("tune:")], encoding="utf-8")
    assert main(["tune", str(path)]) == 2
    assert "no tune section" in capsys.readouterr().err


def test_scenarios_of_the_folder_have_what_they_move(tmp_path):
    scenario = sim.load("scenarios/tune_for_the_track.yaml")
    assert len(tuning_of(scenario).moves) == 5
    assert [case.name for case in tuning_of(scenario).cases] == [
        "track, bed empty",
        "track, bed full",
        "push on the bumper",
    ]
