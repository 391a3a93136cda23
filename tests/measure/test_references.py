"""A load is nobody's choice: what is chosen is judged with the load that it is run with, and a load is called neither better nor worse.

The figures and what they come to are worked out by hand from the table of smallest noticed differences in docs/reading-results.md.
"""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from sim.describe.parts.body import Load
from sim.integrate.status import Flag
from sim.measure.asked_axle import asked_first, axle_asked
from sim.measure.references import by_load, loads_apart, references_of, sound_by_load
from sim.measure.verdict import carrying, verdict
from sim.show.report.verdict_table import by_their_load, cell, partly_by_load, role
from sim.show.report.verdict_words import headline
from tests.measure.verdicts import RIDE, SETTLING, TRAVEL, USUAL, compared
from tests.synthetic import hut_truck

STORES = {
    "stores": Load.model_validate({"mass": "440 kg", "place": {"behind_front_axle": "2.75 m", "above_ground": "1.2 m"}})
}


def load_of(mass_kg):
    return STORES["stores"].model_copy(update={"mass": float(mass_kg)})


def truck(loaded=False, four=False):
    vehicle = hut_truck()
    if four:
        sets = {name: each.model_copy(update={"count": 4}) for name, each in vehicle.front.dampers.items()}
        vehicle = vehicle.model_copy(update={"front": vehicle.front.model_copy(update={"dampers": sets})})
    return vehicle.model_copy(update={"loads": vehicle.loads | STORES}) if loaded else vehicle


TRUCKS = {
    "as it is": truck(), "loaded": truck(loaded=True), "four": truck(four=True), "four, loaded": truck(loaded=True, four=True),
}  # fmt: skip


def judged(figures, trucks=TRUCKS, **more):
    """Return the comparison of the truck as it is with others of which some figures differ."""
    comparison = compared(figures, **more)
    setups = {name: trucks[name] for name in comparison.runs}
    comparison.scenario.setups = setups
    return comparison


SMOOTHER = {RIDE[0]: 0.7, TRAVEL[1]: 0.0}
"""What a load does: rides a third smoother, all travel behind used up."""


def test_what_is_flagged_is_no_best_of_its_load():
    """A picture would print it in bold beside the words that it cannot be judged."""
    flags = {"four": (Flag("damper_end", 1.0, "front damper 'main'", "It met its end."),)}
    comparison = judged({"loaded": SMOOTHER, "four": {RIDE[0]: 0.1}, "four, loaded": SMOOTHER}, flags=flags)
    assert sound_by_load(comparison) == (("as it is",), ("loaded", "four, loaded"))


def test_each_is_judged_against_the_truck_with_its_own_load():
    comparison = judged({"loaded": SMOOTHER, "four": {}, "four, loaded": SMOOTHER})
    assert references_of(comparison) == {
        "as it is": "as it is", "loaded": "as it is", "four": "as it is", "four, loaded": "loaded",
    }  # fmt: skip
    assert loads_apart(comparison) == {"loaded"}
    assert by_load(comparison) == (("as it is", "four"), ("loaded", "four, loaded"))
    # Four and two loaded are alike in every figure, however far both are from the truck without the load.
    found = verdict(comparison)
    assert {part.outcome for part in found.others["four, loaded"].parts.values()} == {"same"}
    assert found.others["four, loaded"].also == ("four",)


def test_each_row_says_against_what_it_is_judged_where_that_differs():
    found = verdict(judged({"loaded": SMOOTHER, "four": {}, "four, loaded": SMOOTHER}))
    assert [role(found, setup) for setup in found.setups] == [
        "", "against “as it is”; “four, loaded” is judged against this", "against “as it is”", "against “loaded”",
    ]  # fmt: skip
    # By numbers, as a picture has them; with one reference nothing is said.
    number = {setup: str(place) for place, setup in enumerate(found.setups, 1)}.__getitem__
    assert role(found, "loaded", number) == "against 1; 4 is judged against this"
    assert role(verdict(judged({"four": {}})), "four") == ""


def test_a_load_that_nobody_else_has_leaves_only_the_reference():
    """A choice that is run with another load and nothing beside it can be judged against the reference alone."""
    assert references_of(judged({"four, loaded": {}})) == {"as it is": "as it is", "four, loaded": "as it is"}
    assert not loads_apart(judged({"four, loaded": {}}))


