"""What is read on the truck after the work, against hand calculations: lever rule and rates, arcs of arms, straight lines between mounts."""

from cmath import exp
from math import asin, degrees, hypot, isfinite, isinf, isnan, sqrt
from pathlib import Path

import pytest

from sim.describe.files.scenario import load_scenario
from sim.describe.files.vehicles import load_vehicle, vehicle_from
from sim.linear.standing import stand
from sim.show.report.after_fitting import lines
from sim.study.after_fitting import (
    AXLE,
    BOBS,
    DAMPER,
    DROP,
    FRAME,
    FREQUENCY,
    GAP,
    GIVE,
    LOAD,
    MOUNTS,
    TURN,
    after_fitting,
    fitted_with,
    push,
)  # fmt: skip
from sim.study.doubt.fitting import fitting_bands
from sim.study.spring_order import spring_orders

ROOT = Path(__file__).parents[2]
TRUCK = ROOT / "scenarios" / "vehicles" / "hut_supply_truck.yaml"
G = 9.80665  # ISO 80000-3
BASE = 2.95
SPRINGS = {"front": 2 * 36e3, "rear": 2 * 42e3}  # [N/m] of the file, both sides
TYRES = 2 * 265e3
CARGO = {"mass": "300 kg", "place": {"behind_front_axle": "2.6 m", "above_ground": "1 m"}}


def read(case):
    return {(one.axle, one.kind, one.name): one for one in case.readings}


def of(vehicle, changes=None, name="mine"):
    return after_fitting(vehicle, name, changes or {})


@pytest.fixture(scope="module")
def truck():
    return load_vehicle(TRUCK)


def test_the_push_is_that_of_the_question_about_bobs():
    assert push("front") == load_scenario(ROOT / "scenarios" / "push_on_the_bumper.yaml").run
    assert push("rear").over == "rear"


def test_a_truck_of_which_nothing_is_changed_reads_as_it_was_measured(truck):
    (case,) = of(truck).cases
    found = read(case)
    assert case.own
    assert case.loads == ()
    for axle in ("front", "rear"):
        for kind in (FRAME, AXLE, TURN):
            assert found[axle, kind, ""].value == pytest.approx(0.0, abs=1e-9)
        assert found[axle, GAP, ""].value == pytest.approx({"front": 0.088, "rear": 0.092}[axle])
        assert all(isnan(one.low) and isnan(one.high) for one in case.readings)


def test_the_scale_reads_the_ticket_and_what_the_lever_rule_adds(truck):
    """300 kg 2.6 m behind the front axle: 2.6/2.95 of it behind, but for the nose that comes up and takes some kilogrammes along."""
    bare, laden = of(truck).own, of(truck.changed({"loads.cargo": CARGO})).own
    before, after = read(bare), read(laden)
    for axle in ("front", "rear"):
        assert before[axle, LOAD, ""].value == pytest.approx(stand(truck).axles[axle].load)
        assert before[axle, LOAD, ""].quantity == "load"
    behind = after["rear", LOAD, ""].value - before["rear", LOAD, ""].value
    front = after["front", LOAD, ""].value - before["front", LOAD, ""].value
    assert behind + front == pytest.approx(300.0 * G)
    assert behind == pytest.approx(300.0 * G * 2.6 / BASE, rel=0.03)
    words = {line.what: line for line in lines(laden) if line.axle == "rear"}
    kg, lb = words["axle on the scale"].value
    assert float(kg.removesuffix(" kg")) == pytest.approx(after["rear", LOAD, ""].value / G, abs=1.0)
    assert float(lb.removesuffix(" lb")) == pytest.approx(after["rear", LOAD, ""].value / G / 0.45359237, abs=1.0)


def test_mounts_of_damper_and_strap_by_pythagoras(truck):
    """Of the file's places: the damper 40 mm along and 45 mm across, the strap upright, both from 20 mm above the axle's centre."""
    found = read(of(truck).own)
    centre = 0.402 - stand(truck).axles["front"].load / TYRES
    damper = sqrt(0.040**2 + (0.97 - centre - 0.02) ** 2 + 0.045**2)
    assert found["front", DAMPER, "main"].value == pytest.approx(damper, abs=1e-4)
    strap = 0.84 - centre - 0.02
    assert found["front", MOUNTS, ""].value == pytest.approx(strap, abs=1e-4)
    # Arm and axle turn as one about the arm's bush: turned until the strap's lower bolt is its length away from the upper one.
    bush, upper = complex(-0.98, 0.56 - centre), complex(-0.06, 0.84 - centre)
    low, high = 0.0, 0.5
    for _ in range(60):
        turn = 0.5 * (low + high)
        bolt = bush + (complex(-0.06, 0.02) - bush) * exp(-1j * turn)
        low, high = (turn, high) if abs(upper - bolt) < 0.570 else (low, turn)
    dropped = -(bush + (0.0 - bush) * exp(-1j * turn)).imag
    assert found["front", DROP, ""].value == pytest.approx(dropped, abs=1e-4)


