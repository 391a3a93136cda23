"""The form over a file: every value has a box, in the shop's order, and nothing has two."""

import pytest

from sim.describe.files.asked_for import wanted
from sim.describe.files.reader import read
from sim.show.pages.local.fields import LAST, SECTIONS, form, usual_words
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


def test_an_empty_form_asks_for_name_and_wheelbase():
    assert [cell.path for step in form({}) for line in step.lines for cell in line.cells] == ["name", "wheelbase"]


def test_what_is_estimated_has_a_box_with_the_words_of_its_estimate():
    steps = form({}, {"front.tyre.rate": "rate of the tyre", "front.shafts.colour": "colour of the shafts"})
    boxes = {cell.path: line.label for step in steps for line in step.lines for cell in line.cells}
    assert boxes["front.tyre.rate"] == "Rate of one tyre"
    assert boxes["front.shafts.colour"] == "Colour of the shafts"


def test_usual_ranges_are_said_in_both_systems(data):
    said = usual_words(wanted(("front", "tyre", "radius"), data))
    assert said.startswith("Usually 280 to 600 mm (11 to 23.6 in) for the radius of a tyre")
    assert "common practice, no source" in said
    assert usual_words(wanted(("name",), data)) == ""
