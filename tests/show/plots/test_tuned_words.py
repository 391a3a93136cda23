"""What is said of a tuning beside its tables: of the start that breaks a limit, of single changes that do not help, of doubt."""

import re
from dataclasses import replace
from types import SimpleNamespace

import pytest

import sim
from sim.cli.tune import _doubts_said
from sim.measure.comparison import Comparison
from sim.measure.measure import Measure
from sim.show.looks import LOOKS
from sim.show.plots import trade_off
from sim.show.plots.single_changes import none_helps
from sim.show.plots.trade_off import _title as trade_off_title
from sim.show.report.tuning_table import broken_in_full, first
from sim.show.report.tuning_words import _damping, _each_by_its_axle, _flatness, _limits, single_said
from sim.study.tuning.confirming import Confirmed
from sim.study.tuning.moves import Moving
from sim.study.tuning.session import Answer
from sim.study.tuning.studies import Flatness, Single, helping, single_changes
from sim.study.tuning.trials import Trial
from tests.study.tuning.test_judge import LEFT, RIDE, judge, tried
from tests.synthetic import SCENARIOS


def answer(best, limits, reached=True):
    start = tried([2.0], [2.0])
    known = judge(start, [RIDE], goal={"ride": 1}, limits=limits)
    kinds = {"front force": "scale", "rear split": "split", "rear force": "scale"}
    moves = [Moving(name, SimpleNamespace(kind=kind), 0.5, 2.0, 1.0, False, "number") for name, kind in kinds.items()]  # type: ignore[arg-type]
    tuning = SimpleNamespace(start="as it is", cases=("one", "two"), moves=moves, asked=known.tune)
    trial = Trial("as it is", (1.25, 1.5, 1.0))
    return Answer(tuning, known, start, best, trial, reached, {}, {}, {}, {}, [], [], [], [], 40)  # type: ignore[arg-type]


def test_a_start_that_breaks_a_limit_is_said_first():
    said = first(answer(tried([1.0], [1.0]), {"ride": {"at_most": "1.2 m/s^2"}}))
    assert said.startswith("'as it is' breaks the limit: Ride: 2.00 m/s²")
    assert ", at most 1.20 m/s²" in said
    assert "(2 cases, 40 set-ups tried)" in said


def test_the_first_sentence_says_what_to_set():
    """Half of the ride is 50 % better; a ride of 2.02 instead of 2 is 1 % worse."""
    said = first(answer(tried([1.0], [1.0]), {}))
    assert said == (
        "Set front force × 1.25; rear split 1.50, not 1.00; rear force as now: the goal is 50 % better than with 'as it is' (2 cases, 40 set-ups tried)."
    )
    said = first(answer(tried([2.02], [2.02]), {"ride": {"at_most": "3 m/s^2"}}))
    assert "rear force as now: every limit is kept, and the goal is 1 % worse than with 'as it is'" in said
    # 1.99 instead of 2 is 0.5 % better, which nobody feels; a start that breaks a limit wants the answer all the same.
    felt = "0.5 % better, less than anyone feels (1 %), than with 'as it is'"
    assert felt in first(answer(tried([1.99], [1.99]), {}))
    assert felt not in first(answer(tried([1.99], [1.99]), {"ride": {"at_most": "1.995 m/s^2"}}))
    assert "the goal is as good as with" in first(answer(tried([2.0], [2.0]), {}))
    # Nobody orders dampers for what nobody feels; to keep a limit he does.
    for ride, limits, head in (
        (1.99, {}, "Nothing need be changed. The best found: front force × 1.25; rear split 1.50"),
        (2.0, {}, "Nothing need be changed. The best found: "),
        (1.97, {}, "Set front force × 1.25; "),
        (1.99, {"ride": {"at_most": "1.995 m/s^2"}}, "'as it is' breaks the limit: "),
    ):
        said = first(answer(tried([ride], [ride]), limits))
        assert said.startswith(head)
        assert ("Set front force × 1.25" in said) == ("Nothing need" not in said)