def test_cargo_by_the_lever_rule(truck):
    """300 kg, 2.6 of 2.95 m behind the front axle: that share on the rear springs, and on its tyres below them."""
    vehicle = truck.changed({"loads.cargo": CARGO})
    found = read(of(vehicle).own)
    for axle, share in (("rear", 2.6 / BASE), ("front", 1.0 - 2.6 / BASE)):
        force = share * 300.0 * G
        by_tyres, by_springs = force / TYRES, force / SPRINGS[axle]
        assert found[axle, AXLE, ""].value == pytest.approx(-by_tyres, rel=0.04, abs=2e-4)
        # 6 %: the gas of the dampers, the tail that goes down takes weight along, and arms tilt.
        assert found[axle, FRAME, ""].value == pytest.approx(-by_tyres - by_springs, rel=0.06, abs=5e-4)
        gap = {"front": 0.088, "rear": 0.092}[axle]
        assert found[axle, GAP, ""].value == pytest.approx(gap - by_springs, abs=2.5e-3)


def test_castor_by_the_arc_of_the_arms_and_the_pitch_of_the_frame(truck):
    """asin of the axle's place on its arm's circle before and after, and the nose that comes up with the front springs alone."""
    vehicle = truck.changed({"front.springs.coil.spacer": "40 mm"})
    found = read(of(vehicle).own)
    centre = 0.402 - stand(truck).axles["front"].load / TYRES
    rise = found["front", FRAME, ""].value - found["front", AXLE, ""].value
    assert rise == pytest.approx(0.040, abs=2e-3)
    below = 0.56 - centre
    arm = hypot(0.98, below)
    nose = asin((found["front", FRAME, ""].value - found["rear", FRAME, ""].value) / BASE)
    by_hand = -(asin((below + rise) / arm) - asin(below / arm)) + nose
    assert degrees(found["front", TURN, ""].value) == pytest.approx(degrees(by_hand), abs=0.05)
    # The leaf-sprung rear keeps its place in the frame, so it turns as far as that.
    assert degrees(found["rear", TURN, ""].value) == pytest.approx(degrees(nose), abs=0.05)


def test_longer_shackles_turn_the_pinion_by_lift_over_fixed_half(truck):
    vehicle = truck.changed({"rear.springs.pack.shackle_lift": "40 mm"})
    case = of(vehicle).own
    turn = read(case)["rear", TURN, ""].value - case.nose_up
    assert degrees(turn) == pytest.approx(degrees(0.040 / 0.610), abs=0.1)


def test_a_push_by_rates_and_one_that_leaves_hold(truck):
    """800 N 0.45 m ahead of the axle are 922 N on it: over coils and tyres in series. Behind friction, 2 x 240 N, is more than half of it."""
    onto = 800.0 * (1.0 + 0.45 / BASE)
    found = read(of(truck).own)
    front = found["front", GIVE, ""]
    assert front.held == ()
    # 4 %: the gas of the dampers works along, and arms tilt.
    assert front.value == pytest.approx(onto / SPRINGS["front"] + onto / TYRES, rel=0.04)
    rear = found["rear", BOBS, ""]
    assert rear.held == pytest.approx((480.0, onto))
    assert 0.5 * onto < 480.0
    slick = read(of(truck.changed({"rear.springs.pack.friction": "60 N"})).own)
    assert slick["rear", BOBS, ""].held == ()
    assert slick["rear", GIVE, ""].value > 1.2 * found["rear", GIVE, ""].value


def test_without_dampers_it_bobs_on(truck):
    found = read(of(truck.changed({"front.dampers": "none", "rear.dampers": "none"})).own)
    assert isinf(found["front", BOBS, ""].value)
    assert ("front", DAMPER, "main") not in found


def test_ride_frequency_by_mass_and_rates(truck):
    found = read(of(truck.changed({"loads.cargo": CARGO})).own)
    sprung = stand(truck).axles["rear"].sprung_mass + 300.0 * 2.6 / BASE
    series = 1.0 / (1.0 / SPRINGS["rear"] + 1.0 / TYRES)
    assert found["rear", FREQUENCY, ""].value == pytest.approx(sqrt(series / sprung) / 6.28319, rel=0.02)


def test_every_load_of_the_file_is_a_case_once_and_the_lightest_is_first(truck):
    light = {"mass": "50 kg", "place": {"behind_front_axle": "0 m", "above_ground": "1 m"}}
    changes = {
        "mine": {"front.springs.coil.spacer": "20 mm", "loads.winch": light},
        "cargo": {"loads.cargo": CARGO}, "other springs": {"front.springs.coil.rate": "40 N/mm", "loads.cargo": CARGO},
        "both": {"loads.winch": light, "loads.cargo": CARGO}, "nothing": {},
    }  # fmt: skip
    vehicle = truck.changed(changes["mine"])
    after = of(vehicle, changes)
    assert [case.loads for case in after.cases] == [(), ("winch",), ("cargo",), ("winch", "cargo")]
    assert [case.own for case in after.cases] == [False, True, False, False]
    assert after.aboard == ("driver",)
    # The same parts in each: without its winch the front is up by the spacer.
    bare = read(after.cases[0])["front", FRAME, ""].value
    assert bare == pytest.approx(0.020, abs=1.5e-3)
    heavier = {f"load {n}": {"loads.more": {**CARGO, "mass": f"{n}0 kg"}} for n in range(1, 6)}
    more = of(vehicle, changes | heavier)
    assert len(more.cases) == 4
    assert more.left_out == 5
    assert any(case.own for case in more.cases)


