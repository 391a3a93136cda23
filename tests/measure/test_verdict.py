"""Comparisons whose verdict is known, worked out by hand from the table of smallest noticed differences in docs/reading-results.md.

The sizes: a little from once the smallest difference, clearly from twice, much from four times; a share is of the smaller figure.
"""

from dataclasses import replace
from math import inf, nan
from types import SimpleNamespace

import numpy as np
import pytest

from sim.integrate.status import Flag
from sim.integrate.traces import DriveTrace, WheelTrace
from sim.measure import measures_for
from sim.measure.band import Band
from sim.measure.comparison import Comparison
from sim.measure.noticed import NOTICED
from sim.measure.references import reference_of
from sim.measure.table import Value, evaluate
from sim.measure.verdict import carrying, kind_of, verdict
from sim.show.report.verdict_table import cell
from sim.show.report.verdict_words import does
from tests.synthetic import still_axle, still_run, synthetic_run, with_axle

TIME = np.arange(101) * 1e-3

GRIP = ("front_tyre_load_variation", "rear_tyre_load_variation", "front_tyre_off_ground", "rear_tyre_off_ground")
RIDE = ("ride_wk_driver", "ride_mtvv_driver")
TRAVEL = ("front_left_to_stop", "rear_left_to_stop", "front_stop_hits", "rear_stop_hits")
SETTLING = ("body_settling_time",)

USUAL = {
    **dict.fromkeys(GRIP[:2], 0.40), **dict.fromkeys(GRIP[2:], 0.05),
    RIDE[0]: 1.00, RIDE[1]: 2.00,
    **dict.fromkeys(TRAVEL[:2], 0.030), **dict.fromkeys(TRAVEL[2:], 0.0),
    SETTLING[0]: 1.00,
}  # fmt: skip
"""A truck on a track: two fifths of load variation, 5 % of the time off the ground, 30 mm left to the stops, a second to settle."""

BOTTOMED = Flag("damper_end", 1.0, "front damper 'main'", "The front damper 'main' met its end.")
BROKE = Flag("not_finite", 1.0, "body", "The run blew up.")


def run_of(speed_m_per_s=7.0, flags=(), bare=False):
    run = still_run(TIME, speed_m_per_s=speed_m_per_s, flags=tuple(flags))
    return replace(run, rear=still_axle("rear", TIME, ())) if bare else run


def compared(others, base=USUAL, flags=None, bare=(), reference=None, errors=None, speed_m_per_s=7.0):
    """Return a comparison of set-ups with given figures; `base` is of the set-up "as it is", the others say what differs."""
    figures = {"as it is": base} | {name: base | changes for name, changes in others.items()}
    runs = {name: run_of(speed_m_per_s, (flags or {}).get(name, ()), name in bare) for name in figures}
    values = {}
    for name, run in runs.items():
        given = {
            one: Value(value, (errors or {}).get(one, 1e-9), flagged=False) for one, value in figures[name].items()
        }
        values[name] = evaluate(run) | given
    scenario = SimpleNamespace(name="x", question="", path=None, show=None, reference=reference)
    return Comparison(scenario, runs, values)


def against(changes, doubt=None, **more):
    """Return what one set-up comes to against the usual one."""
    found = verdict(compared({"other": changes}, **more), None if doubt is None else {"other": doubt})
    return found.others["other"]


def said(changes, **more):
    """Return outcome and size by block of one set-up against the usual one."""
    return {
        block: " ".join(dict.fromkeys((part.size, part.outcome)))
        for block, part in against(changes, **more).parts.items()
    }


ALL_SAME = dict.fromkeys(("grip", "ride", "travel", "settling"), "same")

