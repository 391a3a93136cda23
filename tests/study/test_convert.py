"""Conversions: the same wheel curve from other dampers, closed forms of lean, gas and mass, and runs that agree."""

from math import acos, cos, hypot

import numpy as np
import pytest

from sim.describe.files.scenario import load
from sim.describe.files.vehicles import load_vehicle
from sim.integrate.simulation import simulate
from sim.linear.standing import stand
from sim.lower.lowering import lower
from sim.lower.rest import rest
from sim.study.after_fitting import turned
from sim.study.convert import converted, doubled, ends_up, gas_lifts, members, through_travel
from tests.describe.parts.dampers import MONOTUBE
from tests.published.textbook import HEIGHT
from tests.study.test_fit import one
from tests.synthetic import SCENARIOS

TRUCK = SCENARIOS / "vehicles" / "hut_supply_truck.yaml"

SPEEDS = (0.03, 0.12, 0.4, 1.1)


def truck():
    return load("scenarios/two_or_four.yaml").setups["two front"]


SECOND = {
    "valving": {"kind": "straight", "compression": "1 kN s/m", "rebound": "1 kN s/m"},
    "body": {"behind_front_axle": "-260 mm", "above_ground": "0.94 m"},
    "axle": {"ahead": "160 mm", "above": "20 mm"}, "lean_inward": "150 mm", "count": 2,
    "length_collapsed": "340 mm", "length_extended": "760 mm",
}  # fmt: skip


def wheel(vehicle, axle, forces, sense, speed):
    """Force at the wheel [N] of sets whose force at their own speed is given by name."""
    return sum(m.count * m.ratio * abs(forces[m.name](sense * m.ratio * speed)) for m in members(vehicle)[axle])


@pytest.mark.parametrize("sense", [1.0, -1.0])
def test_one_to_two_a_side_with_ratios_of_their_own(sense):
    """A second pair ahead of the axle: both together, each at its own speed, give the wheel what the first pair gave alone."""
    given = truck()
    wanted = given.changed({"front.dampers.second": SECOND})
    found = {c.member.name: c for c in converted(given, wanted) if c.member.axle == "front"}
    ratios = {name: c.member.ratio for name, c in found.items()}
    assert abs(ratios["main"] - ratios["second"]) > 0.05
    way = "compression" if sense > 0 else "rebound"
    new = {name: lambda v, c=c: c.force(way, abs(v)) for name, c in found.items()}
    old = {"main": given.front.dampers["main"].valving.force}
    for speed in SPEEDS:
        assert wheel(wanted, "front", new, sense, speed) == pytest.approx(
            wheel(given, "front", old, sense, speed), rel=2e-3
        )
    # Each takes half: the same force at the wheel.
    shares = [c.member.count * c.member.ratio * c.force(way, c.member.ratio * 0.3) for c in found.values()]
    assert shares[0] == pytest.approx(shares[1], rel=2e-3)


def test_twice_as_many_give_half_each():
    found = converted(truck(), doubled(truck()))
    law = truck().front.dampers["main"].valving
    for speed in SPEEDS:
        assert found[0].force("rebound", speed) == pytest.approx(0.5 * float(-law.force(-speed)), rel=1e-3)
        assert found[0].member.count == 4


def test_converted_dampers_give_the_run_they_came_from(tmp_path):
    """Four at half each, their gas and friction halved, weightless ends: the run of two."""
    given = truck().changed(
        {f"{a}.dampers.main.{m}": "0 kg" for a in ("front", "rear") for m in ("tube_mass", "rod_mass")}
    )
    changes = {}
    for c in converted(given, doubled(given)):
        rows = zip(c.speed, c.compression, c.rebound, strict=True)
        text = "speed [m/s],compression force [N],rebound force [N]\n" + "\n".join(f"{v},{b},{r}" for v, b, r in rows)
        (tmp_path / f"{c.member.axle}.csv").write_text(text, encoding="utf-8")
        path, part = f"{c.member.axle}.dampers.main", dict(given.axles)[c.member.axle].dampers["main"]
        changes |= {
            f"{path}.count": 4, f"{path}.valving": {"kind": "measured", "file": str(tmp_path / f"{c.member.axle}.csv")},
            f"{path}.gas_force": f"{part.gas_force / 2} N", f"{path}.seal_friction": f"{part.seal_friction / 2} N",
        }  # fmt: skip
    run = load("scenarios/two_or_four.yaml").run
    first, second = simulate(given, run), simulate(given.changed(changes), run)
    for axle in ("front", "rear"):
        a, b = dict(first.axles)[axle], dict(second.axles)[axle]
        assert np.max(np.abs(a.jounce_m - b.jounce_m)) < 5e-3 * np.ptp(a.jounce_m)


