"""Loads and a lift on the page: a hand calculation beside, what is not understood said, and what becomes a set-up."""

from pathlib import Path

import pytest

from sim.describe.files.reader import Document
from sim.describe.shown import shown_in
from sim.show.pages.local.aboard import HEADS, LIFTED_BARE, aboard
from sim.show.pages.local.answers import as_edited, vehicle_of
from sim.show.pages.local.paper import typed_edits
from sim.study.loads import judgement, parted
from tests.show.pages.local.test_paper import TICKET

DOCUMENT = as_edited(
    Document({"kind": "vehicle", "name": "x", "weighed": {}}, Path("x.yaml")),
    typed_edits({**TICKET, "rear.springs": "coils", "rear.springs.coil.rate": "190 lb/in"}),
)


@pytest.fixture(scope="module")
def vehicle():
    return vehicle_of(DOCUMENT)


def inches(said, axle, row, head):
    text = said["axles"][axle][row]["cells"][HEADS.index(head)]
    return float(text.split("(")[1].split()[0])


def test_a_winch_lowers_the_nose_by_the_lever_rule(vehicle):
    """165 lb 30 in ahead of the front axle of a wheelbase of 92 in: 219 lb more on 2 x 190 lb/in in front, 54 lb less behind."""
    winch = {"name": "winch", "on": True, "mass": "165 lb", "behind": "-30 in", "above": "28 in"}
    said = aboard(vehicle, {"loads": [winch]})
    assert said["wrong"] == []
    assert inches(said, "front", 1, "Frame up (down: minus)") == pytest.approx(-219 / 380, abs=0.04)
    assert inches(said, "rear", 1, "Frame up (down: minus)") == pytest.approx(54 / 380, abs=0.03)
    setup = vehicle.changed(said["changes"])
    assert setup.loads["winch"].mass == pytest.approx(165 * 0.45359237, rel=1e-4)
    assert setup.loads["winch"].place.behind_front_axle == pytest.approx(-30 * 0.0254, rel=1e-3)


def test_a_load_that_is_not_finished_holds_up_itself_alone(vehicle):
    winch = {"name": "winch", "on": True, "mass": "165 lb", "behind": "-30 in", "above": "28 in"}
    own = {"name": "anvil", "on": True, "mass": "", "behind": "", "above": ""}
    alone, both = (aboard(vehicle, {"loads": rows}) for rows in ([winch], [winch, own]))
    assert both["axles"] == alone["axles"]
    assert both["changes"] == alone["changes"]
    assert [(one["name"], one["key"]) for one in both["wrong"]] == [("anvil", "")]
    # With a mass alone, what is missing is named.
    half = aboard(vehicle, {"loads": [winch, {**own, "mass": "50 kg"}]})
    assert [(one["name"], one["key"]) for one in half["wrong"]] == [("anvil", "behind"), ("anvil", "above")]
    # Alone it shows the truck as it is, and no usual loads that nobody ticked.
    assert len(aboard(vehicle, {"loads": [own]})["axles"]["front"]) == 1


def test_nothing_aboard_shows_the_usual_loads_and_changes_nothing(vehicle):
    said = aboard(vehicle, {})
    assert [row["name"] for row in said["usual"]] == [
        row["label"].rsplit(",", 1)[0] for row in said["axles"]["front"][1:-1]
    ]
    assert said["changes"] == {}
    assert said["lift"]["rows"] == []


def test_a_load_goes_into_a_set_up_as_it_was_typed_and_the_rest_in_the_units_shown(vehicle):
    """A usual mass and place are in pounds and inches where the page is; nothing of 500 lb is turned into kilograms."""
    rows = [{"name": "bumper and winch", "on": True, "mass": " 500 lb"}, {"name": "cargo", "on": True}]
    for system, mass, length in (("inch", "lb", "in"), ("metric", "kg", "mm")):
        with shown_in(system):
            said = aboard(vehicle, {"loads": rows})
        winch, cargo = (said["changes"][f"loads.{name}"] for name in ("bumper and winch", "cargo"))
        assert winch["mass"] == "500 lb"
        assert (cargo["mass"].split()[1], winch["place"]["above_ground"].split()[1]) == (mass, length)
        # The usual cargo of the page.
        assert vehicle.changed(said["changes"]).loads["cargo"].mass == pytest.approx(300.0, rel=1e-4)
        other = " mm" if system == "inch" else " in"
        assert not any(other in text for text in (said["ranges"], *(str(one) for one in said["usual"])))


def test_what_is_not_understood_is_said_of_its_load(vehicle):
    rows = [{"name": "cargo", "on": True, "mass": "12 parrots"}, {"name": "box", "on": True, "mass": "10 kg"}]
    said = aboard(vehicle, {"loads": rows, "lift": {"front": "two"}})
    assert {(one["name"], one["key"]) for one in said["wrong"]} == {
        ("cargo", "mass"),
        ("box", "behind"),
        ("box", "above"),
        ("lift", "front"),
    }
    assert [row["label"] for row in said["axles"]["front"]] == ["as it is"]


