"""More load in the bed on the page: added to what the truck and its set-ups carry, by name and by sum."""

import pytest

from sim.describe.files.vehicles import vehicle_from
from sim.describe.shown import shown_in
from sim.show.pages.local.more_load import loaded, more_load_words

TRUCK = {
    "weighed": {"front": "1150 kg", "rear": "900 kg", "aboard": ["driver"]}, "wheelbase": "2340 mm",
    "front": {"springs": {"coil": {"rate": "33 N/mm"}}}, "rear": {"springs": {"pack": {"rate": "40 N/mm"}}},
}  # fmt: skip


def cargo(kg, behind="2340 mm", above="1 m"):
    return {"mass": f"{kg} kg", "place": {"behind_front_axle": behind, "above_ground": above}}


@pytest.fixture(scope="module")
def base():
    return vehicle_from(TRUCK)


def words(base, typed, rows):
    load = loaded(base, typed, rows)
    setups = {row["name"]: base.changed({**load, **row["changes"]}) for row in rows}
    with shown_in("metric"):
        return setups, more_load_words(base, load, setups)


def test_a_set_ups_own_cargo_is_carried_too_and_the_sum_is_said(base):
    rows = [{"name": "as it is", "changes": {}}, {"name": "laden", "changes": {"loads.cargo": cargo(250, "1900 mm")}}]
    setups, said = words(base, "300 kg", rows)
    # The driver is aboard of both, and is no cargo.
    assert sum(one.mass for one in setups["laden"].loads.values()) - sum(
        one.mass for one in base.loads.values()
    ) == pytest.approx(550.0)
    assert said == [
        "300 kg is added to every set-up, 2340 mm behind the front axle.",
        "“laden” carries cargo 250 kg of its own: with it 550 kg of load.",
    ]


def test_a_load_of_the_same_name_is_added_to_and_not_lost(base):
    """A scenario that was saved with a load has it in each set-up, under the name that the box itself gives."""
    rows = [{"name": "saved", "changes": {"loads.in the bed": cargo(200)}}]
    setups, said = words(base, "100 kg", rows)
    assert {name for name in setups["saved"].loads} == {"driver", "in the bed", "more in the bed"}
    assert "with it 300 kg of load" in said[1]
    # The truck's own file may have one too.
    laden = base.changed({"loads.in the bed": cargo(200)})
    (name,) = loaded(laden, "100 kg")
    assert name == "loads.more in the bed"


def test_cargo_at_the_same_place_may_be_the_same(base):
    place = loaded(base, "300 kg")["loads.in the bed"]["place"]
    stores = cargo(300, place["behind_front_axle"], place["above_ground"])
    _, said = words(base, "300 kg", [{"name": "laden", "changes": {"loads.stores": stores}}])
    assert said[1].endswith("“stores” lies at the same place: if it is the same cargo, empty this box.")


def test_nothing_typed_adds_and_says_nothing(base):
    assert words(base, " ", [{"name": "laden", "changes": {"loads.cargo": cargo(250)}}])[1] == []


def test_an_engine_is_a_load_and_no_cargo_and_names_stay_as_they_are_written(base):
    place = loaded(base, "300 kg")["loads.in the bed"]["place"]
    own = {
        "loads.Stores A": cargo(300, place["behind_front_axle"], place["above_ground"]),
        "loads.heavier engine": cargo(80, "100 mm"),
    }
    _, said = words(base, "300 kg", [{"name": "laden", "changes": own}])
    assert "with it 680 kg of load." in said[1]
    assert "“Stores A” lies at the same place" in said[1]
