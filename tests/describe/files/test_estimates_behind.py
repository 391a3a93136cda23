"""Estimates behind # in a file: what is given later takes its line, the others follow, a person's own lines and remarks stay."""

import re
from pathlib import Path

import pytest
import yaml

from sim.describe.estimates.fields import fields, with_text_at
from sim.describe.files.as_written import vehicle_text
from sim.describe.files.estimates_behind import edited_beside_estimates
from sim.describe.files.reader import Document
from sim.describe.files.vehicles import vehicle_from
from sim.show.pages.local.answers import as_edited, as_shop_writes

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


SCALE = {
    "kind": "vehicle", "name": "Scale", "weighed": {"front": "2450 lb", "rear": "1780 lb"},
    "front": {"springs": {"coil": {"kind": "coil", "rate": "190 lb/in"}}},
}  # fmt: skip
"""A truck of which nothing is given of any tyre, and nothing at all behind."""


def changed(text, before, edits):
    """Return a text and its mapping after edits by dotted path; None takes out."""
    places = {tuple(path.split(".")): value for path, value in edits.items()}
    data = as_edited(Document(before, Path("x.yaml")), places).data
    return edited_beside_estimates(text, before, data, as_shop_writes(before, places)), data


def touched(data):
    return vehicle_text(data).replace("name: Scale", "name: Scale  # mine")


def uncommented(text):
    """Return what is in a file whose estimates are all taken as they are, as its head says."""
    head, rest = text.split("\nkind:", 1)
    return yaml.safe_load("kind:" + "\n".join(line.removeprefix("# ") for line in rest.splitlines()))


def at(data, path):
    for step in path.split("."):
        data = data[step]
    return data


NO_LINE = [
    {"front.tyre.pressure": "32 psi"},
    {"rear.tyre.pressure": "28 psi", "front.tyre.pressure": "32 psi"},
    {"front.tyre.jacked.load": "800 lb, 1300 lb", "front.tyre.pressure": "32 psi", "front.tyre.jacked.height": "14 in, 13.5 in"},
    {"rear.springs": "coils", "rear.springs.coil.rate": "230 lb/in"},
    {"front.springs.coil.spacer": "1 in"},
    {"weighed.aboard": "driver"},
]  # fmt: skip


@pytest.mark.parametrize("edits", NO_LINE, ids=lambda edits: next(iter(edits)))
def test_what_has_no_estimates_line_stands_in_its_part_whatever_is_uncommented_around_it(edits):
    text, data = changed(touched(SCALE), SCALE, edits)
    assert vehicle_from(yaml.safe_load(text)).model_dump() == vehicle_from(data).model_dump()
    whole = uncommented(text)
    for path in edits:
        assert at(whole, path) == at(data, path) if not path.endswith("springs") else "coil" in at(whole, path)


def test_a_pressure_in_front_stays_there_when_the_rear_is_measured():
    text, _ = changed(touched(SCALE), SCALE, {"front.tyre.pressure": "32 psi"})
    rear = text.index("# rear:")
    text = text[:rear] + re.sub(r"^# (rear:|  housing:|    mass:)", r"\1", text[rear:], count=3, flags=re.MULTILINE)
    data = yaml.safe_load(text)
    assert data["front"]["tyre"] == {"pressure": "32 psi"}
    assert set(data["rear"]) == {"housing"}
    assert behind(text[:rear]) == behind(
        vehicle_text(changed(text, SCALE, {"front.tyre.pressure": "32 psi"})[1]).split("# rear:")[0]
    )


def test_what_is_given_second_stands_beside_what_was_given_first():
    text, data = changed(touched(SCALE), SCALE, {"front.tyre.pressure": "32 psi"})
    text, data = changed(text, data, {"front.tyre.outside_diameter": "33 in"})
    assert uncommented(text)["front"]["tyre"]["outside_diameter"] == "33 in"


def test_what_is_taken_out_leaves_its_estimates_under_their_own_part():
    given, data = changed(touched(SCALE), SCALE, {"front.tyre.pressure": "32 psi", "rear.stop.gap": "3 in"})
    text, data = changed(given, data, {"front.tyre.pressure": None, "rear.stop.gap": None})
    assert data == SCALE
    assert text == touched(SCALE)


def test_a_remark_of_ones_own_behind_an_estimate_stays_when_it_is_brought_up_to_date_or_given():
    text = touched(SCALE)
    lines = {
        one: next(line for line in text.splitlines() if line.startswith(one)) for one in ("# wheelbase:", "#   tyre:")
    }
    for line in lines.values():
        text = text.replace(line, f"{line}  # ask Bob", 1)
    renewed, data = changed(text, SCALE, {"weighed.front": "2900 lb"})
    body = "#   mass: about"
    assert body in renewed
    assert vehicle_text(data).split("\n# body:")[1].splitlines()[1] in renewed
    assert f"{lines['# wheelbase:']}  # ask Bob" in renewed
    assert "#   tyre:  # ask Bob\n" in renewed
    given, _ = changed(text, SCALE, {"wheelbase": "92 in", "front.tyre.pressure": "32 psi"})
    assert re.search(r"^wheelbase: 92 in +# given  # ask Bob$", given, re.MULTILINE)
    assert re.search(r"^  tyre:  # ask Bob$", given, re.MULTILINE)


def test_a_line_of_ones_own_in_an_estimates_place_stays_and_one_that_goes_leaves_its_remark():
    text = touched(SCALE)
    old = next(line for line in text.splitlines() if line.startswith("# wheelbase:"))
    text = text.replace(old, "# wheelbase: 93 in, says Bob")
    friction = next(line for line in text.splitlines() if "friction_travel" in line)
    text = text.replace(friction, f"{friction} # ask Bob")
    after_text, _ = changed(text, SCALE, {"rear.springs": "coils", "wheelbase": "92 in"})
    assert "\n# wheelbase: 93 in, says Bob\n" in after_text
    assert "friction_travel" not in after_text
    assert "\n# ask Bob\n" in after_text
    assert yaml.safe_load(after_text)["wheelbase"] == "92 in"
