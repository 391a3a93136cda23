"""What a set-up changes, in a report: words of the form, no key of a file but small beneath, both units."""

import re
from pathlib import Path

import pytest

from sim.describe.files.scenario import load_scenario
from sim.describe.shown import shown_in
from sim.show.pages.called import called
from sim.show.pages.report.changed import changed
from sim.show.pages.report.units import cell

SCENARIOS = sorted((Path(__file__).parents[3] / "scenarios").glob("*.yaml"))


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_no_key_of_a_file_stands_among_the_words(path):
    for changes in load_scenario(path).changes.values():
        said = changed(changes)
        assert bool(said.metric) == bool(changes)
        # A name that people chose may have any letters; a file of points has its own.
        words = re.sub(r"“[^”]*”|\S+\.csv", "", said.metric)
        assert not re.search(r"[a-z]_[a-z]|\b(front|rear|body|loads|dampers)\.[a-z]", words), said.metric
        assert all(key in said.soft for key in changes)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"front.springs.coil.free_length": "19.61 in"}, "Front springs: length without load 498 mm (19.61 in)"),
        ({"rear.dampers": None}, "Rear dampers: none"),
        ({"front.dampers.second": None}, "Front dampers “second”: none"),
        ({"front.stop.gap": "60 mm", "front.strap": None}, "Front axle: gap to the bump stop 60 mm (2.36 in); strap none"),
        ({"loads.crate": {"mass": "700 lb", "place": {"above_ground": "40 in"}}}, "Load “crate”: mass 318 kg (700 lb); above ground 1016 mm (40 in)"),
        ({"loads.crate": None}, "Load “crate”: none"),
        ({"front.dampers.main.count": 4, "front.dampers.main.tube_end": "up"}, "Front dampers: how many on the axle 4; tube end up"),
        ({"rear.springs.pack.halves": {"ahead": "22 in"}}, "Rear springs: front eye to nearer U-bolt 559 mm (22 in)"),
        ({"wheelbase": "110 in"}, "Wheelbase 2794 mm (110 in)"),
        ({}, ""),
    ],
)  # fmt: skip
def test_changes_in_words(changes, said):
    """By 25.4 mm an inch and 0.45359237 kg a pound: 498.1 mm, 317.5 kg, 558.8 mm, to three digits."""
    assert changed(changes).metric == said


def test_in_one_system_alone_its_units_stand_alone():
    with shown_in("metric"):
        assert changed({"front.springs.coil.rate": "205.6 lb/in"}).metric == "Front springs: rate of one 36 N/mm"


def test_units_of_files_are_marked_too():
    """A page shows one of both, as it is chosen there."""
    text = str(cell(changed({"front.dampers.main.valving.rebound.low": "2.6 kN s/m"})))
    assert '<span class="metric">2.6 kN s/m</span>' in text
    assert "<small>" in text


def test_an_input_that_moves_has_the_form_s_words():
    assert called("front.dampers.main.count") == "Front dampers: how many on the axle"
    assert called("front.tyre.rate, rear.tyre.rate") == "Front tyres: rate of one tyre, Rear tyres: rate of one tyre"
    # As its box in the page's set-ups is called.
    assert called("front.dampers.added.gas_force") == "Front dampers, second set: push of the gas"
    assert called("run.speed") == "speed"
    assert called("run.course.items.1.depth") == "course items 1 depth"
    assert called("wheelbase") == "Wheelbase"
