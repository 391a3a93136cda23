"""Flags: each fault of a truck is seen by a run of its own and by a block, with the same part and the same size."""

import re

import numpy as np
import pytest

import sim
from sim.describe.files.vehicles import vehicle_from
from sim.integrate.flags import Span
from sim.integrate.line_lengths import line_length
from sim.integrate.simulation import simulate
from sim.kernel import layout as at
from sim.linear.standing_flags import standing_flags
from sim.lower.lowering import lower
from sim.lower.rest import rest
from sim.lower.stance import GRAVITY, axle_stances, sprung_mass
from sim.study.fit import fits
from sim.study.many import Track

# Changes to the truck that bring about one fault each, and the part that is named.
FAULTS = {
    "damper_end": ({"front.dampers.main.length_collapsed": "500 mm"}, "front damper 'main'"),
    "stop_full": ({"front.stop.squeeze": "4 mm", "front.stop.gap": "40 mm"}, "front bump stops"),
    "on_stops": ({"rear.stop.gap": "30 mm", "loads.stones": {
        "mass": "500 kg", "place": {"behind_front_axle": "2.9 m", "above_ground": "1.1 m"}}}, "rear axle"),
    "on_straps": ({"rear.strap.length": "400 mm"}, "rear axle"),
    "coil_bind": ({"front.springs.coil.solid_length": "330 mm", "front.stop": "none"}, "front spring 'coil'"),
}  # fmt: skip


@pytest.fixture(scope="module")
def scenario():
    return sim.load("scenarios/two_or_four.yaml")


def of_kind(flags, kind):
    """Return the only flag of a kind."""
    (flag,) = [flag for flag in flags if flag.kind == kind]
    return flag


@pytest.mark.parametrize("kind", FAULTS)
def test_a_run_and_a_block_see_the_same_fault(scenario, kind):
    changes, part = FAULTS[kind]
    truck = scenario.setups["two front"].changed(changes)
    alone = of_kind(simulate(truck, scenario.run).coarse.flags, kind)
    lane = of_kind(Track(scenario.run, ["acceleration_rms_driver"], fine=True).outcomes([truck] * 5)[3].flags, kind)
    assert alone.part == lane.part == part
    assert alone.past_m > 0.0
    assert lane.past_m == pytest.approx(alone.past_m, rel=1e-6)
    assert lane.time_s is None
    if kind not in ("on_stops", "on_straps"):  # it stands there before the run begins
        assert f" at {alone.time_s:.2f} s" in alone.sentence
        assert lane.sentence == alone.sentence.replace(f" at {alone.time_s:.2f} s", "")


def test_the_size_of_a_fault_is_that_of_the_signals(scenario):
    changes, _ = FAULTS["stop_full"]
    run = simulate(scenario.setups["two front"].changed(changes), scenario.run)
    flag = of_kind(run.flags, "stop_full")
    assert flag.past_m == pytest.approx(run.front.jounce_m.max() - run.front.jounce_full_m)
    assert flag.time_s == run.time_s[np.argmax(run.front.jounce_m > run.front.jounce_full_m)]


def test_without_a_strap_the_cure_is_a_strap(scenario):
    short = {"rear.dampers.main.length_extended": "615 mm"}
    strapped = simulate(scenario.setups["two front"].changed(short), scenario.run)
    loose = simulate(scenario.setups["two front"].changed({**short, "rear.strap": "none"}), scenario.run)
    assert (
        "Fit a shorter limit strap that is taut before the end of the damper"
        in of_kind(strapped.flags, "damper_end").sentence
    )
    sentence = of_kind(loose.flags, "damper_end").sentence
    assert "is without a limit strap" in sentence
    # How far this run went says nothing of how far the axle drops on a jack.
    assert sentence.endswith(
        "longer extended, for this run; for the axle that hangs, jounce stand says what is long enough."
    )
    assert "jounce stand says" not in of_kind(strapped.flags, "damper_end").sentence