KNOWN = {
    # equal, and what nobody would notice
    "equal": ({}, {}),
    "equal but for 0.1 %": ({name: value * 1.001 for name, value in USUAL.items()}, {}),
    "every share 9 % up": ({name: USUAL[name] * 1.09 for name in (*GRIP, *RIDE)}, {}),
    "half a pair of stop hits": ({"front_stop_hits": 1.0}, {}),
    # ride: 10 %, of the smaller figure
    "ride 9 % rougher": ({RIDE[0]: 1.09}, {}),
    "ride 11 % rougher": ({RIDE[0]: 1.11}, {"ride": "a little worse"}),
    "ride 19 % rougher": ({RIDE[0]: 1.19}, {"ride": "a little worse"}),
    "ride 21 % rougher": ({RIDE[0]: 1.21}, {"ride": "clearly worse"}),
    "ride 39 % rougher": ({RIDE[0]: 1.39}, {"ride": "clearly worse"}),
    "ride 41 % rougher": ({RIDE[0]: 1.41}, {"ride": "much worse"}),
    "ride smoother by 1 / 1.09": ({RIDE[0]: 1 / 1.09}, {}),
    "ride smoother by 1 / 1.11": ({RIDE[0]: 1 / 1.11}, {"ride": "a little better"}),
    "ride smoother by 1 / 1.41": ({RIDE[0]: 1 / 1.41}, {"ride": "much better"}),
    "worst second alone": ({RIDE[1]: 2.30}, {"ride": "a little worse"}),
    "smoother on the whole, a harder worst second": ({RIDE[0]: 0.80, RIDE[1]: 2.30}, {"ride": "clearly mixed"}),
    # grip: 10 % and a point of time off the ground at least
    "load swings 12 % more in front": ({GRIP[0]: 0.448}, {"grip": "a little worse"}),
    "load swings a quarter less behind": ({GRIP[1]: 0.32}, {"grip": "clearly better"}),
    "0.9 points more off the ground": ({GRIP[2]: 0.059}, {}),
    "1.1 points more off the ground": ({GRIP[2]: 0.061}, {"grip": "a little worse"}),
    "off the ground 12 % in place of 5 %": ({GRIP[3]: 0.12}, {"grip": "much worse"}),
    "better in front, worse behind": ({GRIP[0]: 0.30, GRIP[1]: 0.50}, {"grip": "clearly mixed"}),
    # travel: a quarter, a half, a whole inch; the share of a length says nothing
    "6 mm less travel": ({TRAVEL[0]: 0.0240}, {}),
    "7 mm less travel": ({TRAVEL[0]: 0.0230}, {"travel": "a little worse"}),
    "13 mm less travel": ({TRAVEL[1]: 0.0170}, {"travel": "clearly worse"}),
    "26 mm less travel": ({TRAVEL[1]: 0.0040}, {"travel": "much worse"}),
    "26 mm more travel": ({TRAVEL[1]: 0.0560}, {"travel": "much better"}),
    "two stop hits more": ({TRAVEL[2]: 2.0}, {"travel": "a little worse"}),
    "eight stop hits more": ({TRAVEL[2]: 8.0}, {"travel": "much worse"}),
    # settling: 20 %
    "settles 19 % later": ({SETTLING[0]: 1.19}, {}),
    "settles 21 % later": ({SETTLING[0]: 1.21}, {"settling": "a little worse"}),
    "settles in half the time": ({SETTLING[0]: 0.50}, {"settling": "much better"}),
    "settles in twice the time": ({SETTLING[0]: 2.00}, {"settling": "much worse"}),
    "does not settle": ({SETTLING[0]: inf}, {"settling": "much worse"}),
    "settling is not known": ({SETTLING[0]: nan}, {"settling": "same not known"}),
    # all together
    "better everywhere": (
        {**dict.fromkeys(GRIP[:2], 0.30), RIDE[0]: 0.85, TRAVEL[0]: 0.045, SETTLING[0]: 0.70},
        {"grip": "clearly better", "ride": "a little better", "travel": "clearly better", "settling": "clearly better"},
    ),
    "a trade-off": (
        {RIDE[0]: 1.12, SETTLING[0]: 0.52}, {"ride": "a little worse", "settling": "much better"},
    ),
    "worse everywhere": (
        {GRIP[0]: 0.60, RIDE[0]: 1.5, TRAVEL[0]: 0.0, SETTLING[0]: 3.0},
        {"grip": "much worse", "ride": "much worse", "travel": "much worse", "settling": "much worse"},
    ),
    "one figure is not known, the other tells": ({RIDE[0]: nan, RIDE[1]: 2.5}, {"ride": "clearly worse"}),
}  # fmt: skip


@pytest.mark.parametrize("name", KNOWN)
def test_known_answers(name):
    changes, different = KNOWN[name]
    assert said(changes) == ALL_SAME | different


