"""One question about a damper's room has one number: an order's, with the housing wound up, wherever it is asked."""

import json
from pathlib import Path

import pytest

from sim.cli import main
from sim.describe.files.vehicles import load_vehicle
from sim.integrate.damper_room import LEAST_MARGIN
from sim.integrate.line_lengths import line_length
from sim.linear.droop import droop
from sim.linear.standing import stand
from sim.lower.lowering import lower
from sim.lower.rest import rest
from sim.study.fit import fits
from sim.study.wound_up import short_when_wound_up

PATH = Path(__file__).parents[2] / "scenarios" / "vehicles" / "hut_supply_truck.yaml"
TRUCK = load_vehicle(PATH)


def hanging(vehicle):
    """Return how long the rear damper is where the axle hangs, not wound up [m]."""
    setup = lower(vehicle)
    line = next(one for one in setup.lines if (one.axle, one.role) == ("rear", "damper"))
    return line_length(setup, line, droop(setup, rest(setup), "rear").jounce, 0.0)


def test_room_at_full_droop_is_that_of_the_sheet():
    for axle, standing in stand(TRUCK).axles.items():
        (fit,) = (one for one in fits(TRUCK) if one.axle == axle)
        assert standing.dampers[0].room_in_droop == pytest.approx(fit.margin_out, abs=1e-9)
        assert fit.winds_up


def test_an_end_that_only_a_wound_up_housing_meets_is_a_notice(tmp_path, capsys):
    """2 mm past the hanging axle's length: by hand it clears that by 2 mm, and is short by what the wind-up takes less those."""
    out = hanging(TRUCK) + 0.002
    vehicle = TRUCK.changed({"rear.dampers.main.length_extended": f"{out:.6f} m"})
    (said,) = short_when_wound_up(vehicle)
    (fit,) = (one for one in fits(vehicle) if one.axle == "rear")
    assert fit.margin_out < 0.0
    assert said.startswith(
        "rear damper 'main' has 2.0 mm (0.08 in) left at the end of droop as the truck stands, and is "
    )
    assert f"{-1e3 * fit.margin_out:.1f} mm" in said
    assert list(short_when_wound_up(TRUCK)) == []
    path = tmp_path / "one.yaml"
    data = {"kind": "scenario", "name": "one", "vehicle": str(PATH), "run": {"kind": "drop", "height": "20 mm"}}
    setups = {"short": {"rear.dampers.main.length_extended": f"{out:.6f} m"}}
    path.write_text(json.dumps(data | {"setups": setups}), encoding="utf-8")
    assert main(["check", str(path)]) == 0
    assert f"NOTICE: set-up 'short': {said}" in capsys.readouterr().err


def test_the_cure_of_check_is_that_of_the_sheet():
    """Without a strap and too short to hang: both ask for the same longer damper."""
    out = hanging(TRUCK.changed({"rear.strap": "none"})) - 0.010
    vehicle = TRUCK.changed({"rear.strap": "none", "rear.dampers.main.length_extended": f"{out:.6f} m"})
    (fit,) = (one for one in fits(vehicle) if one.axle == "rear")
    longer = f"at least {1e3 * (LEAST_MARGIN - fit.margin_out):.1f} mm"
    assert any(longer in text for text in fit.problems)
    (flag,) = (one for one in stand(vehicle).flags if one.kind == "no_strap")
    assert f"a damper {longer}" in flag.sentence
    assert "leaves room with the housing wound up by 5 deg" in flag.sentence


def test_a_damper_that_is_solid_first_says_both_rooms():
    vehicle = TRUCK.changed({"rear.dampers.main.length_collapsed": "480 mm"})
    (flag,) = (one for one in stand(vehicle).flags if one.kind == "solid_first")
    (fit,) = (one for one in fits(vehicle) if one.axle == "rear")
    assert f"as the truck stands ({-1e3 * fit.margin_in:.1f} mm" in flag.sentence
    assert f"at least {1e3 * (LEAST_MARGIN - fit.margin_in):.1f} mm" in flag.sentence