def test_an_engine_stays_in_whatever_is_aboard(truck):
    """A set-up with another engine is never read without it, and one without it never with it."""
    engine = {"mass": "80 kg", "place": {"behind_front_axle": "0.1 m", "above_ground": "0.75 m"}}
    changes = {
        "as it is": {}, "heavier engine": {"loads.heavier engine": engine}, "cargo": {"loads.cargo": CARGO},
        "all of it": {"front.springs.coil.spacer": "20 mm", "loads.heavier engine": engine, "loads.cargo": CARGO},
    }  # fmt: skip
    mine = after_fitting(truck.changed(changes["all of it"]), "all of it", changes)
    assert [case.loads for case in mine.cases] == [("heavier engine",), ("heavier engine", "cargo")]
    assert [case.own for case in mine.cases] == [False, True]
    assert all(case.without == () for case in mine.cases)
    # 80 kg in front of the springs that carry it: the engine's case alone is lower than the spacer by that.
    frame = read(mine.cases[0])["front", FRAME, ""].value
    share = 80.0 * G * (BASE - 0.1) / BASE
    assert frame == pytest.approx(0.020 - share / SPRINGS["front"] - share / TYRES, abs=1.5e-3)
    cargo = after_fitting(truck.changed(changes["cargo"]), "cargo", changes)
    assert [case.loads for case in cargo.cases] == [(), ("cargo",)]


def test_what_was_aboard_and_comes_off_is_another_case(truck):
    after = of(
        truck, {"cargo": {"loads.cargo": CARGO}, "nobody, cargo": {"loads.driver": "none", "loads.cargo": CARGO}}
    )
    assert [(case.loads, case.without) for case in after.cases] == [
        ((), ()),
        (("cargo",), ("driver",)),
        (("cargo",), ()),
    ]
    assert [case.as_measured for case in after.cases] == [True, False, False]


def test_a_load_with_which_it_cannot_stand_says_so_and_keeps_the_others(truck):
    far = {"mass": "2000 kg", "place": {"behind_front_axle": "6 m", "above_ground": "1 m"}}
    after = of(truck, {"far behind": {"loads.far": far}})
    assert after.own.readings
    (other,) = (case for case in after.cases if not case.own)
    assert other.cannot
    assert not other.readings


def test_the_band_of_a_rate_in_doubt(truck):
    """A coil of 33 to 39 N/mm under 100 kg over the front axle: the sag lies between that of either end."""
    text = TRUCK.read_text(encoding="utf-8").replace("      rate: 36 N/mm", "      rate: 36 N/mm +- 3 N/mm")
    import yaml

    doubted = vehicle_from(yaml.safe_load(text))
    load = {"mass": "100 kg", "place": {"behind_front_axle": "0 m", "above_ground": "1 m"}}
    vehicle = doubted.changed({"loads.engine": load})
    found = read(after_fitting(vehicle, "mine", {}, fitting_bands).own)
    frame = found["front", FRAME, ""]
    force = 100.0 * G
    low, high = (-force / (2.0 * rate) - force / TYRES for rate in (33e3, 39e3))
    assert (frame.low, frame.high) == (pytest.approx(low, abs=5e-4), pytest.approx(high, abs=5e-4))
    assert frame.low < frame.value < frame.high
    # Tyres are not in doubt.
    axle = found["front", AXLE, ""]
    assert isnan(axle.low) or axle.high - axle.low < 1e-4
    assert isfinite(found["front", BOBS, ""].low)


def test_springs_that_are_ordered_for_a_height_are_fitted(truck):
    heights = {"front": 0.040}
    springs = spring_orders(truck, heights)
    found = read(of(fitted_with(truck, springs, heights)).own)
    assert found["front", FRAME, ""].value - found["front", AXLE, ""].value == pytest.approx(0.040, abs=7e-4)
    assert fitted_with(truck, springs, {}) is truck


def test_heights_that_were_taped_are_kept():
    data = {
        "weighed": {"front": "2450 lb", "rear": "1780 lb"}, "wheelbase": "92 in",
        "front": {"axle_height": "15.5 in", "frame_height": "24 in", "stop": {"height": "3 in"}},
    }  # fmt: skip
    found = read(after_fitting(vehicle_from(data), "mine", {}).own)
    assert found["front", FRAME, ""].taped == pytest.approx(24 * 0.0254)
    assert found["front", AXLE, ""].taped == pytest.approx(15.5 * 0.0254)
    assert isnan(found["rear", FRAME, ""].taped)
    assert vehicle_from(data).taped("front", "stop") == {"height": pytest.approx(3 * 0.0254)}
