"""What a set-up of the page may change: every entry of the list can be, and stands under the part that it is of."""

from pathlib import Path

import pytest

from sim.describe.files.changes import changed_as_far_as_it_goes
from sim.describe.files.measured import completed_document
from sim.describe.files.reader import Document, read
from sim.describe.files.vehicles import load_vehicle
from sim.show.pages.local.answers import as_edited, vehicle_of
from sim.show.pages.local.changeable import ENGINE, changeable
from sim.show.pages.local.fields import form
from sim.show.pages.local.paper import as_boxes, as_changes

NEW = Document({"kind": "vehicle", "name": "x", "weighed": {}}, Path("x.yaml"))
HUT = read("scenarios/vehicles/hut_supply_truck.yaml")


@pytest.mark.parametrize("document", [NEW, HUT], ids=["new", "hut"])
def test_everything_that_is_offered_can_be_changed_and_stands_under_its_part(document):
    groups = changeable(document, form(document.data))
    titles = [group.title for group in groups]
    assert titles[0] == "Front dampers"
    assert len(set(titles)) == len(titles)
    # A box that goes with coils, or with packs, is shown once these are chosen.
    either = (
        [
            as_edited(document, {(axle, "springs"): word for axle in ("front", "rear")})
            for word in ("coils", "leaf packs")
        ]
        if document is NEW
        else []
    )
    wholes = [completed_document(one)[0] for one in (document, *either)]
    for group in groups:
        for change in group.changes:
            assert any(not changed_as_far_as_it_goes(whole, {change.path: "1"})[1] for whole in wholes)
            first, *rest = change.path.split(".")
            if group.title == ENGINE:
                assert change.label.startswith(first.capitalize()) == (first in ("front", "rear"))
            elif first in ("front", "rear"):
                assert group.title.startswith(first.capitalize())
            assert (rest[:1] == ["dampers"]) == group.title.endswith("dampers")


def test_what_was_weighed_of_the_truck_is_not_offered():
    paths = {change.path for group in changeable(NEW, form(NEW.data)) for change in group.changes}
    assert "front.dampers.main.valving" in paths
    assert "front.tyre.pressure" in paths
    assert {"front.springs.coil.rate", "front.springs.pack.rate"} <= paths
    assert not any(
        path.startswith("weighed") or path in ("name", "overall_length", "front.springs", "front.axle_height")
        for path in paths
    )


@pytest.mark.parametrize(("name", "offered"), [("pack", {"coil", "pack"}), ("old leaves", {"old leaves"})])
def test_springs_by_a_name_of_the_shop_are_offered_by_that_name_alone(name, offered):
    """Of the form's names the page shows the one that is chosen; an axle with another name has neither."""
    springs = {name: {"kind": "leaf_pack", "rate": "190 lb/in"}}
    document = Document({**NEW.data, "rear": {"springs": springs}}, Path("x.yaml"))
    paths = [change.path for group in changeable(document, form(document.data)) for change in group.changes]
    rates = [path.split(".") for path in paths if path.startswith("rear.springs.") and path.endswith(".rate")]
    assert {steps[2] for steps in rates} == offered


@pytest.mark.parametrize("part", ["", "strap: none"])
def test_a_strap_is_offered_where_the_truck_has_none_and_can_be_tried(part, tmp_path):
    """The cure that the page proposes for dampers that end an axle's droop."""
    path = tmp_path / "shop.yaml"
    path.write_text(
        "kind: vehicle\nname: Shop\nweighed: {front: 2450 lb, rear: 1780 lb}\nwheelbase: 92 in\n"
        f"front: {{springs: {{coil: {{kind: coil}}}}}}\nrear:\n  springs: {{pack: {{kind: leaf_pack}}}}\n  {part}\n",
        encoding="utf-8",
    )
    document = read(path)
    paths = [change.path for group in changeable(document, form(document.data)) for change in group.changes]
    assert "rear.strap.length" in paths
    strapped = load_vehicle(path).changed({"rear.strap.length": "400 mm"})
    assert strapped.rear.strap.length == pytest.approx(0.4)


def test_only_numbers_are_offered_to_vary_through_a_range():
    data = Document({"kind": "vehicle", "name": "x", "weighed": {}, "wheelbase": "92 in"}, Path("x.yaml"))
    offered = {one.path: one.is_number for group in changeable(data, form(data.data)) for one in group.changes}
    words = {
        f"{axle}.{key}"
        for axle in ("front", "rear")
        for key in ("dampers.main.valving", "dampers.main.construction", "tyre.size", "dampers.added")
    }
    assert {path for path, is_number in offered.items() if not is_number} == words


def test_a_second_set_of_dampers_is_one_change_of_its_boxes():
    typed = {
        "front.dampers.added.count": "2",
        "front.dampers.added.length_extended": "23.5 in",
        "front.dampers.added.length_collapsed": "14.25 in",
        "front.dampers.added.body.behind_front_axle": "-5 in",
        "front.dampers.added.axle.ahead": "2 in",
        "front.stop.gap": "2 in",
    }
    changes = as_changes(typed)
    assert changes == {
        "front.stop.gap": "2 in",
        "front.dampers.added": {
            "count": 2, "length_extended": "23.5 in", "length_collapsed": "14.25 in", "body": {"behind_front_axle": "-5 in"}, "axle": {"ahead": "2 in"},
        },
    }  # fmt: skip
    assert {path: str(value) for path, value in as_boxes(changes).items()} == typed
    offered = [change.path for group in changeable(NEW, form(NEW.data)) for change in group.changes]
    assert "front.dampers.added" in offered
    vehicle = vehicle_of(
        as_edited(NEW, {("weighed", "front"): "2450 lb", ("weighed", "rear"): "1780 lb", ("wheelbase",): "92 in"})
    )
    added = vehicle.changed(changes).front.dampers
    assert set(added) == {"main", "added"}
    assert added["added"].length_extended == pytest.approx(23.5 * 0.0254)
    assert added["added"].body.behind_front_axle == pytest.approx(-5 * 0.0254)
    assert added["added"].axle.ahead == pytest.approx(2 * 0.0254)
