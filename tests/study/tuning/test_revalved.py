"""Trials whose laws alone move: the same set-ups, lowered to the same records, as by putting each together."""

import numpy as np
import pytest

import sim
from sim.describe.valved import Valved
from sim.errors import InputError
from sim.integrate.many.ready import whole
from sim.lower.lowering import lower
from sim.study.many import Track
from sim.study.tuning.ready import tuning_of
from sim.study.tuning.revalved import Made, Revalving
from sim.study.tuning.trials import Trial, Trials
from tests.study.tuning.cases import WORN, loaded

TABLE = {
    "kind": "table",
    "compression": [{"speed": "0.05 m/s", "force": "90 N"}, {"speed": "0.4 m/s", "force": "260 N"}],
    "rebound": [{"speed": "0.05 m/s", "force": "200 N"}, {"speed": "0.4 m/s", "force": "800 N"}],
}
FRONT, REAR = "front.dampers.main.valving", "rear.dampers.main.valving"
BOTH = {"kind": "scale", "path": [FRONT, REAR], "low": 0.5, "high": 2}
SPLIT = {"kind": "split", "path": FRONT, "low": 1, "high": 4}
KNEES = {
    "kind": "value", "path": [f"{FRONT}.compression.knee", f"{FRONT}.rebound.knee"], "low": "0.05 m/s", "high": "0.3 m/s",
}  # fmt: skip
FEW = {"kind": "scale", "path": f"{FRONT}.rebound.high", "low": 0.5, "high": 2}

MOVES = {
    "one after the other": {"force": BOTH, "split": SPLIT, "knees": KNEES},
    "a number before its law": {"knees": KNEES, "few": FEW, "split": SPLIT, "force": BOTH},
    "one side alone": {"few": FEW},
}


def trials_of(tuning):
    return Trials([(case.run, case.setups) for case in tuning.cases], tuning.moves, ["bounce_overshoot"])


def somewhere(tuning, count=4):
    shares = np.random.default_rng(1).uniform(size=(count, len(tuning.moves)))
    return [tuple(m.at(float(s)) for m, s in zip(tuning.moves, row, strict=True)) for row in shares]


def same(one, other):
    """Tell whether two set-ups are the same, and are lowered to the same records."""
    records = [(s.body, s.axles, s.paths, s.lines, s.points, s.height) for s in (lower(one), lower(other))]
    # By their words: a table keeps arrays, which have no one answer to whether they are the same.
    return repr(one) == repr(other) and one.reference is other.reference and records[0] == records[1]


@pytest.mark.parametrize("moves", MOVES.values(), ids=MOVES)
def test_a_set_up_is_the_one_that_is_put_together(tmp_path, moves):
    tuning = tuning_of(loaded(tmp_path, move=moves))
    trials, setups = trials_of(tuning), tuning.cases[0].setups
    scatter = (1.1, 0.9, 1.0, 1.2)
    wanted = [Trial("worn"), Trial("worn", (), scatter)]
    wanted += [Trial("worn", values, way) for values in somewhere(tuning) for way in ((), scatter)]
    for trial in wanted:
        made = trials._setup(0, trial)
        assert same(whole(made), trials.vehicle(trial, setups))
    # The last of each kind was not put together.
    assert isinstance(made, Valved)


def test_it_stands_and_runs_as_one_that_is_put_together(tmp_path):
    tuning = tuning_of(loaded(tmp_path, move=MOVES["one after the other"]))
    trials, case = trials_of(tuning), tuning.cases[0]
    names = ["front_body_settling_time", "acceleration_rms_driver"]
    wanted = [Trial("worn", values) for values in somewhere(tuning)]
    one = Track(case.run, names).outcomes([trials._setup(0, trial) for trial in wanted])
    other = Track(case.run, names).outcomes([trials.vehicle(trial, case.setups) for trial in wanted])
    for mine, theirs in zip(one, other, strict=True):
        assert mine.values == pytest.approx(theirs.values, rel=1e-9)
        assert mine.flags == theirs.flags


def test_what_moves_beside_laws_and_what_lies_in_a_list_is_put_together(tmp_path):
    elsewhere = {"kind": "value", "path": "front.dampers.main.lean_inward", "low": "10 mm", "high": "100 mm"}
    point = {"kind": "value", "path": f"{FRONT}.compression.1.force", "low": "200 N", "high": "400 N"}
    for moves in ({"force": BOTH, "lean": elsewhere}, {"point": point}):
        tuning = tuning_of(loaded(tmp_path, move=moves, setups={"worn": {FRONT: TABLE}}))
        trials, setups = trials_of(tuning), tuning.cases[0].setups
        for values in somewhere(tuning):
            made = trials._setup(0, Trial("worn", values))
            assert not isinstance(made, Valved)
            assert same(made, trials.vehicle(Trial("worn", values), setups))


def test_what_is_refused_is_refused_in_the_same_words(tmp_path):
    tuning = tuning_of(loaded(tmp_path, move={"knees": KNEES}))
    trials = trials_of(tuning)
    said = []
    for way in (lambda one: trials._setup(0, one), lambda one: trials.vehicle(one, tuning.cases[0].setups)):
        with pytest.raises(InputError) as error:
            way(Trial("worn", (-0.1,)))
        said.append(str(error.value))
    assert said[0] == said[1]
    assert "knee" in said[0]


def test_cases_of_the_same_laws_share_what_is_made_of_them(tmp_path):
    stores = {"loads.stores": {"mass": "440 kg", "place": {"behind_front_axle": "2.75 m", "above_ground": "1.2 m"}}}
    softer = {"front.dampers.main.valving.compression.low": "0.5 kN s/m"}
    tuning = tuning_of(
        loaded(
            tmp_path, move=MOVES["one after the other"], over={"empty": {}, "full": {"changes": stores}, "softer": {"changes": softer}}
        )
    )  # fmt: skip
    trials, (values, *_) = trials_of(tuning), somewhere(tuning)
    for _ in range(2):  # the first of each case is put together
        made = [trials._setup(number, Trial("worn", values)) for number in range(3)]
    for one, case in zip(made, tuning.cases, strict=True):
        assert same(whole(one), trials.vehicle(Trial("worn", values), case.setups))
    laws = [one.sets["front", "main"].valving for one in made]
    assert laws[0] is laws[1]
    assert laws[0] != laws[2]


def test_laws_that_do_not_move_stay_the_very_objects(tmp_path):
    truck = sim.load("scenarios/two_or_four.yaml").setups["two front"]
    tuning = tuning_of(loaded(tmp_path, move={"few": FEW}, setups={"worn": {FRONT: WORN}}))
    moved = Revalving(tuning.cases[0].setups["worn"], Made(tuning.cases[0].setups["worn"], tuning.moves))
    moved.setup((1.2,), ())  # the first one is put together and compared
    assert list(moved.setup((1.3,), ()).sets) == [("front", "main")]
    as_it_is = Revalving(truck, Made(truck, ()))
    assert as_it_is.setup((), ()) is truck
