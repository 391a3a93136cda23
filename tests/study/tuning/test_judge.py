"""How trials are judged, by numbers that can be checked in the head."""

import numpy as np
import pytest

from sim.describe.asked.tune import Tune
from sim.errors import InputError
from sim.measure.measure import Measure
from sim.study.tuning.judge import Judge, read_value
from sim.study.tuning.trials import Tried

MOVE = {"x": {"kind": "scale", "path": "front.dampers.main.valving", "low": 0.5, "high": 2}}
RIDE = Measure("ride", "Ride", "acceleration", "less", float, "")
LEFT = Measure("left", "Left to the stop", "length", "more", float, "")
OIL = Measure("oil", "Hottest oil", "temperature", "less", float, "")


def tried(*rows, past=0.0):
    return Tried(np.array(rows, float), np.full(len(rows), past), ("",) * len(rows))


def judge(start, measures, weights=(1.0, 3.0), zeros=(0.0, 0.0), **asked):
    return Judge(Tune.model_validate({"move": MOVE, **asked}), measures, np.array(weights), start, zeros)


def test_weighted_and_worst_case():
    """Of one half in a case of weight 1 and one and a quarter in one of 3: (0.5 + 3 · 1.25) / 4, or 1.25."""
    start, other = tried([2.0], [4.0]), tried([1.0], [5.0])
    assert judge(start, [RIDE], goal={"ride": 1}).cost([start, other]) == pytest.approx([1.0, 4.25 / 4])
    worst = judge(start, [RIDE], goal={"ride": 1}, judge="worst case")
    assert worst.cost([start, other]) == pytest.approx([1.0, 1.25])
    assert worst.plain("ride", other) == 5.0


def test_more_is_better_where_it_says_so_and_goals_add_by_weight():
    start, other = tried([2.0, 0.1], [2.0, 0.1]), tried([1.0, 0.2], [1.0, 0.2])
    both = judge(start, [RIDE, LEFT], goal={"ride": 1, "left": 3})
    # The start counts as 1, as everything that is said of a goal has it; 0.2 is better than 0.1 by the whole of it.
    assert both.cost([start, other]) == pytest.approx([1.0, (0.5 + 3 * 0.0) / 4])


def test_travel_left_counts_from_the_start_also_where_the_stop_is_squeezed():
    """20 mm into the stop now: 10 mm into it is better by half of that, 10 mm left by one and a half, 30 mm into it worse by half."""
    start = tried([-0.020])
    left = judge(start, [LEFT], weights=(1.0,), zeros=(0.0,), goal={"left": 1})
    others = [tried([one]) for one in (-0.010, 0.010, -0.030)]
    assert left.cost([start, *others]) == pytest.approx([1.0, 0.5, -0.5, 1.5])
    # What never came to an end has no size of its own: every end is better than none.
    ride = judge(tried([np.inf]), [RIDE], weights=(1.0,), zeros=(0.0,), goal={"ride": 1})
    assert ride.cost([tried([1.0])])[0] < ride.cost([tried([2.0])])[0] < ride.cost([tried([np.inf])])[0]


def test_warmth_counts_from_the_air():
    """At 303.15 K of air, 353.15 K is half of what 403.15 K is; and half of now is that limit."""
    start, other = tried([np.nan], [403.15]), tried([np.nan], [353.15])
    limits = {"oil": {"at_most": "50 % of now"}}
    warm = judge(start, [OIL], zeros=(0.0, 303.15), goal={"oil": 1}, limits=limits)
    assert warm.bounds[0].value == pytest.approx(353.15)
    assert warm.cost([other]) == pytest.approx([0.5])
    assert warm.broken([start])[0, 0] == pytest.approx(1.0)  # missed by all that it may warm
    assert ", has 130 °C (266 °F)" in warm.stopping(start)[0][0]


def test_a_share_of_now_says_that_it_is_of_the_worst_case():
    """Rides of 2 and 3: 100 % of now is 3 for both, which lets the first case get worse by half."""
    limits = {"ride": {"at_most": "100 % of now"}}
    two = judge(tried([2.0, 0.1], [3.0, 0.1]), [RIDE, LEFT], goal={"ride": 1}, limits=limits)
    assert two.bounds[0].value == 3.0
    assert two.bounds[0].words.endswith(" (100 % of now in its worst case)")
    assert two.stopping(tried([2.0, 0.1], [3.3, 0.1]))[0][0].count("(100 % of now in its worst case)") == 1
    # What reads the same in every case needs no word, nor does a value.
    alike = judge(tried([2.0, 0.1], [2.0, 0.1]), [RIDE, LEFT], goal={"ride": 1}, limits=limits)
    assert "of now" not in alike.bounds[0].words
    value = judge(tried([2.0, 0.1], [3.0, 0.1]), [RIDE, LEFT], goal={"ride": 1}, limits={"left": {"at_least": "50 mm"}})
    assert "of now" not in value.bounds[0].words


def test_a_count_at_its_limit_binds_and_one_below_it_does_not():
    """The fourth hit breaks a limit of three; a limit of 3.5 is broken by the fourth as well."""
    hits = Measure("hits", "Hits", "count", "less", float, "")
    start = tried([6.0], [6.0])
    for most in (3, 3.5):
        known = judge(start, [hits], goal={"hits": 1}, limits={"hits": {"at_most": most}})
        assert [value for _, value in known.binding(tried([1.0], [3.0]))] == [3.0]
        assert known.binding(tried([1.0], [2.0])) == []


def test_a_limit_left_out_costs_nothing():
    """A ride of half of now breaks its limit on what is left to the stop: without that limit only the goal counts."""
    start, past = tried([2.0, 0.1], [2.0, 0.1]), tried([1.0, 0.05], [1.0, 0.05])
    known = judge(
        start, [RIDE, LEFT], goal={"ride": 1}, limits={"left": {"at_least": "0.1 m"}, "ride": {"at_most": "2 m/s^2"}}
    )
    assert known.cost([past])[0] > 1e3
    places = [bound.measure.name for bound in known.bounds]
    assert known.cost([past], without=places.index("left")) == pytest.approx([0.5])
    assert known.cost([past], without=places.index("ride"))[0] > 1e3


def test_limits_that_a_set_up_breaks_have_the_value_farthest_past_them():
    """Of 1.5 and 1.9 against at most 1.2, 1.9; a length left of 30 mm keeps at least 20 mm."""
    start, kept = tried([1.5, 0.03], [1.9, 0.03]), tried([1.2, 0.02], [1.0, 0.03])
    limits = {"ride": {"at_most": "1.2 m/s^2"}, "left": {"at_least": "20 mm"}}
    both = judge(start, [RIDE, LEFT], goal={"ride": 1}, limits=limits)
    assert [(bound.measure.name, value) for bound, value in both.breaks(start)] == [("ride", 1.9)]
    assert both.breaks(kept) == []


def test_whatever_breaks_a_limit_comes_after_whatever_keeps_it():
    start, kept, broken = tried([2.0], [2.0]), tried([500.0], [500.0]), tried([0.1], [0.1], past=0.001)
    costs = judge(start, [RIDE], goal={"ride": 1}).cost([kept, broken])
    assert costs[0] < costs[1]


@pytest.mark.parametrize(("measure", "words"), [(Measure("hits", "Hits", "number", "less", float, ""), "a number, or a share"), (LEFT, "a value with its unit, or a share")])  # fmt: skip
def test_who_writes_no_value_is_told_whether_it_has_a_unit(measure, words):
    with pytest.raises(InputError) as error:
        read_value("two", measure)
    assert error.value.problems[0].suggestion.startswith(words)