def test_how_closely_a_value_is_to_be_met_is_said_by_its_range():
    one = answer(tried([1.0], [1.0]), {})
    near, wide = (Flatness(one.tuning.moves[n], low, high) for n, (low, high) in enumerate(((1.1, 1.3), (0.6, 1.9))))
    text = " ".join(_flatness(replace(one, flat=[near, wide])))
    assert "To be met within these: front force 1.10 to 1.30. Past them the goal is more than 1 % worse" in text
    assert "The builder may round: rear split." in text


@pytest.mark.parametrize(
    ("best", "said"),
    [
        # 2 m/s² and 100 mm before: a tenth more ride for twice the travel, then a quarter less travel for half the ride.
        ([2.2, 0.2], "better than with 'as it is', though Ride is 10 % worse (2 cases"),
        ([1.0, 0.075], "better than with 'as it is', though Left to the stop is 25 % worse (2 cases"),
        # Less than anyone feels, and nothing lost at all.
        ([2.01, 0.2], "better than with 'as it is' (2 cases"),
        ([1.0, 0.1], "better than with 'as it is' (2 cases"),
        ([1.0, float("nan")], "though Left to the stop has no value any more"),
    ],
)
def test_what_got_worse_for_the_other_goals_is_said_with_what_is_better(best, said):
    start, found = tried([2.0, 0.1], [2.0, 0.1]), tried(best, best)
    known = judge(start, [RIDE, LEFT], goal={"ride": 1, "left": 1})
    one = answer(found, {})
    assert said in first(replace(one, judge=known, start=start))


def test_a_limit_that_breaks_in_full_precision_is_said_before_all_else():
    """The search saw 1.19 m/s² under a limit of 1.2; in full it is 1.21. What the search saw broken it names itself."""
    limit = {"ride": {"at_most": "1.2 m/s^2"}}
    in_full = {"one": SimpleNamespace(values={"as it is": {}, "tuned": {"ride": SimpleNamespace(value=1.21)}})}
    (said,) = broken_in_full(answer(tried([1.19], [1.19]), limit), in_full)  # type: ignore[arg-type]
    assert said.startswith("BROKEN in full precision: Ride: at most 1.20 m/s²")
    assert "in case 'one' it has 1.21 m/s²" in said
    assert broken_in_full(answer(tried([1.3], [1.3]), limit), in_full) == []  # type: ignore[arg-type]
    in_full["one"].values["tuned"]["ride"].value = 1.2
    assert broken_in_full(answer(tried([1.19], [1.19]), limit), in_full) == []  # type: ignore[arg-type]


def test_how_much_the_body_is_damped_then_is_said_beside_what_is_usual():
    """Twice the dampers in front are twice the ratio there; without anything that anybody would notice nothing is said."""
    two = sim.load(SCENARIOS / "two_or_four.yaml").setups["two front"]
    cases = [SimpleNamespace(setups={"as it is": two})]
    found = SimpleNamespace(
        tuning=SimpleNamespace(start="as it is", cases=cases), changes={"front.dampers.main.count": 4}
    )
    (said,) = _damping(found)
    known = re.fullmatch(
        r"Damping ratio of the body for small movements: (.*) over the front axle \((.*) now\) and (.*) over the rear axle \((.*) now\); "
        r"(.*), usual 0.20 to 0.40\.", said,
    )  # fmt: skip
    front, before, rear, same = (float(known[number]) for number in range(1, 5))
    assert front == pytest.approx(2.0 * before, rel=0.05)  # the friction of seals is in it too
    assert rear == pytest.approx(same, abs=0.02)
    word = "stiff" if front > 0.7 else "firmly damped" if front > 0.4 else "as usual"
    assert 0.2 < rear < 0.4 < front
    assert known[5] == f"front {word}, rear as usual"
    found.changes = {"front.dampers.main.count": 2}
    assert _damping(found) == []


def test_one_word_for_both_axles_is_said_once():
    assert _each_by_its_axle({"front": "as usual", "rear": "as usual"}) == "as usual"
    assert _each_by_its_axle({"front": "stiff"}) == "stiff"