@pytest.mark.parametrize("name", KNOWN)
def test_the_way_back_is_the_same_step(name):
    """Reference and other changed for each other: better becomes worse, and no size changes."""
    changes, _ = KNOWN[name]
    there = against(changes)
    back = verdict(compared({"other": USUAL}, base=USUAL | changes)).others["other"]
    turned = {"better": "worse", "worse": "better"}
    assert {b: (turned.get(p.outcome, p.outcome), p.size) for b, p in there.parts.items()} == {
        b: (p.outcome, p.size) for b, p in back.parts.items()
    }


NOTHING = {
    # below 0.315 m/s² nobody minds: 0.33 is 5 % more than that, 0.36 is 14 %
    "ride": (RIDE[0], 0.02, 0.33, 0.36),
    # of a tenth of a per cent off the ground the double is nothing; floor one point
    "off the ground": (GRIP[2], 0.001, 0.002, 0.013),
    # of 50 ms; floor 0.1 s
    "settling": (SETTLING[0], 0.05, 0.10, 0.16),
    # from a millimetre before the stop to a millimetre into it
    "travel": (TRAVEL[0], 0.001, -0.001, -0.007),
    "nothing at all": (GRIP[3], 0.0, 0.009, 0.011),
}


@pytest.mark.parametrize("name", NOTHING)
def test_near_nothing_a_share_says_nothing(name):
    figure, value, unnoticed, noticed = NOTHING[name]
    block = {RIDE[0]: "ride", SETTLING[0]: "settling", TRAVEL[0]: "travel"}.get(figure, "grip")
    base = USUAL | {figure: value}
    assert said({figure: unnoticed}, base=base)[block] == "same"
    assert said({figure: noticed}, base=base)[block] == "a little worse"


@pytest.mark.parametrize(
    ("changes", "standing"),
    [
        ("equal", "same"), ("better everywhere", "better"), ("worse everywhere", "worse"), ("a trade-off", "trade-off"),
        ("better in front, worse behind", "trade-off"), ("ride 11 % rougher", "worse"), ("settling is not known", "same"),
    ],
)  # fmt: skip
def test_standing(changes, standing):
    assert against(KNOWN[changes][0]).standing == standing


# --- doubt ---------------------------------------------------------------------------------------

DOUBTED = {
    # ride 1.30 against 1.00: smallest noticed 0.1
    "certain": (1.30, Band(0.29, 0.31), "clearly worse"),
    "the band holds zero": (1.30, Band(-0.05, 0.65), "same too close to call"),
    "the band touches zero": (1.30, Band(0.0, 0.60), "same too close to call"),
    "worse in all of a wide band": (1.30, Band(0.01, 0.60), "clearly worse"),
    "under what is noticed in the whole band": (1.02, Band(-0.05, 0.09), "same"),
    "under what is noticed, but perhaps not": (1.02, Band(-0.05, 0.12), "same too close to call"),
    "under what is noticed, surely worse": (1.05, Band(0.02, 0.08), "same"),
    "equal, but who knows": (1.00, Band(-0.30, 0.30), "same too close to call"),
    "better, certainly": (0.70, Band(-0.35, -0.25), "much better"),
    # the run of the central values lies outside of what the draws come to: the band decides
    "seems rougher, surely smoother": (1.12, Band(-0.35, -0.25), "clearly better"),
    "seems smoother, surely rougher": (0.85, Band(0.15, 0.50), "a little worse"),
    "seems the same, surely rougher": (1.00, Band(0.25, 0.60), "clearly worse"),
    "seems much rougher, surely unnoticed": (1.50, Band(0.02, 0.08), "same"),
}


@pytest.mark.parametrize("name", DOUBTED)
def test_doubt(name):
    value, band, expected = DOUBTED[name]
    assert said({RIDE[0]: value}, doubt={RIDE[0]: band})["ride"] == expected


def test_a_band_that_ends_at_nought_holds_it():
    exact = {RIDE[0]: 0.0}
    for band in (Band(0.0, 0.60), Band(-0.60, 0.0)):
        assert said({RIDE[0]: 1.30}, doubt={RIDE[0]: band}, errors=exact)["ride"] == "same too close to call"