def test_a_strap_that_leaves_no_droop_is_not_to_be_shorter_still(scenario):
    """Droop left is about what an upright strap is longer than its ends are apart; with 25 mm of it the cure is a longer damper alone."""
    truck = scenario.setups["two front"]
    own = lower(truck)
    (line,) = [one for one in own.lines if one.axle == "rear" and one.role == "strap"]
    apart = line_length(own, line, float(rest(own).state[at.JOUNCE + 2]))
    (damper,) = [one for one in own.lines if one.axle == "rear" and one.role == "damper"]
    long = line_length(own, damper, float(rest(own).state[at.JOUNCE + 2]))
    short = {
        "rear.strap.length": f"{1e3 * (apart + 0.025):.2f} mm",
        "rear.dampers.main.length_extended": f"{1e3 * (long + 0.015):.2f} mm",
    }
    changed = truck.changed(short)
    sentence = of_kind(simulate(changed, scenario.run).flags, "damper_end").sentence
    found = re.search(
        r"A shorter limit strap is no cure: the one that is fitted leaves ([\d.]+) mm .* of droop as the truck stands\.",
        sentence,
    )
    assert float(found[1]) == pytest.approx(25.0, rel=0.1)
    assert "Fit a shorter limit strap" not in sentence
    assert re.search(r"Fit a damper at least [\d.]+ mm \([\d.]+ in\) longer extended\.$", sentence)
    # At rest, and on the order sheet, the same is said.
    assert any("A shorter limit strap is no cure" in text for fit in fits(changed) for text in fit.problems)


def test_straps_that_are_too_short_hold_the_frame_down_as_springs_beside_the_springs_do():
    """By hand: of what straps are too short the frame comes down by a part, and they keep the rest as stretch; what the springs then hold more is their pull."""
    upright = {"behind_front_axle": "0 mm", "above_ground": "0.80 m"}
    truck = sim.load("scenarios/two_or_four.yaml").setups["two front"].changed({
        "front.guide": {"kind": "straight"}, "front.dampers": "none", "front.springs.coil.lean_inward": "0 mm",
        "front.springs.coil.body": upright, "front.springs.coil.axle": {"ahead": "0 mm", "above": "20 mm"},
        "front.strap.body": upright, "front.strap.axle": {"ahead": "0 mm", "above": "20 mm"}, "front.strap.length": "900 mm",
    })  # fmt: skip
    own = lower(truck)
    loose = rest(own)
    assert not [flag for flag in standing_flags(own, loose) if flag.kind == "on_straps"]
    (line,) = [line for line in own.lines if line.axle == "front" and line.role == "strap"]
    apart = line_length(own, line, float(loose.state[at.JOUNCE]))
    short = 0.010
    held = lower(truck.changed({"front.strap.length": f"{1e3 * (apart - short):.6f} mm"}))
    taut = rest(held)
    springs = 2.0 * truck.front.springs["coil"].rate
    straps = truck.front.strap.count * truck.front.strap.rate
    flag = of_kind(standing_flags(held, taut), "on_straps")
    down = float(taut.state[at.JOUNCE] - loose.state[at.JOUNCE])
    assert flag.past_m + down == pytest.approx(short, abs=1e-6)
    # The nose that comes down carries the centre of gravity forward, by its height over the axles times the pitch, down over wheelbase.
    body = sprung_mass(truck)
    height = body.place.cg_above_ground - 0.5 * sum(one.centre_height for one in axle_stances(truck).values())
    shifted = body.mass * GRAVITY * height * down / truck.wheelbase**2
    assert springs * down == pytest.approx(straps * flag.past_m + shifted, rel=2e-3)
    assert "Its length is estimated" not in flag.sentence


def test_of_straps_that_nobody_measured_it_says_so():
    data = {"kind": "vehicle", "weighed": {"front": "1980 lb", "rear": "1560 lb"}, "wheelbase": "88 in",
            "front": {"springs": {"coil": {"rate": "165 lb/in"}}}}  # fmt: skip
    truck = vehicle_from(data)
    lifted = lower(truck.changed({"front.springs.coil.free_length": "700 mm"}))
    sentence = of_kind(standing_flags(lifted, rest(lifted)), "on_straps").sentence
    assert "Its length is estimated: measure it first." in sentence


def test_the_demo_has_no_fault(scenario):
    assert simulate(scenario.setups["two front"], scenario.run).flags == ()


def test_a_span_says_how_far_and_when_first():
    span = Span(np.array([0.0, 2.0, 3.0, -1.0]), np.array([0.0, 0.1, 0.2, 0.3]))
    assert span.above(1.5).by == 1.5
    assert span.above(1.5).time_s == 0.1
    assert span.above(3.0) is None
    assert span.below(-0.5).by == 0.5
    assert span.outside(-2.0, 2.5).by == 0.5
    assert Span(np.array([-1.0, 3.0])).above(1.5).when == ""
