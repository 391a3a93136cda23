"""Against what set-ups are judged, and of which of them the title speaks: figures that are given, whose answer is known."""

import pytest

from sim.measure.references import reference_of
from sim.measure.verdict import verdict
from sim.show.report.verdict_table import cell
from sim.show.report.verdict_words import does
from tests.measure.verdicts import BOTTOMED, BROKE, GRIP, KNOWN, RIDE, SETTLING, USUAL, compared

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


@pytest.mark.parametrize("flagged", ["other", "as it is"])
def test_no_block_of_what_is_flagged_or_judged_against_it_is_better_or_worse(flagged):
    """Not in the table, not in a CSV, whatever its figures are; those stand there as they came."""
    comparison = compared({"other": BETTER}, flags={flagged: (BOTTOMED,)})
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


def test_a_flagged_reference_judges_nobody():
    found = verdict(compared({"better": BETTER}, flags={"as it is": (BOTTOMED,)}))
    assert found.subject is None


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