def test_a_choice_beside_which_nobody_carries_its_load_is_not_praised_for_it():
    """Four loaded against two empty: what the load does and what four do are one figure, and it is said so wherever it is called better."""
    found = verdict(judged({"four, loaded": {RIDE[0]: 0.7}}))
    assert headline(found) == (
        "Against “as it is”, “four, loaded”, which also carries another load, rides 30 % smoother; grip, travel and settling are the same"
    )
    assert partly_by_load(found) == [
        "“four, loaded”: a part of the difference is the load's, as “as it is” carries another one. "
        "A set-up like “as it is” with the same load beside it tells them apart."
    ]
    # With the load alone beside it both are told apart.
    apart = verdict(judged({"loaded": SMOOTHER, "four, loaded": {RIDE[0]: 0.7}}))
    assert "also carries" not in headline(apart)
    assert partly_by_load(apart) == []


def test_where_no_truck_is_the_reference_with_the_load_the_first_with_it_is_what_others_are_judged_against():
    """A lifted truck with its cargo, on two and on four dampers, beside the truck as it is: two or four is what is asked."""
    lifted = {
        "two": truck(loaded=True).model_copy(update={"note": "lifted"}),
        "four": truck(loaded=True, four=True).model_copy(update={"note": "lifted"}),
    }
    trucks = {
        "as it is": truck(),
        "lifted, bare": lifted["two"],
        "lifted, two": lifted["two"],
        "lifted, four": lifted["four"],
    }
    figures = {"lifted, two": {RIDE[0]: 0.7}, "lifted, four": {RIDE[0]: 0.63}}
    comparison = judged(figures, trucks)
    assert references_of(comparison) == {
        "as it is": "as it is",
        "lifted, two": "as it is",
        "lifted, four": "lifted, two",
    }
    found = verdict(comparison)
    # A third smoother by lift and load; a tenth of that by two dampers more.
    assert headline(found).startswith("Against “lifted, two”, “lifted, four” rides 10 % smoother")
    assert by_their_load(found) == ["“lifted, four”: judged against “lifted, two”, the first with its load."]
    assert partly_by_load(found)[0].startswith("“lifted, two”: a part of the difference is the load's")
    # One without dampers is none to judge others against, where it is the first.
    bare = judged({"lifted, bare": {}, **figures}, trucks)
    runs = {
        name: replace(run, front=replace(run.front, dampers={})) if name == "lifted, bare" else run
        for name, run in bare.runs.items()
    }
    assert references_of(replace(bare, runs=runs))["lifted, bare"] == "lifted, two"


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        (0.25, 0.49, "“four” is firmly damped: ratio 0.49 over the front axle, usual 0.20 to 0.40"),
        (0.25, 0.74, "“four” is stiff: ratio 0.74 over the front axle, usual 0.20 to 0.40"),
        (0.45, 0.49, ""),  # so was what it is judged against
        (0.25, 0.40, ""),
    ],
)
def test_what_is_praised_is_said_to_damp_more_than_is_usual(before, after, said):
    found = verdict(judged({"four": {RIDE[0]: 0.7}}))
    ratios = {
        "as it is": {("body", "front"): before, ("body", "rear"): 0.3},
        "four": {("body", "front"): after, ("body", "rear"): 0.3},
    }
    words = headline(replace(found, ratios=ratios))
    assert words.endswith(said) if said else "damped" not in words


def test_a_load_is_not_called_better():
    comparison = judged({"loaded": SMOOTHER})
    said = headline(verdict(comparison))
    assert said == (
        "Only the load differs: against “as it is”, “loaded” rides 30 % smoother and leaves 30 mm (1.2 in) less travel to its rear "
        "bump stops; grip and settling are the same"
    )
    for block in ("ride", "travel"):
        assert cell(verdict(comparison), "loaded", block)[0] == "by the load"
    assert verdict(comparison).subject is None


