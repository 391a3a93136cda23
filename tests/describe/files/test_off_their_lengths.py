"""Lengths taped twice that do not agree: said at the box of the one that is taken or left, with what comes of it. All by hand."""

import pytest

from sim.describe.files.reader import read
from sim.describe.files.vehicles import validated_vehicle

TRUCK = """\
kind: vehicle
name: Taped twice
weighed: {{front: 1120 kg, rear: 1340 kg, aboard: [driver]}}
wheelbase: 2850 mm
front: {{}}
rear:
  axle_height: 380 mm
  springs:
    pack: {{kind: leaf_pack, leaves: 7, leaf_width: 70 mm, leaf_thickness: 7 mm, halves: {{ahead: 600 mm, behind: 650 mm}}, length: {length}{clamped}}}
  dampers:
    main:
      length_at_ride: {taped}
      body: {{behind_front_axle: 2700 mm, above_ground: 730 mm}}
      axle: {{ahead: -60 mm, above: -40 mm}}
{across}"""


def said(tmp_path, length="1360 mm", clamped=", clamped: 110 mm", taped="455 mm", across="      lean_inward: 100 mm\n"):
    path = tmp_path / "truck.yaml"
    path.write_text(TRUCK.format(length=length, clamped=clamped, taped=taped, across=across), encoding="utf-8")
    return {".".join(map(str, one.place)): " ".join(one.lines) for one in validated_vehicle(read(path)).unusual}


def test_parts_that_make_the_whole_are_left_alone(tmp_path):
    assert said(tmp_path) == {}
    # 1 % of it is what a tape may be off.
    assert said(tmp_path, length="1345 mm") == {}


def test_a_pack_whose_halves_were_taped_to_the_centre_bolt(tmp_path):
    # 600 + 650 + 110 = 1360; (1250 / 1140)^3 = 1.318
    text = said(tmp_path, length="1250 mm")["rear.springs.pack.length"]
    assert "32 % more" in text
    assert "1360" in text
    assert "nearer U-bolt" in text


def test_without_the_u_bolts_whatever_is_usual_may_lie_between(tmp_path):
    assert said(tmp_path, length="1360 mm", clamped="") == {}
    # 1600 - 1250 = 350 mm are held by no U-bolts.
    assert list(said(tmp_path, length="1600 mm", clamped="")) == ["rear.springs.pack.length"]


@pytest.mark.parametrize("across", ["      lean_inward: 100 mm\n", ""])
def test_a_damper_that_is_not_as_long_as_its_mounts_are_apart(tmp_path, across):
    # 210 mm along, 730 - (380 - 40) = 390 mm up, 100 mm across: 454 mm; without the last 443 mm at least.
    text = said(tmp_path, taped="400 mm", across=across)["rear.dampers.main.length_at_ride"]
    assert ("454.1 mm" if across else "442.9 mm") in text
    assert said(tmp_path, taped="450 mm", across=across) == {}


def test_how_far_it_leans_across_explains_a_longer_one_if_nobody_taped_that(tmp_path):
    assert list(said(tmp_path, taped="520 mm")) == ["rear.dampers.main.length_at_ride"]
    assert said(tmp_path, taped="520 mm", across="") == {}


def test_a_set_ups_own_mounts_are_meant(tmp_path):
    said(tmp_path)
    vehicle = validated_vehicle(read(tmp_path / "truck.yaml"))
    moved = vehicle.changed({"rear.dampers.main.body.above_ground": "800 mm"})
    assert moved.unusual == ()