def test_a_figure_in_doubt_does_not_undo_one_that_is_certain():
    doubt = {RIDE[0]: Band(-0.5, 1.0)}
    assert said({RIDE[0]: 1.30, RIDE[1]: 2.50}, doubt=doubt)["ride"] == "clearly worse"


def test_numerical_error_is_a_doubt_too():
    """1.30 against 1.00, each known to 0.16 only: the difference may be nothing."""
    assert said({RIDE[0]: 1.30}, errors={RIDE[0]: 0.16})["ride"] == "same too close to call"
    assert said({RIDE[0]: 1.30}, errors={RIDE[0]: 0.10})["ride"] == "clearly worse"
    # on top of what the doubt leaves
    band = {RIDE[0]: Band(0.05, 0.55)}
    assert said({RIDE[0]: 1.30}, doubt=band, errors={RIDE[0]: 0.02})["ride"] == "clearly worse"
    assert said({RIDE[0]: 1.30}, doubt=band, errors={RIDE[0]: 0.03})["ride"] == "same too close to call"
    # one step settles within the run and the other does not
    assert said({SETTLING[0]: 0.5}, errors={SETTLING[0]: inf})["settling"] == "same too close to call"


def test_doubt_of_the_comparison_is_taken():
    comparison = compared({"other": {RIDE[0]: 1.30}})
    doubted = replace(comparison, doubt={"other": {RIDE[0]: Band(-1.0, 1.0)}})
    assert verdict(comparison).others["other"].parts["ride"].outcome == "worse"
    assert verdict(doubted).others["other"].parts["ride"].outcome == "too close to call"


# --- nan and inf ---------------------------------------------------------------------------------


def test_both_not_reached_is_the_same():
    assert said({}, base=USUAL | {SETTLING[0]: inf})["settling"] == "same"
    change = against({}, base=USUAL | {SETTLING[0]: inf}).parts["settling"].changes[0]
    assert change.difference == 0.0


def test_settling_at_last_is_much_better():
    assert said({SETTLING[0]: 3.0}, base=USUAL | {SETTLING[0]: inf})["settling"] == "much better"


def test_what_no_set_up_has_is_no_block():
    found = verdict(compared({"other": {SETTLING[0]: nan}}, base=USUAL | {SETTLING[0]: nan}))
    assert set(found.others["other"].parts) == {"grip", "ride", "travel"}


# --- the reference -------------------------------------------------------------------------------


def test_reference():
    others = {"b": {}, "c": {}}
    assert reference_of(compared(others)) == "as it is"
    assert reference_of(compared(others, reference="c")) == "c"
    # never bare springs, as long as there is another
    assert reference_of(compared(others, bare=("as it is",))) == "b"
    assert reference_of(compared(others, bare=("as it is", "b", "c"))) == "as it is"
    # of one set-up run alone the named one is not there
    assert reference_of(compared(others, reference="gone")) == "as it is"


def test_changes_are_from_the_reference_that_is_named():
    found = verdict(compared({"soft": {RIDE[0]: 0.8}}, reference="soft"))
    assert set(found.others) == {"as it is"}
    assert found.others["as it is"].parts["ride"].outcome == "worse"


# --- of whom the title speaks --------------------------------------------------------------------


def subject(others, **more):
    return verdict(compared(others, **more)).subject.setup


BETTER, TRADED, WORSE = KNOWN["better everywhere"][0], KNOWN["a trade-off"][0], KNOWN["worse everywhere"][0]


def test_better_everywhere_comes_before_a_larger_trade_off():
    large = {GRIP[0]: 0.1, RIDE[0]: 3.0, SETTLING[0]: 0.1}
    assert subject({"traded": large, "better": {RIDE[0]: 0.85}, "worse": WORSE}) == "better"


def test_of_trade_offs_the_largest():
    large = {RIDE[0]: 1.5, SETTLING[0]: 0.1, GRIP[0]: 0.2}
    assert subject({"small": TRADED, "large": large, "worse": WORSE}) == "large"


def test_no_counting_of_wins():
    """Better by a hair in nine figures, and much rougher: no winner."""
    hair = {name: value * 0.97 for name, value in USUAL.items() if name not in RIDE}
    found = verdict(compared({"harsh": hair | {RIDE[0]: 1.5}}))
    assert found.others["harsh"].standing == "worse"