def test_a_load_that_lowers_the_truck_is_said_to_lower_it():
    """40 mm more droop by a load alone are 40 mm less bump travel: the row must not read as a gift."""
    droop = "front_droop_at_ride"
    comparison = judged({"loaded": {droop: 0.14}, "four": {droop: 0.14}}, base=USUAL | {droop: 0.10})
    found = verdict(comparison)
    assert cell(found, "loaded", "travel") == (
        "by the load",
        "stands 40 mm (1.6 in) lower in front (more droop, less bump travel)",
    )
    assert cell(found, "four", "travel")[1] == "has 40 mm (1.6 in) more front droop at ride height"
    assert "stands 40 mm (1.6 in) lower in front" in headline(
        verdict(judged({"loaded": {droop: 0.14}}, base=USUAL | {droop: 0.10}))
    )


def test_a_title_speaks_of_the_choice_and_not_of_the_load():
    said = headline(verdict(judged({"loaded": SMOOTHER, "four": {RIDE[0]: 1.12, SETTLING[0]: 0.5}})))
    assert said.startswith("Against “as it is”, “four” settles in half the time but rides 12 % rougher")
    assert "loaded" not in said


@pytest.mark.parametrize(
    ("empty", "loaded", "start"),
    [
        (
            {SETTLING[0]: 0.5},
            {SETTLING[0]: 0.5},
            "One choice is better with every load. Against “as it is”, “four” settles in half the time",
        ),
        ({SETTLING[0]: 0.5}, {}, "One choice is better with one load, worse with none."),
        ({}, {SETTLING[0]: 0.5}, "One choice is better with one load, worse with none."),
        ({SETTLING[0]: 0.5}, {SETTLING[0]: 2.0}, "No choice is better with every load."),
        ({SETTLING[0]: 2.0}, {SETTLING[0]: 2.0}, "No choice is better with every load."),
        ({}, {}, "Whatever the load, “four” coincides with “as it is” in every figure"),
        ({RIDE[0]: 1.02}, {RIDE[0]: 0.68}, "Whatever the load, “four” hardly matters"),
    ],
)
def test_a_choice_must_suit_every_load(empty, loaded, start):
    found = verdict(judged({"loaded": SMOOTHER, "four": empty, "four, loaded": SMOOTHER | loaded}))
    said = headline(found)
    assert said.startswith(start)
    if not start.startswith("Whatever"):
        # With both loads, each against the truck with that load.
        assert "Against “as it is”, “four”" in said
        assert "Against “loaded”, “four, loaded”" in said


def test_what_was_run_with_one_load_says_nothing_of_the_others():
    said = headline(verdict(judged({"loaded": SMOOTHER, "four": {RIDE[0]: 1.02}})))
    assert said.startswith("“four” hardly matters: grip, ride, travel and settling are the same as with “as it is”")
    said = headline(verdict(judged({"loaded": SMOOTHER, "four": {}})))
    assert said == "“four” coincides with “as it is” in every figure"
    # Nor does what is flagged with a load.
    flags = {"four, loaded": (Flag("damper_end", 1.0, "front damper 'main'", "It met its end."),)}
    said = headline(verdict(judged({"loaded": SMOOTHER, "four": {}, "four, loaded": SMOOTHER}, flags=flags)))
    assert "hatever the load" not in said
    # "Every other set-up" would be those with a load too, and these differ.
    trucks = TRUCKS | {"soft": truck().model_copy(update={"note": "soft"})}
    said = headline(verdict(judged({"loaded": SMOOTHER, "four": {}, "soft": {}}, trucks)))
    assert said == "Every other choice coincides with “as it is” in every figure"


def test_of_many_loads_it_is_said_how_many_go_the_same_way():
    """A sentence for each of five loads is read by nobody; the one that speaks against the choice is said whole."""
    heavier = {
        f"{mass} kg": truck().model_copy(update={"loads": {"stores": load_of(mass)}}) for mass in (100, 200, 300)
    }
    fours = {f"four, {name}": truck(four=True).model_copy(update={"loads": one.loads}) for name, one in heavier.items()}
    trucks = {"as it is": truck(), "four": truck(four=True), **heavier, **fours}
    better = {SETTLING[0]: 0.5, RIDE[0]: 1.12}
    alike = {"four": better, **{name: {} for name in heavier}, **dict.fromkeys(fours, better)}
    said = headline(verdict(judged(alike, trucks)))
    assert said == (
        "No choice is better with every load. Against “as it is”, “four” settles in half the time but rides 12 % rougher; grip and travel "
        "are the same. With every other load grip, ride, travel and settling go the same way"
    )
    unlike = alike | {"four, 300 kg": better | {TRAVEL[0]: 0.0}}
    said = headline(verdict(judged(unlike, trucks)))
    assert (
        "With 2 other loads grip, ride, travel and settling go the same way. Against “300 kg”, “four, 300 kg” settles"
        in said
    )
    assert "leaves 30 mm (1.2 in) less travel" in said
    said = headline(verdict(judged(unlike | {"four, 200 kg": better | {TRAVEL[0]: 0.0}}, trucks)))
    assert said.endswith("The table has 1 more load")


