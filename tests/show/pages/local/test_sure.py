"""The table of numbers in doubt: given or estimated, its ends, how much each decides and of what."""

from dataclasses import replace

from sim.describe.doubtful import estimates_of
from sim.measure.band import Band
from sim.measure.measure import Measure
from sim.show.pages.local.sure import numbers, tables
from sim.study.doubt.study import Doubted, Influence
from sim.study.doubt.unknowns import unknowns
from tests.describe.test_to_measure import MEASURED, truck

RIDE = Measure("x", "Ride", "number", "less", lambda run: 0.0, "")
TRAVEL = Measure("y", "Travel left", "length", "more", lambda run: 0.0, "")


def doubted(**more):
    """One set-up against another: the gap of the stops decides half of ride, the truck's mass all of travel."""
    vehicle = truck({key: MEASURED[key] for key in ("length_extended", "length_collapsed")})
    vehicle = vehicle.changed({"front.tyre.rate": "230 to 290 N/mm"})
    of = unknowns({"two": vehicle}, None)
    by = {one.path: one for one in of}
    gap, mass = by["front.stop.gap"], by["body.mass"]
    band = Band(1.0, 2.0)
    shares = {"x": Influence({gap: 0.5}, {gap: 0.5}, 1.0), "y": Influence({mass: 1.0}, {mass: 1.0}, 1.0)}
    known = {"x": band, "y": band}
    own = Doubted(
        of,
        (),
        "two",
        512,
        {},
        {},
        {"two": known},
        {"four": known},
        {"four": shares},
        estimates=tuple(estimates_of([vehicle])),
    )
    return replace(own, **more)


def test_a_number_says_what_it_is_within_which_ends_and_what_it_decides():
    rows = numbers(doubted(), [RIDE, TRAVEL])
    # Both differences are open alike, so a whole one is half of all, and half of one a quarter.
    assert [row["decides"] for row in rows[:3]] == ["50 %", "25 %", "under 1 %"]
    assert rows[0]["moves"] == "Travel left (100 % of its doubt)"
    assert rows[1]["moves"] == "Ride (50 % of its doubt)"
    assert rows[2]["moves"] == ""
    rate = next(row for row in rows if row["label"].startswith("Front tyres: rate"))
    assert rate["is_"] == "given"
    assert "230 to 290 N/mm" in rate["within"]
    assert "260 N/mm" in rate["value"]
    assert {row["is_"] for row in rows} == {"given", "estimated"}
    assert not any("_" in row["label"] for row in rows)


def test_where_nothing_foretells_the_shares_it_says_so():
    rows = numbers(doubted(influence={}), [RIDE, TRAVEL])
    assert {row["decides"] for row in rows} == {"not known"}
    own = tables(doubted(influence={}), [RIDE, TRAVEL])
    assert not own["ranked"]
    assert sum("Which number decides most cannot be told" in text for text in own["notes"]) == 1
    known = tables(doubted(), [RIDE, TRAVEL])
    assert known["ranked"]
    assert not any("cannot be told" in text for text in known["notes"])


def test_notes_call_numbers_as_the_form_does():
    own = tables(doubted(), [RIDE, TRAVEL])
    assert own["notes"][0].startswith("Measure next. ")
    assert not any("body.mass" in text or "front.stop" in text for text in own["notes"])
    assert own["differences"][0]["rows"][0][0] == "Ride"


def test_what_no_try_moves_is_said_once():
    same, moved = Band(0.0, 0.0), Band(1.0, 2.0)
    (one,) = tables(doubted(differences={"four": {"x": same, "y": moved}}), [RIDE, TRAVEL])["differences"]
    assert [label for label, _ in one["rows"]] == ["Travel left", "Ride"]
    assert one["rows"][1][1].startswith("is the same")
    # A set-up that is the first one by another name needs no table at all.
    (one,) = tables(doubted(differences={"four": {"x": same, "y": same}}), [RIDE, TRAVEL])["differences"]
    assert one["rows"] == []


def test_no_more_digits_are_shown_than_are_known():
    mass = next(row for row in numbers(doubted(), [RIDE, TRAVEL]) if row["label"] == "Body above the springs")
    # By a ticket: to some ten kilograms.
    assert "." not in mass["value"].partition(" ")[0]
    assert not any("^" in row["value"] + row["within"] for row in numbers(doubted(), [RIDE, TRAVEL]))
