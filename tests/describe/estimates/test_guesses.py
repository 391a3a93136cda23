"""A guess of ours says so wherever it stands, with the page that says how to measure it before all else."""

from pathlib import Path

import pytest

from sim.cli.question_list import items
from sim.describe.doubt import GUESS
from sim.describe.estimates import ESTIMATES
from sim.describe.files.as_written import vehicle_text
from sim.describe.files.reader import Document
from sim.describe.files.vehicles import vehicle_from
from sim.show.pages.local.answers import answer
from sim.show.report.estimated import of_damper, rows

TRUCK = {
    "kind": "vehicle", "name": "Guessed", "weighed": {"front": "1980 lb", "rear": "1560 lb", "aboard": ["driver"]}, "wheelbase": "88 in",
    "front": {"springs": {"coil": {"rate": "165 lb/in"}}}, "rear": {"springs": {"pack": {"rate": "240 lb/in"}}},
}  # fmt: skip
GUESSED = (
    "front.dampers.main.axle.ahead", "front.dampers.main.body.above_ground", "rear.dampers.main.lean_inward", "front.guide.pivot.behind_front_axle",
    "front.guide.pivot.above_ground", "front.springs.coil.body.above_ground", "loads.driver.place.above_ground", "points.driver.behind_front_axle",
)  # fmt: skip


@pytest.fixture(scope="module")
def truck():
    return vehicle_from(TRUCK)


def test_mounts_arms_seats_and_straps_are_guesses_and_rates_are_not(truck):
    found = {one.path: one for one in truck.estimates}
    for path in GUESSED:
        assert found[path].is_guess, path
        assert found[path].source_said == f"{GUESS}: measure it first, docs/measure/{found[path].page}"
    straps = [rule for rule in ESTIMATES if ".strap." in rule.path]
    assert straps
    assert all(rule.source == GUESS for rule in straps)
    for path in ("front.tyre.rate", "front.housing.mass", "front.dampers.main.seal_friction"):
        assert not found[path].is_guess


def test_the_table_of_stand_has_its_page_first(truck):
    words = {label: text for label, _, _, text, _ in rows(truck.estimates)}
    assert words["upper mount, above the ground"].startswith(f"{GUESS}, measure it first; from ")
    assert GUESS not in words["rate of the tyre"]


def test_the_sheets_list_says_which_are_guesses(truck):
    said = of_damper(truck.estimates, "front", "main")
    own = said.partition(f"Of these {GUESS}: ")[2]
    assert "upper mount, above the ground" in own
    assert "measure them first (docs/measure/dampers.md)" in own
    assert "friction" not in own


def test_the_form_the_file_and_the_questions_say_it(truck):
    said = answer(Document(TRUCK, Path("truck.yaml")))["estimates"]
    guesses = {path: one for path, one in said.items() if GUESS in one.get("source", "")}
    assert "front.dampers.main.body.above_ground" in guesses
    assert all("measure it first, docs/measure/" in one["source"] for one in guesses.values())
    line = next(one for one in vehicle_text(TRUCK).splitlines() if GUESS in one)
    assert "docs/measure/" in line
    mount = next(item.field for item in items() if item.field.path == "front.dampers.main.body.above_ground")
    assert mount.source == GUESS