def test_what_is_flagged_is_not_praised():
    found = verdict(compared({"flagged": BETTER, "traded": TRADED}, flags={"flagged": (BOTTOMED,)}))
    assert found.subject.setup == "traded"
    assert found.others["flagged"].standing == "not known"
    assert found.unsafe["flagged"].flags == (BOTTOMED,)


LOST = Flag("jounce_range", 1.0, "front axle", "The front axle left the range of its guide.")
FLAT = Flag("stop_full", 1.0, "front bump stops", "The front bump stops were squeezed flat.")


@pytest.mark.parametrize(("flagged", "flag"), [("other", BOTTOMED), ("other", LOST), ("as it is", LOST)])
def test_no_block_of_what_is_flagged_or_judged_against_what_the_model_does_not_hold_for_is_better_or_worse(
    flagged, flag
):
    """Not in the table, not in a CSV, whatever its figures are; those stand there as they came."""
    comparison = compared({"other": BETTER}, flags={flagged: (flag,)})
    found = verdict(comparison)
    parts = found.others["other"].parts.values()
    assert {(part.outcome, part.size) for part in parts} == {("not judged", "same")}
    assert {change.outcome for part in parts for change in part.changes} == {"not judged"}
    assert any(change.other != change.reference for part in parts for change in part.changes)
    words = {cell(found, "other", part.block) for part in parts}
    assert words == {("not judged", "flagged" if flagged == "other" else "against a flagged one")}


def test_a_damper_at_its_end_is_said_once():
    comparison = compared({"ends": {"front_damper_end_hits": 2.0}}, flags={"ends": (BOTTOMED,)})
    past = verdict(comparison).unsafe["ends"].past
    assert [one.name for one in past] == ["front_damper_end_hits"]
    said = does((BOTTOMED,), past)
    assert len(said) == 1
    assert "dampers to their ends" in said[0]


def test_a_reference_for_which_the_model_does_not_hold_judges_nobody():
    found = verdict(compared({"better": BETTER}, flags={"as it is": (LOST,)}))
    assert found.subject is None


@pytest.mark.parametrize("flag", [BOTTOMED, FLAT])
def test_who_cures_what_the_truck_does_now_is_judged_against_it(flag):
    """A truck that bottoms is why anybody asks: nothing is left to say if nobody is judged against it."""
    found = verdict(compared({"cure": BETTER, "no cure": WORSE}, flags={"as it is": (flag,), "no cure": (flag,)}))
    assert found.subject.setup == "cure"
    assert found.cure == ("cure",)
    assert found.others["cure"].cures == (flag.kind,)
    assert {part.outcome for part in found.others["no cure"].parts.values()} == {"not judged"}


def test_metal_that_no_longer_meets_metal_is_better_travel_whatever_the_figures_say():
    flat, cured = {"front_left_to_stop": -0.035}, {"front_left_to_stop": -0.020}
    found = verdict(compared({"cure": cured}, base=USUAL | flat, flags={"as it is": (FLAT,)}))
    part = found.others["cure"].parts["travel"]
    assert (part.outcome, part.size) == ("better", "clearly")
    assert found.others["cure"].standing == "better"
    assert cell(found, "cure", "travel") == (
        "clearly better", "squeezes no bump stop fully, leaves 15 mm (0.6 in) more travel to its front bump stops",
    )  # fmt: skip
    # and where its figures are worse, both are said
    worse = cured | {"rear_stop_hits": 9.0}
    found = verdict(compared({"cure": worse}, base=USUAL | flat, flags={"as it is": (FLAT,)}))
    word, why = cell(found, "cure", "travel")
    assert (word, why.split(",")[0]) == ("better and worse", "squeezes no bump stop fully")
    # bubbles in a damper say nothing of travel
    bubbles = Flag("cavitation", 1.0, "front damper 'main'", "The front damper 'main' drew bubbles.")
    found = verdict(compared({"cure": {}}, flags={"as it is": (bubbles,)}))
    assert found.others["cure"].parts["travel"].outcome == "same"