def test_turning_it_over_moves_the_difference_of_its_ends():
    """Two dampers of 1.9 kg tube and 1.0 kg rod: 1.8 kg less on the demo's front axle.

    Right over the centre of an axle that the body hardly feels, hop goes with the root of its mass (closed form).
    """
    down, up = (e for e in ends_up(truck()) if e.axle == "front")
    assert (down.tube_end, down.fitted, up.fitted) == ("down", True, False)
    assert down.unsprung - up.unsprung == pytest.approx(2 * 0.9)
    ends = {"front.dampers.main.tube_mass": "19 kg", "front.dampers.main.rod_mass": "1 kg"}
    plain = one(("0 m", f"{HEIGHT + 0.5} m"), ("0 m", "0 m")).changed(ends)
    down, up = (e for e in ends_up(plain) if e.axle == "front")
    assert up.hop_hz / down.hop_hz == pytest.approx((down.unsprung / up.unsprung) ** 0.5, rel=2e-3)


def test_a_free_oil_surface_is_refused_tube_up():
    _, up = (e for e in ends_up(truck().changed({"front.dampers.main.construction": "twin_tube"})) if e.axle == "front")
    assert "cannot stand tube up" in up.refused


def test_lean_and_ratio_through_the_travel():
    """Straight guide: at jounce z the line from (0.2, 0.5 - z) leans by its own angle, and the ratio is that angle's cosine."""
    vehicle = one(("0.2 m", f"{HEIGHT + 0.5} m"), ("0 m", "0 m"), collapsed="250 mm")
    through = through_travel(vehicle)[0]
    assert len(through.places) > 20
    for place in through.places[::6]:
        up = 0.5 - place.jounce
        assert place.length == pytest.approx(hypot(0.2, up), abs=1e-6)
        assert place.lean == pytest.approx(acos(up / hypot(0.2, up)), abs=1e-6)
        assert place.motion_ratio == pytest.approx(cos(place.lean), abs=1e-6)


def test_gas_lifts_by_push_over_rate():
    """n p R over the springs' rate at the axle; the other end hardly moves."""
    vehicle = truck()
    standing = stand(vehicle)
    front, rear = gas_lifts(vehicle)
    for lift in (front, rear):
        at = standing.axles[lift.axle]
        assert lift.rise[lift.axle] == pytest.approx(
            lift.count * lift.push * at.dampers[0].motion_ratio / at.wheel_rate, rel=0.02
        )
    assert abs(front.rise["rear"]) < 0.02 * front.rise["front"]


def test_gas_of_valve_parts_lifts_too():
    vehicle = truck().changed({"front.dampers.main.valving": MONOTUBE, "front.dampers.main.gas_force": "none"})
    lift = next(g for g in gas_lifts(vehicle) if g.axle == "front")
    assert lift.push == pytest.approx(246.3, abs=0.1)
    assert lift.rise["front"] == pytest.approx(246.3 / 120 * gas_lifts(truck())[0].rise["front"], rel=0.03)


def test_castor_at_ride_is_the_number_of_a_lift_and_of_the_page_after_fitting():
    """One state, one number: with the bushes as they give under the set-up's loads, and against the ground."""
    truck = load_vehicle(TRUCK).changed(
        {"loads.cargo": {"mass": "300 kg", "place": {"behind_front_axle": "2.9 m", "above_ground": "1 m"}}}
    )
    setup = lower(truck)
    stands = rest(setup)
    (front,) = [one for one in through_travel(truck) if one.axle == "front"]
    at_ride = front.castor[[place.jounce for place in front.places].index(front.ride)]
    assert at_ride == pytest.approx(turned(setup, stands, "front"), abs=1e-9)
    # Of a loaded truck neither bushes nor pitch are nothing: the guide alone would say otherwise.
    assert abs(at_ride + float(setup.paths["front"].at(front.ride)[1])) > 1e-4
