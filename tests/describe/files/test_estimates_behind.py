"""Estimates behind # in a file: what is given later takes its line, the others follow, a person's own lines stay to the letter."""

import re

import pytest
import yaml

from sim.describe.estimates.fields import fields, with_text_at
from sim.describe.files.as_written import vehicle_text
from sim.describe.files.estimates_behind import edited_beside_estimates
from sim.describe.files.vehicles import vehicle_from

BEFORE = {
    "kind": "vehicle", "name": "Ticket", "weighed": {"front": "2450 lb", "rear": "1780 lb"}, "wheelbase": "92 in",
    "front": {"tyre": {"outside_diameter": "33 in"}, "springs": {"coil": {"kind": "coil", "rate": "190 lb/in"}}},
}  # fmt: skip
KNOWN = {field.path: field for field in fields()}
TOUCHED = "# mine: above all\n"


def after(edits):
    data = BEFORE
    for path, text in edits.items():
        data = with_text_at(data, path, text, KNOWN.get(path))
    return data


def saved(edits, touched=True):
    """Return the text after edits, of a file that a person has touched or not."""
    text = vehicle_text(BEFORE)
    if touched:
        text = text.replace("wheelbase: 92 in", "wheelbase: 92 in   # by the long tape") + TOUCHED
    places = {tuple(path.split(".")): value for path, value in edits.items()}
    return edited_beside_estimates(text, BEFORE, after(edits), places)


def behind(text):
    """Return the estimates in a text, by their last two keys' line."""
    return [line for line in text.splitlines() if re.match(r"# +\S+: about", line)]


EDITS = [
    {"front.tyre.rate": "1500 lb/in"},
    {"front.housing.mass": "500 lb"},
    {"body.pitch_inertia": "46000 lb ft^2", "front.stop.gap": "3 in"},
    {"rear.dampers.main.length_extended": "23.5 in", "rear.dampers.main.length_collapsed": "14.25 in"},
    {"wheelbase": "93 in"},
    {"weighed.front": "2500 lb"},
]


@pytest.mark.parametrize("edits", EDITS, ids=lambda edits: next(iter(edits)))
@pytest.mark.parametrize("touched", [False, True])
def test_no_estimate_is_left_beside_what_is_given_or_as_it_was(edits, touched):
    text = saved(edits, touched)
    data = yaml.safe_load(text)
    assert vehicle_from(data).model_dump() == vehicle_from(after(edits)).model_dump()
    # Every estimate in the text is one of the truck as it is now, in the words of a new file of it.
    fresh = vehicle_text(after(edits))
    assert behind(text) == behind(fresh)
    if touched:
        assert text.endswith(TOUCHED)
    else:
        assert text == fresh


@pytest.mark.parametrize("edits", EDITS[:4], ids=lambda edits: next(iter(edits)))
def test_what_is_given_stands_in_its_estimates_line_and_lines_that_nobody_touched_stay(edits):
    before, text = saved({}), saved(edits)
    old, new = (set(one.splitlines()) for one in (before, text))
    given = [line for line in new - old if "# given" in line]
    assert {line.split(":")[0].strip() for line in given} == {path.rsplit(".", 1)[1] for path in edits}
    # All that is gone was behind #.
    assert all(line.startswith("# ") for line in old - new)


def test_uncommented_as_its_head_says_it_is_still_a_whole_file():
    text = saved({"front.housing.mass": "500 lb", "front.stop.gap": "3 in"})
    head, rest = text.removesuffix(TOUCHED).split("\nkind:", 1)
    whole = yaml.safe_load("kind:" + "\n".join(line.removeprefix("# ") for line in rest.splitlines()))
    assert vehicle_from(whole).estimates == ()


def test_other_springs_take_their_estimates_along():
    text = saved({"rear.springs.pack.rate": "230 lb/in"})
    assert yaml.safe_load(text)["rear"]["springs"] == {"pack": {"rate": "230 lb/in"}}
    assert "pack:\n#         rate: about" not in text


def test_a_remark_of_ones_own_that_looks_like_a_key_stays():
    text = vehicle_text(BEFORE) + "# mass: ask the yard\n#   rate: measured twice\n"
    edits = {("wheelbase",): "93 in"}
    after_text = edited_beside_estimates(text, BEFORE, after({"wheelbase": "93 in"}), edits)
    assert after_text.endswith("# mass: ask the yard\n#   rate: measured twice\n")


def test_a_file_that_somebody_wrote_by_hand_is_edited_and_nothing_added():
    text = "kind: vehicle\nname: Mine  # old\nweighed: {front: 2450 lb}\n"
    data = yaml.safe_load(text)
    edited = edited_beside_estimates(text, data, {**data, "wheelbase": "92 in"}, {("wheelbase",): "92 in"})
    assert edited == text + "wheelbase: 92 in\n"
