"""The form over a file: every value has a box, in the shop's order, and nothing has two."""

import pytest

from sim.describe.estimates.fields import SPRINGS, fields
from sim.describe.files.reader import read
from sim.describe.shown import shown_in
from sim.show.pages.local.fields import form
from sim.show.pages.local.ranges import example_shown, examples, usual_words
from sim.show.pages.rows import CLEARANCES, LAST, POWER, SECTIONS
from tests.describe.files.test_asked_for import leaves

TRUCK = "scenarios/vehicles/hut_supply_truck.yaml"


@pytest.fixture(scope="module")
def data():
    return read(TRUCK).data


def test_every_value_of_a_file_has_one_box_with_what_the_file_has(data):
    cells = [cell for step in form(data) for line in step.lines for cell in line.cells]
    paths = [cell.path for cell in cells]
    assert len(set(paths)) == len(paths)
    assert {".".join(place) for place in leaves(data) if place[-1] != "kind"} <= set(paths)
    texts = {cell.path: cell.value for cell in cells}
    assert texts["front.tyre.rate"] == "265 N/mm"
    assert texts["front.dampers.main.rod_mass"] == "1.0 kg"


def test_a_file_in_older_words_has_the_boxes_of_today(data):
    older = read(TRUCK).data
    damper = older["front"]["dampers"]["main"]
    damper["law"] = damper.pop("valving")
    damper["law"]["bump"] = damper["law"].pop("compression")
    cells = {cell.path: (cell, line) for step in form(older) for line in step.lines for cell in line.cells}
    cell, line = cells["front.dampers.main.law.bump.low"]
    assert cell.now == "front.dampers.main.valving.compression.low"
    assert cell.wants.quantity == "N*s/m"
    assert line.label == "Compression, slow: force by speed"


def test_axles_stand_side_by_side(data):
    lines = {line.label: line for step in form(data) for line in step.lines}
    assert [cell.axle for cell in lines["Gap to the bump stop"].cells] == ["front", "rear"]
    assert [cell.axle for cell in lines["Wheelbase"].cells] == [""]


def test_how_many_dampers_is_asked_though_the_file_leaves_it_to_its_default(data):
    assert "count" not in data["front"]["dampers"]["main"]
    cells = {cell.path: cell for step in form(data) for line in step.lines for cell in line.cells}
    cell = cells["front.dampers.main.count"]
    assert (cell.value, cell.placeholder) == ("", "2")


def test_springs_and_dampers_stand_together_by_name(data):
    for step in form(data):
        names = [line.of for line in step.lines]
        runs = [name for place, name in enumerate(names) if place == 0 or names[place - 1] != name]
        assert len(set(runs)) == len(runs)


def test_steps_come_in_the_order_in_which_a_shop_measures(data):
    titles = [step.section.title for step in form(data)]
    known = [section.title for section in (*SECTIONS, LAST)]
    assert titles == [title for title in known if title in titles]
    assert titles[:3] == ["The truck", "On the scale", "Tyres"]


def test_an_empty_file_without_weights_asks_for_name_and_wheelbase():
    steps = [step for step in form({}) if step.section.name not in (POWER, CLEARANCES)]
    assert [cell.path for step in steps for line in step.lines for cell in line.cells] == ["name", "wheelbase"]


def test_a_truck_as_measured_has_a_box_for_all_that_a_shop_fills_in():
    steps = form({"kind": "vehicle", "name": "x", "weighed": {}})
    boxes = {cell.path: (line, cell) for step in steps for line in step.lines for cell in line.cells}
    assert {field.path for field in fields()} <= set(boxes)
    line, cell = boxes["front.springs.coil.rate"]
    assert (line.label, line.of, cell.when) == ("Rate of one", "coil", "front.springs=coils")
    assert boxes["rear.springs"][1].choices == tuple(SPRINGS)
    # None of them stands under its bare keys.
    assert LAST not in [step.section for step in steps]


def test_what_is_said_of_a_stop_to_be_measured_has_a_box():
    """A stop whose height was taped is still in doubt by how far it squeezes: `stand` and the order sheet ask for that."""
    paths = {cell.path for step in form({"weighed": {}}) for line in step.lines for cell in line.cells}
    assert {"front.stop.squeeze", "rear.stop.squeeze"} <= paths


def test_a_coils_boxes_are_told_of_coils_and_a_packs_of_packs():
    cells = {cell.path: cell for step in form({"weighed": {}}) for line in step.lines for cell in line.cells}
    for path, cell in cells.items():
        if ".springs.coil." in path and cell.wants:
            assert "pack" not in cell.wants.description, path
    assert "pack" in cells["rear.springs.pack.rate"].wants.description


def test_examples_of_two_numbers_in_a_box_are_in_the_units_that_are_shown():
    """By hand 800 lb are 363 kg, 1300 lb 590 kg, 15.9 in 404 mm and 15.6 in 396 mm."""
    like = {
        own.path: examples(cell)
        for step in form({"weighed": {}})
        for line in step.lines
        for cell in line.cells
        if (own := cell.asked)
    }
    assert like["front.tyre.jacked.load"] == {"metric": "363 kg, 590 kg", "inch": "800 lb, 1300 lb"}
    assert like["rear.tyre.jacked.height"] == {"metric": "404 mm, 396 mm", "inch": "15.9 in, 15.6 in"}
    load = next(own for own in fields() if own.path == "front.tyre.jacked.load")
    with shown_in("metric"):
        assert example_shown(load) == "363 kg, 590 kg"
    with shown_in("both"):
        assert example_shown(load) == "363 kg, 590 kg or 800 lb, 1300 lb"


def test_lists_stand_in_one_box_as_they_are_typed():
    data = {
        "weighed": {"aboard": ["driver", "half a tank"]},
        "front": {"tyre": {"jacked": {"load": ["800 lb", "1300 lb"]}}},
    }
    values = {cell.path: cell.value for step in form(data) for line in step.lines for cell in line.cells}
    assert values["weighed.aboard"] == "driver, half a tank"
    assert values["front.tyre.jacked.load"] == "800 lb, 1300 lb"


def test_usual_ranges_are_said_in_both_systems(data):
    cells = {cell.path: cell for step in form(data) for line in step.lines for cell in line.cells}
    said = usual_words(cells["front.tyre.radius"])
    assert said.startswith("Usually 280 to 600 mm (11 to 23.6 in) for the radius of a tyre")
    assert "common practice, no source" in said
    assert usual_words(cells["name"]) == ""