def test_a_stop_that_is_all_but_squeezed_flat_cures_nothing():
    flat, nearly = {"front_left_to_stop": -0.0270}, {"front_left_to_stop": -0.0239}
    comparison = compared({"nearly": nearly}, base=USUAL | flat, flags={"as it is": (FLAT,)})
    short = with_axle(comparison.runs["nearly"], "front", jounce_m=0.0239 + 0.0 * TIME, jounce_full_m=0.0240)
    found = verdict(replace(comparison, runs=comparison.runs | {"nearly": short}))
    assert found.others["nearly"].cures == ()
    assert found.others["nearly"].short_of_m == pytest.approx(0.0001)
    assert found.others["nearly"].parts["travel"].outcome == "same"
    assert found.cure == ()


def test_two_rides_that_nobody_finds_uncomfortable_are_the_same():
    """ISO 2631-1:1997, C.2.3, from memory: below 0.315 m/s² a ride is not uncomfortable; 0.31 and 0.18 differ by 42 % of nothing."""
    calm = USUAL | {RIDE[0]: 0.31, RIDE[1]: 0.31}
    assert outcomes(compared({"other": {RIDE[0]: 0.18, RIDE[1]: 0.18}}, base=calm), "ride") == {"same"}
    assert outcomes(compared({"other": {RIDE[0]: 0.36, RIDE[1]: 0.31}}, base=calm), "ride") == {"same", "worse"}


def outcomes(comparison, block):
    return {change.outcome for change in verdict(comparison).others["other"].parts[block].changes}


def test_of_the_same_figure_of_both_axles_the_one_that_changes_more_is_said():
    found = verdict(compared({"other": {"front_left_to_stop": 0.080, "rear_left_to_stop": 0.100}}))
    assert found.others["other"].parts["travel"].leading("better").measure.name == "rear_left_to_stop"
    # but where one axle is asked for more its figures come first
    asked = compared({"other": {"front_left_to_stop": 0.080, "rear_left_to_stop": 0.100}})
    asked.scenario.changes = {"other": {"front.stop.gap": 0.1}}
    assert verdict(asked).others["other"].parts["travel"].leading("better").measure.name == "front_left_to_stop"


def test_bare_springs_come_last():
    """They are better in nothing, or in anything: against them a title says nothing of dampers."""
    assert subject({"bare": BETTER, "same": {}}, bare=("bare",)) == "same"
    assert subject({"bare": WORSE}, bare=("bare",)) == "bare"


def test_what_breaks_a_limit_comes_before_what_changes_nothing():
    """Else a title would say that nothing matters while one set-up is into its stops and much worse."""
    assert subject({"loaded": WORSE | {"front_left_to_stop": -0.03}, "same": {}}) == "loaded"


def test_beside_a_trade_off_stands_what_is_worse_with_more_to_say():
    found = verdict(compared({"traded": TRADED, "worse": WORSE, "a little worse": {RIDE[0]: 1.12}}))
    assert (found.subject.setup, found.beside.setup) == ("traded", "worse")
    assert verdict(compared({"better": {RIDE[0]: 0.85}, "worse": WORSE})).beside is None


def test_who_breaks_a_limit_that_the_reference_keeps_comes_after_those_who_keep_it():
    breaks = BETTER | {"front_left_to_stop": -0.004}
    found = verdict(compared({"breaks": breaks, "traded": TRADED}))
    assert found.subject.setup == "traded"
    assert [one.name for one in found.unsafe["breaks"].past] == ["front_left_to_stop"]
    # where the reference breaks it as well, it tells them not apart
    both = {"front_left_to_stop": -0.004}
    found = verdict(compared({"breaks": breaks, "traded": TRADED | both}, base=USUAL | both))
    assert found.subject.setup == "breaks"


def test_a_damper_at_its_end_is_unsafe():
    found = verdict(
        compared({"short dampers": {"rear_damper_end_hits": 1.0}}, base=USUAL | {"rear_damper_end_hits": 0.0})
    )
    assert [one.name for one in found.unsafe["short dampers"].past] == ["rear_damper_end_hits"]
    assert "as it is" not in found.unsafe


def test_a_run_that_broke_down_has_no_figures():
    found = verdict(compared({"broke": BETTER}, flags={"broke": (BROKE,)}))
    assert {part.outcome for part in found.others["broke"].parts.values()} == {"not known"}
    assert not found.others["broke"].coincides


# --- set-ups that coincide -----------------------------------------------------------------------