def test_a_lift_gives_springs_that_hold_it_there(vehicle):
    said = aboard(vehicle, {"lift": {"front": "2 in", "rear": "2 in"}})["lift"]
    assert said["why"] == ""
    assert set(said["changes"]) == {"front.springs.coil.free_length", "rear.springs.coil.free_length"}
    row = next(row for row in said["rows"] if row["label"] == "front: frame above the measured height over the axle")
    assert float(row["after"].split("(")[1].split()[0]) == pytest.approx(2.0, abs=0.05)
    # Half of the track over the height of the centre of gravity.
    wide = aboard(vehicle, {"lift": {"front": "2 in", "rear": "2 in", "track": "60 in"}})["lift"]
    height, tips = (
        {row["label"]: row for row in wide["rows"]}[name]
        for name in (
            "centre of gravity of the whole truck above the ground",
            "T/2h: half of the track over that height",
        )
    )
    assert float(tips["after"]) == pytest.approx(30.0 / float(height["after"].split("(")[1].split()[0]), abs=0.01)
    assert aboard(vehicle, {"lift": {"front": "2 in", "track": "-2 in"}})["wrong"][0]["key"] == "track"
    # 10 m are more than any truck has of travel: said, and no traceback.
    assert aboard(vehicle, {"lift": {"front": "10 m"}})["lift"]["why"]


def test_a_lift_goes_by_the_way_that_is_chosen(vehicle):
    said = aboard(vehicle, {"lift": {"rear": "50 mm", "by": {"front": "springs", "rear": "spacers"}}})["lift"]
    assert list(said["changes"]) == ["rear.springs.coil.spacer"]
    assert "longer shackles" in aboard(vehicle, {"lift": {"rear": "50 mm", "by": {"rear": "shackles"}}})["lift"]["why"]
    # A word that the page does not have is no way.
    plain = aboard(vehicle, {"lift": {"rear": "50 mm", "by": {"rear": "wishes"}}})["lift"]
    assert list(plain["changes"]) == ["rear.springs.coil.free_length"]


def test_loads_are_of_the_truck_as_lifted_and_heights_against_it_as_it_stands(vehicle):
    """Springs of the same rates: the lift and what the winch takes, by the lever rule above, add up."""
    winch = {"name": "winch", "on": True, "mass": "165 lb", "behind": "-30 in", "above": "28 in"}
    said = aboard(vehicle, {"loads": [winch], "lift": {"front": "2 in", "rear": "-1 in"}})
    head = "Frame up (down: minus)"
    assert said["axles"]["front"][0]["label"] == LIFTED_BARE
    assert inches(said, "front", 0, head) == pytest.approx(2.0, abs=0.05)
    assert inches(said, "front", 1, head) == pytest.approx(2.0 - 219 / 380, abs=0.06)
    assert inches(said, "rear", 1, head) == pytest.approx(-1.0 + 54 / 380, abs=0.05)
    assert "front 50.8 mm (2.00 in) up, rear 25.4 mm (1.00 in) down" in said["lift"]["said"]
    # It stands where it was measured, so that both heights are from the same.
    assert "from the height as measured" not in said["against"]
    coil = vehicle.changed({"front.springs.coil.spacer": "5 mm"})
    up = aboard(coil, {"lift": {"front": "50 mm"}})
    assert "front 50.0 mm (1.97 in) up, from the height as measured; without the lift it stands 5." in up["against"]
    assert "above that in front" in up["against"]
    assert aboard(coil, {})["against"] == "Frame up is against the truck as it stands without these loads."
    # Loads are one change and the lift another: each can be tried by itself.
    assert not set(said["changes"]) & set(said["lift"]["changes"])
    # A lift that cannot be leaves the table as it was, and is said where it was typed.
    cannot = aboard(vehicle, {"loads": [winch], "lift": {"front": "10 m"}})
    assert cannot["lift"]["said"] == ""
    assert cannot["axles"] == aboard(vehicle, {"loads": [winch]})["axles"]


def test_what_most_rows_have_in_common_is_said_once_and_a_loads_own_at_its_row(vehicle):
    soft = vehicle.changed({f"{axle}.dampers.main.valving": "soft" for axle in ("front", "rear")})
    said = aboard(soft, {})
    for axle, rows in said["axles"].items():
        verdicts = [row["cells"][0] for row in rows]
        # A sentence without its figures; those of the first row are said there, or once of all.
        judged = [judgement(part) for text in verdicts for part in parted(text)]
        common = [one for one in said["below"][axle] if one.startswith("In every row")]
        assert len(common) == len(said["below"][axle])
        assert not any(judgement(text.split(": ", 1)[1].rstrip(".")) in judged for text in common)
    assert any("damping ratio" in text for text in said["below"]["front"])