def test_another_one_that_is_better_with_every_load_is_not_denied():
    """It is past a limit, so the title is of the one that keeps it."""
    trucks = TRUCKS | {"soft": truck().model_copy(update={"note": "soft"})}
    trucks["soft, loaded"] = truck(loaded=True).model_copy(update={"note": "soft"})
    ends = {"front_damper_end_hits": 1.0}
    figures = {
        "loaded": {}, "four": {SETTLING[0]: 0.5, RIDE[0]: 1.2}, "four, loaded": {SETTLING[0]: 0.5, RIDE[0]: 1.2},
        "soft": {SETTLING[0]: 0.5} | ends, "soft, loaded": {SETTLING[0]: 0.5} | ends,
    }  # fmt: skip
    said = headline(verdict(judged(figures, trucks, base=USUAL | {"front_damper_end_hits": 0.0})))
    assert "Against “as it is”, “four” settles in half the time but rides" in said
    assert "No choice" not in said


def test_what_suits_every_load_comes_before_what_suits_one_much():
    """Three of a kind: better with both loads by a little is named before much better with one and worse with the other."""
    trucks = TRUCKS | {"soft": truck().model_copy(update={"note": "soft"})}
    trucks["soft, loaded"] = truck(loaded=True).model_copy(update={"note": "soft"})
    figures = {
        "loaded": {}, "four": {SETTLING[0]: 0.3}, "four, loaded": {SETTLING[0]: 3.0},
        "soft": {RIDE[0]: 0.88}, "soft, loaded": {RIDE[0]: 0.88},
    }  # fmt: skip
    assert verdict(judged(figures, trucks)).subject.setup == "soft"


def test_the_axle_that_is_changed_is_said_first():
    comparison = judged({"four": {RIDE[0]: 1.2}})
    assert axle_asked(comparison) == ""
    comparison.scenario.changes = {"as it is": {}, "four": {"rear.dampers": "none"}}
    assert axle_asked(comparison) == "rear"
    # A load that all of them carry tells none from another.
    shared = {"loads.cargo": {"mass": "300 kg"}}
    comparison.scenario.changes = {"as it is": shared, "four": {**shared, "rear.dampers": "none"}}
    assert axle_asked(comparison) == "rear"
    comparison.scenario.changes = {"as it is": {}, "four": {**shared, "rear.dampers": "none"}}
    assert axle_asked(comparison) == ""
    comparison.scenario.changes = {"as it is": {}, "four": {"rear.dampers": "none"}}
    travel = carrying(comparison.measures, "course")["travel"]
    assert [one.name for one in asked_first(travel, "rear")] == [
        TRAVEL[1], TRAVEL[0], TRAVEL[3], TRAVEL[2], "rear_droop_at_ride", "front_droop_at_ride",
    ]  # fmt: skip
    assert asked_first(travel, "front") == asked_first(travel, "") == travel
    # Of two figures that change alike, that of the changed axle stands in the cell.
    more = {TRAVEL[0]: 0.015, TRAVEL[1]: 0.015}
    both = judged({"four": more})
    both.scenario.changes = comparison.scenario.changes
    assert "rear bump stops" in cell(verdict(both), "four", "travel")[1]


def test_what_is_pushed_is_asked_for():
    """A push over one end asks about that end, whichever the set-ups change."""
    comparison = judged({"four": {}})
    comparison.scenario.changes = {"as it is": {}, "four": {"front.dampers.main.count": 4}}
    assert axle_asked(comparison) == "front"
    runs = {name: replace(run, run=SimpleNamespace(axle_asked="rear")) for name, run in comparison.runs.items()}
    assert axle_asked(replace(comparison, runs=runs)) == "rear"