def test_equal_set_ups_coincide():
    found = verdict(compared({"twin": {}, "other": {RIDE[0]: 1.2}, "its twin": {RIDE[0]: 1.2}}))
    assert found.others["twin"].coincides == ("as it is",)
    assert found.others["other"].coincides == ("its twin",)


def test_less_than_is_printed_coincides_and_more_does_not():
    """Ride is printed to 0.01 m/s²."""
    assert against({RIDE[0]: 1.001}).coincides == ("as it is",)
    assert against({RIDE[0]: 1.02}).coincides == ()
    # nearer than their numerical errors
    assert against({RIDE[0]: 1.02}, errors={RIDE[0]: 0.011}).coincides == ("as it is",)


def test_one_figure_apart_outside_the_blocks_is_enough():
    assert against({"pitch_nose_up": 0.1}, base=USUAL | {"pitch_nose_up": 0.05}).coincides == ()


def test_a_damper_set_more_is_another_truck():
    comparison = compared({"other": {}})
    row = dict(comparison.values["other"])
    del row["front_main_power"]
    values = comparison.values | {"other": row}
    assert verdict(replace(comparison, values=values)).others["other"].coincides == ()


# --- which measures carry a block ----------------------------------------------------------------


def driven(in_gear):
    zero = np.zeros_like(TIME)
    wheel = WheelTrace(zero, zero, zero, zero, zero, zero, zero)
    return still_run(TIME, drive=DriveTrace(zero, zero, zero, zero, wheel, wheel, 0.0, None, in_gear))


def names(run):
    found = carrying(measures_for(run), kind_of(run))
    return {block: tuple(one.name for one in those) for block, those in found.items()}


def test_blocks_of_a_course():
    assert names(run_of()) == {
        "grip": GRIP,
        "ride": RIDE,
        "travel": (*TRAVEL, "front_droop_at_ride", "rear_droop_at_ride"),
        "settling": SETTLING,
    }


def test_on_the_spot_nobody_asks_for_grip_and_ride_and_bobs_come_first():
    found = names(run_of(speed_m_per_s=0.0))
    assert found["grip"] == found["ride"] == ()
    assert found["settling"] == ("front_body_cycles", "rear_body_cycles", "body_settling_time")


def test_half_a_bob_is_noticed():
    base = {"front_body_cycles": 1.0, "rear_body_cycles": 0.5, "body_settling_time": 1.0}
    for cycles, expected in ((1.0, "same"), (1.5, "a little worse"), (2.0, "clearly worse"), (3.0, "much worse")):
        assert said({"front_body_cycles": cycles}, base=base, speed_m_per_s=0.0)["settling"] == expected


def test_launches_and_stops_are_judged_by_slip_hop_and_wind_up():
    launch, stop = names(driven(in_gear=True)), names(driven(in_gear=False))
    of_both = ("sliding", "traction_swing", "tyre_off_ground")
    assert set(launch["grip"]) == {f"{axle}_{name}" for axle in ("front", "rear") for name in of_both}
    assert launch["travel"][:2] == ("front_pinion_up", "rear_pinion_up")
    assert stop["grip"][0] == "stopping_distance"
    assert stop["travel"][:2] == ("front_pinion_down", "rear_pinion_down")
    assert "pitch_nose_down" in stop["travel"]
    assert launch["settling"] == stop["settling"] == ("front_wind_up_left", "rear_wind_up_left")


@pytest.mark.parametrize("run", [synthetic_run("four dampers"), run_of(0.0), driven(True), driven(False)], ids=kind_of)
def test_every_claim_can_be_said_and_judged(run):
    for measure in measures_for(run):
        assert measure.quantity in NOTICED, measure.name  # titles of pages judge it, whether or not it carries a block
        if measure.carries:
            assert measure.better in ("less", "more")
            assert (measure.carries.noticed or measure.quantity) in NOTICED
            assert len(measure.carries.never.split(" ")) == 2
            for text in (measure.carries.better, measure.carries.worse):
                assert text.format(share="x", change="x", to="x", of="x", pace="x") != text


def test_every_smallest_difference_has_a_source():
    for name, noticed in NOTICED.items():
        assert noticed.source, name
        assert noticed.share >= 0.0 < noticed.floor
    # 10 to 13 % of whole-body vibration (Mansfield and Griffin 2000, from memory)
    assert 0.10 <= NOTICED["acceleration"].share <= 0.13