def single(gain, least, most, **more):
    return Single(Moving("rear force", None, 0.5, 2.0, 1.0, False, "number"), 1.3, gain, least, most, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("one", "words"),
    [
        (single(0.05, 0.02, 0.08), "The single change that helps most: rear force to 1.30, goal 5 % better"),
        # Less than AS_GOOD, of which it is said that nobody feels it.
        (single(0.0055, 0.001, 0.008), "The single change that helps most: rear force to 1.30, goal 0.55 % better, less than anyone feels (1 %)"),
        (single(0.05, -0.01, 0.08), "The single change that helps most: rear force to 1.30, goal 5 % better, too close to call"),
        (single(0.05, 0.02, 0.08, kept=False), "No single change keeps every limit; the most helpful: rear force to 1.30, goal 5 % better"),
        (single(-0.02, -0.03, 0.0, mends=True), "No single change keeps every limit and betters the goal: rear force to 1.30 keeps them all, goal 2 % worse"),
        (single(0.02, 0.01, 0.03, mends=True), "The single change that helps most: rear force to 1.30, with which every limit is kept; goal 2 % better"),
    ],
)  # fmt: skip
def test_a_single_change_is_worth_what_anyone_would_feel_of_it(one, words):
    assert single_said(one) == words


def test_a_change_that_mends_the_limits_comes_before_one_that_gains_more():
    mends = single(-0.02, -0.03, 0.0, mends=True)
    assert helping([mends, single(0.05, 0.02, 0.08, kept=False)]) == (mends, None)
    assert helping([mends, single(0.05, 0.02, 0.08, faults="x", kept=False)]) == (mends, None)


def test_of_single_changes_the_one_that_keeps_the_limits_is_found():
    """Goal = soft + tube, limit: oil = 140 - 40 tube, at most 115. The tube alone mends it, at 0.625 and more, the softness does not."""
    moves = [Moving(name, None, 0.0, 1.0, now, False, "number") for name, now in (("soft", 0.5), ("tube", 0.0))]  # type: ignore[arg-type]

    def of(trial):
        soft, tube = trial.values or (0.5, 0.0)
        factor = trial.scatter[0] if trial.scatter else 1.0
        return tried([factor * (1.0 + soft + tube), 140.0 - 40.0 * tube])

    measures = [RIDE, Measure("oil", "Oil", "number", "less", float, "")]
    known = judge(
        of(Trial("as it is")),
        measures,
        weights=(1.0,),
        zeros=(0.0,),
        goal={"ride": 1},
        limits={"oil": {"at_most": 115}},
    )
    truck = sim.load(SCENARIOS / "vehicles" / "hut_supply_truck.yaml")
    case = SimpleNamespace(setups={"as it is": truck})
    asked = SimpleNamespace(hold=SimpleNamespace(scatter=0.1, hot=0.8, cold=1.25))
    tuning = SimpleNamespace(moves=moves, start="as it is", cases=[case], asked=asked)
    search = SimpleNamespace(tuning=tuning, judge=known, trying=lambda trials: [of(trial) for trial in trials])
    tube, soft = single_changes(search)  # type: ignore[arg-type]
    # eleven places: 0.7 is the first past 0.625; 1.5 + 0.7 is 47 % worse than 1.5
    assert (tube.move.name, tube.value, tube.kept, tube.mends) == ("tube", pytest.approx(0.7), True, True)
    assert tube.gain == pytest.approx(-0.7 / 1.5)
    assert (soft.move.name, soft.value, soft.kept, soft.mends) == ("soft", 0.0, False, False)
    assert soft.gain == pytest.approx(0.5 / 1.5)


def test_set_ups_outside_the_limits_are_named_beneath_a_trade_off():
    """A ride of 1.5 and less is asked for; the start has 2."""
    known = answer(tried([1.0], [1.0]), {"ride": {"at_most": "1.5 m/s^2"}})
    known.tuning.asked = SimpleNamespace(trade_off=("ride", "ride"), judge="weighted")
    front = [(Trial("as it is"), tried([1.0], [1.0])), (Trial("as it is"), tried([1.2], [1.2]))]
    known = replace(known, front=front, named={"as it is": known.start, "gentle": tried([1.4], [1.4])})
    page = " ".join(text.get_text() for text in trade_off.figure(known, "tuned").texts)
    assert "Outside the limits: 1." in page
    free = replace(known, judge=answer(tried([1.0], [1.0]), {}).judge)
    page = " ".join(text.get_text() for text in trade_off.figure(replace(free, tuning=known.tuning), "tuned").texts)
    assert "Outside the limits" not in page


