"""What a key wants, asked of the models that read it."""

import pytest

import sim
from sim.describe.files.asked_for import wanted
from sim.describe.files.reader import read
from sim.describe.files.round_trip import put
from sim.errors import InputError

TRUCK = "scenarios/vehicles/hut_supply_truck.yaml"


def leaves(data, place=()):
    for key, value in data.items():
        if isinstance(value, dict):
            yield from leaves(value, (*place, key))
        elif not isinstance(value, list):
            yield (*place, key)


def refusal(truck, changes):
    """Return why changes are refused; empty if they are not."""
    try:
        truck.changed(changes)
    except InputError as error:
        return str(error)
    return ""


@pytest.fixture(scope="module")
def data():
    return read(TRUCK).data


def test_every_value_of_a_file_is_known(data):
    known = {place: wanted(place, data) for place in leaves(data)}
    assert None not in known.values()
    assert not [place for place, one in known.items() if one.kind == "part"]


def test_examples_of_every_quantity_are_read_by_its_key(data):
    """What is shown as an example is taken by the key itself, or refused for its size alone, never for its unit."""
    truck = sim.vehicle_from(data)
    for place in leaves(data):
        for example in wanted(place, data).examples:
            said = refusal(truck, {".".join(place): example})
            # Where its size is refused the unit may be guessed at.
            assert "unit" not in said.replace("look at the unit", "")
            assert " is not a" not in said


def test_words_of_a_choice_are_those_that_the_key_takes(data):
    place = ("front", "dampers", "main", "tube_end")
    assert wanted(place, data).words == ("up", "down")
    put(own := read(TRUCK).data, {place: "sideways"})
    with pytest.raises(InputError, match="up or down"):
        sim.vehicle_from(own)


def test_the_kind_that_is_written_decides_what_keys_there_are(data):
    assert wanted(("front", "dampers", "main", "valving", "compression", "low"), data).quantity == "N*s/m"
    straight = read(TRUCK).data
    straight["front"]["dampers"]["main"]["valving"] = {
        "kind": "straight",
        "compression": "2 kN s/m",
        "rebound": "4 kN s/m",
    }
    assert wanted(("front", "dampers", "main", "valving", "compression", "low"), straight) is None
    assert wanted(("front", "dampers", "main", "valving", "compression"), straight).quantity == "N*s/m"


def test_a_key_that_nobody_knows_wants_nothing(data):
    assert wanted(("front", "wings"), data) is None


def test_usual_ranges_come_with_their_key(data):
    assert (
        wanted(("body", "centre_of_gravity", "above_ground"), data).usual.of
        == "the height of a body's centre of gravity"
    )
    assert wanted(("front", "tyre", "radius"), data).usual.low == pytest.approx(0.28)
