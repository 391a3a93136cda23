"""Dampers that a lift leaves too short for the droop of their axle: whether that is known, and whether the lift has done it."""

import json

import pytest

from sim.cli import main
from sim.describe.files.vehicles import vehicle_from
from sim.linear.standing import stand
from sim.study.lift import lifted
from tests.study.test_lift import STRAPLESS


def test_a_block_that_makes_the_dampers_too_short_for_the_droop_is_said(tmp_path, capsys):
    """By hand: the spring hangs as it hung, so all of the block comes out of the damper; upright, 100 mm out of what was left at full droop."""
    upright = {
        "count": 2, "body": {"behind_front_axle": "92 in", "above_ground": "830 mm"}, "axle": {"ahead": "0 mm", "above": "0 mm"}, "lean_inward": "0 mm",
        "length_extended": "26 in", "length_collapsed": "14 in",
    }  # fmt: skip
    data = {**STRAPLESS, "rear": {**STRAPLESS["rear"], "dampers": {"main": upright}}}
    truck = vehicle_from(data)
    lift = lifted(truck, {"rear": 0.100}, by={"rear": "spacers"})
    row = next(row for row in lift.rows if row.label == "rear damper 'main': room left at full droop, 5 deg of wind-up")
    assert row.before == pytest.approx(stand(truck).axles["rear"].dampers[0].room_in_droop)
    assert row.before - row.after == pytest.approx(0.100, abs=3e-3)
    assert row.before > 0.0 > row.after
    assert any("the axle hangs on them" in note for note in lift.notes)
    less = lifted(truck, {"rear": 0.5 * row.before}, by={"rear": "spacers"})
    assert not any("the axle hangs on them" in note for note in less.notes)
    file = tmp_path / "truck.yaml"
    file.write_text(json.dumps({"kind": "vehicle", **data}), encoding="utf-8")
    assert main(["lift", str(file), "--rear", "4 in", "--by", "rear:blocks"]) == 0
    assert "the rear dampers are too short for the droop" in " ".join(capsys.readouterr().out.split())


def test_dampers_that_estimates_alone_find_too_short_may_be_too_short(tmp_path, capsys):
    """Taped eye to eye, the damper's room at full droop rests on where its mounts are, which nobody measured; by the strap it is as short before the lift."""
    damper = {"length_collapsed": "330 mm", "length_extended": "520 mm", "length_at_ride": "430 mm"}
    front = {"springs": {"coil": {"rate": "50 N/mm"}}, "dampers": {"main": damper}, "strap": {"length": "430 mm"}}
    data = {"name": "shop", "weighed": {"front": "1310 kg", "rear": "1150 kg"}, "wheelbase": "2.68 m", "front": front}
    truck = vehicle_from(data)
    lift = lifted(truck, {"front": 0.03})
    row = next(
        row for row in lift.rows if row.label == "front damper 'main': room left at full droop, 5 deg of wind-up"
    )
    assert row.after < 0.0
    # The same strap holds the axle at the same place.
    assert row.before == pytest.approx(row.after, abs=2e-4)
    (said,) = (note for note in lift.notes if "where droop ends" in note)
    assert said.startswith("front: its 'main' dampers may be fully out where droop ends: as far as estimates say")
    assert "more or less. If they are, the axle hangs on them" in said
    assert "Measure the places of the damper's mounts first. They are as short without the lift." in said
    assert lift.may_be_short == {"front"}
    file = tmp_path / "truck.yaml"
    file.write_text(json.dumps({"kind": "vehicle", **data}), encoding="utf-8")
    assert main(["lift", str(file), "--front", "30 mm"]) == 0
    assert "the front dampers may be too short for the droop" in " ".join(capsys.readouterr().out.split())
    # A strap that lets the axle drop 30 mm further is past any doubt.
    long = vehicle_from({**data, "front": {**front, "strap": {"length": "460 mm"}}})
    sure = lifted(long, {"front": 0.03})
    assert sure.may_be_short == set()
    assert any(note.startswith("front: its 'main' dampers are fully out where droop ends") for note in sure.notes)