def test_a_trade_off_says_over_what_its_figures_are():
    """Means over two cases, which stand in no table."""
    known = answer(tried([1.0], [1.0]), {})
    marked = {"as it is": {"ride": 2.0}, "tuned": {"ride": 1.0}}
    said = trade_off_title(known, {"ride": [0.5, 1.0]}, marked, "ride", "ride")
    assert said.startswith("Mean of 2 cases: ride 2 m/s² now, 1 m/s² tuned, 0.5 m/s² at best within the limits; ")


@pytest.mark.parametrize(
    ("best", "words"),
    [(1.0, "the goal gets 50 % better, but only by several at once"), (2.0, "neither do several at once")],
)
def test_several_changes_are_said_to_help_only_where_they_do(best, words):
    """Half of the ride is 50 % better; the same ride is not."""
    said = none_helps(answer(tried([best], [best]), {}))
    assert words in said
    assert ("only by several" in said) == (best == 1.0)


def test_no_set_up_has_the_square_that_means_flagged():
    assert "s" not in {one.marker for one in LOOKS}


def test_hours_are_spoken_of_only_for_hours_and_with_doubt_on():
    doubtful = sim.load(SCENARIOS / "vehicles" / "hut_supply_truck.yaml").changed({"body.mass": "1640 kg +- 20 kg"})
    pair = SimpleNamespace(setups={"as it is": doubtful}, run=None)
    known = SimpleNamespace(judge=SimpleNamespace(measures=()))
    seconds = Confirmed(pair, Comparison(pair, {}, {}), {})
    hours = Confirmed(pair, {}, {})
    assert _doubts_said(known, {"push": seconds, "day": hours}, {}, False) == [
        "in doubt, case 'day': hours of track are run at central values; no band is known."
    ]
    (off,) = _doubts_said(known, {"push": seconds, "day": hours}, {}, True)
    assert off.startswith("Doubt was switched off; 1 number is estimated")


def test_a_limit_that_costs_holds_the_answer_back_though_it_is_kept_with_room():
    """A search seldom lands on a limit: of now the goal is 0.5, and 0.3 without the limit, which is kept by a tenth of it."""
    own = answer(tried([1.0], [1.0]), {"ride": {"at_most": "1.1 m/s^2"}})
    (limit,) = [bound.words for bound in own.judge.bounds]
    assert _limits(own) == ["None of the limits holds it back."]
    assert _limits(replace(own, without={limit: 0.498})) == ["None of the limits holds it back."]
    (said,) = _limits(replace(own, without={limit: 0.3}))
    assert said.startswith(f"Holds it back: {limit} (has 1.00 m/s²")
    assert said.endswith("without it the goal could be better by 20 % of what it is now.")


def test_a_limit_that_gains_little_says_where_the_moves_would_be_without_it():
    """A limit that is met on its very value: 0.35 % of the goal, but the rear force goes from 1.48 to 1.3."""
    own = answer(tried([1.0], [1.0]), {"ride": {"at_most": "1 m/s^2"}})
    (limit,) = [bound.words for bound in own.judge.bounds]
    own = replace(own, trial=Trial("as it is", (1.25, 1.5, 1.48)), without={limit: 0.4965})
    (said,) = _limits(replace(own, elsewhere={limit: Trial("as it is", (1.25, 1.5, 1.3))}))
    assert said.endswith(
        "; without it the search sets rear force to 1.30 instead of 1.48, and the goal could be better by 0.35 % of what it is now."
    )
    (said,) = _limits(replace(own, elsewhere={limit: Trial("as it is", (1.251, 1.5, 1.48))}))
    assert "; without it the goal could be better by" in said


def test_a_limit_that_is_broken_by_less_than_is_shown_says_by_how_much():
    said = first(answer(tried([1.0], [1.0]), {"ride": {"at_most": "1.9999 m/s^2"}}))
    assert "Ride: 2.00 m/s² (0.204 g), at most 2.00 m/s² (0.204 g) (0.0001" in said
