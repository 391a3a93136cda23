"""The few words beneath a table: of each term that stands in it, once, and of no other."""

import pytest

from sim.show.report.words import WORDS, words_of


@pytest.mark.parametrize(("pattern", "term", "meaning"), WORDS, ids=[term for _, term, _ in WORDS])
def test_every_term_is_found_by_itself(pattern, term, meaning):
    # The load's variation is one word of two in a label: "Front tyre load: variation".
    text = {"variation of tyre load": "Front tyre load: variation", "slope": "slope of grip"}.get(term, term)
    said = words_of([f"Front {text} [mm]"])
    assert f"{term}: {meaning}" in said
    # Its meaning needs no other term of the list than those that it stands beside.
    assert len(meaning.split()) <= 16


def test_only_terms_that_stand_there_are_said():
    assert words_of(["Front bump travel left", "Rear bump stop hits"]) == ""
    assert words_of(["hope", "shop", "pitchfork"]) == ""
    assert words_of(["Ride at driver: upward weighted RMS"]).count(";") == 0
    assert "RMS: mean size" in words_of(["Acceleration at driver: RMS"])
    assert words_of(["Bounce: bobs", "BOBS"]).count("bobs:") == 1


def test_terms_of_every_measure_are_explained():
    """What a reader of the tables looked up, list by list, is either explained or plain: those of ISO 2631-1 and of vibration texts."""
    for term in (
        "RMS",
        "dose",
        "crest factor",
        "overshoot",
        "bobs",
        "jacking",
        "slip",
        "wind-up",
        "damping ratio",
        "instant centre",
        "knees",
    ):
        assert words_of([f"Front {term}"]), term
