"""Against what set-ups are judged, and of which of them the title speaks: figures that are given, whose answer is known."""

from dataclasses import replace

import pytest

from sim.integrate.status import Flag
from sim.measure.references import reference_of
from sim.measure.verdict import verdict
from sim.show.report.verdict_table import cell
from sim.show.report.warned import does
from tests.measure.verdicts import (
    BOTTOMED,
    BROKE,
    GRIP,
    KNOWN,
    RIDE,
    SETTLING,
    TIME,
    USUAL,
    compared,
)
from tests.synthetic import with_axle

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


def test_of_as_many_large_words_the_one_with_more_behind_them_whichever_the_file_names_first():
    """A ride of 0.8 and of 0.75 are both clearly better (25 and 33 % of the smaller, twice 10 % and more): the title is of the latter."""
    for order in (("some", 0.8), ("more", 0.75)), (("more", 0.75), ("some", 0.8)):
        assert subject({name: {RIDE[0]: value} for name, value in order}) == "more"


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
        "clearly better", "squeezes no bump stop fully, squeezes its front bump stops 15 mm (0.6 in) less",
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
