"""What is said of a tuning beside its tables: of the start that breaks a limit, of single changes that do not help, of doubt."""

from types import SimpleNamespace

import pytest

import sim
from sim.cli.tune import _doubts_said
from sim.measure.comparison import Comparison
from sim.show.looks import LOOKS
from sim.show.plots.single_changes import none_helps
from sim.show.report.tuning_table import first
from sim.study.tuning.confirming import Confirmed
from sim.study.tuning.session import Answer
from tests.study.tuning.test_judge import RIDE, judge, tried
from tests.synthetic import SCENARIOS


def answer(best, limits, reached=True):
    start = tried([2.0], [2.0])
    known = judge(start, [RIDE], goal={"ride": 1}, limits=limits)
    tuning = SimpleNamespace(start="as it is", cases=("one", "two"))
    return Answer(tuning, known, start, best, None, reached, {}, {}, {}, {}, [], [], [], [], 40)  # type: ignore[arg-type]


def test_a_start_that_breaks_a_limit_is_said_first():
    said = first(answer(tried([1.0], [1.0]), {"ride": {"at_most": "1.2 m/s^2"}}))
    assert said.startswith("'as it is' breaks the limit: Ride: 2.00 m/s²")
    assert ", at most 1.20 m/s²" in said
    assert "Tuned over 2 case(s)" in said
    assert first(answer(tried([1.0], [1.0]), {})).startswith("Tuned over 2 case(s)")


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
