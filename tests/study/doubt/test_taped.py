"""A damper that was taped as the truck stands keeps that length in every draw, wherever its guessed mounts, its axle and its tyre are."""

from contextlib import suppress

import numpy as np
import pytest

from sim.describe.estimates.as_measured import TRIGGER
from sim.describe.files.vehicles import vehicle_from
from sim.errors import RunError
from sim.linear.droop import HANGING
from sim.linear.placing import placings
from sim.linear.standing import stand
from sim.study.doubt.lanes import Drawn
from sim.study.doubt.standing import doubted_standing
from sim.study.doubt.unknowns import draws, unknowns
from sim.study.lift import lifted as jounce_lift

FRONT, REAR = 0.455, 0.480


def truck(front="455 mm", rear="480 mm", **rear_damper):
    ends = {"length_extended": "600 mm", "length_collapsed": "365 mm"}
    return vehicle_from(
        {
            TRIGGER: {"front": "1390 kg", "rear": "1180 kg", "aboard": ["driver"]}, "wheelbase": "2.85 m",
            "front": {"springs": {"coil": {"rate": "30 N/mm"}}, "dampers": {"main": {**ends, "length_at_ride": front}}},
            "rear": {"dampers": {"main": {**ends, "length_at_ride": rear, **rear_damper}}},
        }
    )  # fmt: skip


def lengths(vehicle):
    return {name: axle.dampers[0].length for name, axle in stand(vehicle).axles.items()}


def test_every_draw_has_the_taped_length_within_its_tape():
    """5 mm, 95 times in 100 of a normal distribution, are a standard deviation of 2.55 mm, and no draw is off by four of them."""
    one = truck()
    of = unknowns({"": one})
    drawn = Drawn({"": one}, of, draws(of, 64)[1])
    found = []
    for draw in range(64):
        with suppress(RunError):  # arms whose pivot is drawn too near
            found.append(lengths(drawn.vehicle("", draw)))
    assert len(found) > 48
    for name, length in (("front", FRONT), ("rear", REAR)):
        own = np.array([each[name] for each in found])
        assert np.abs(own - length).max() < 4 * 0.00255
        assert own.std() == pytest.approx(0.00255, rel=0.15)
    # The mounts do give way: their lean across is as doubtful as before.
    leans = [drawn.vehicle("", draw).rear.dampers["main"].lean_inward for draw in range(64)]
    assert np.std(leans) > 0.01


def test_the_band_is_that_of_the_tape_and_of_what_is_written_with_it():
    for written, half in (("480 mm", 0.005), ("480 mm +- 2 mm", 0.002)):
        band = doubted_standing({"": truck(rear=written)})[1][""]["rear", "main", "length"]
        assert (band.low, band.high) == pytest.approx((REAR - half, REAR + half), abs=0.25 * half)


def test_a_set_up_keeps_the_mounts_of_its_truck_and_one_with_dampers_of_its_own_has_their_length():
    one = truck()
    setups = {
        "today": one,
        "lean": one.changed({"rear.dampers.main.lean_inward": "10 mm"}),
        "others": one.changed(
            {
                "rear.dampers.main": {
                    "length_extended": "650 mm",
                    "length_collapsed": "390 mm",
                    "length_at_ride": "520 mm",
                }
            }
        ),
    }
    of = unknowns(setups)
    drawn = Drawn(setups, of, draws(of, 16)[1])
    found = []
    for draw in range(16):
        today, lean, others = (drawn.vehicle(name, draw).rear.dampers["main"] for name in setups)
        assert lean.body == today.body
        assert others.body != today.body
        with suppress(RunError):  # arms whose pivot is drawn too near
            found.append(lengths(drawn.vehicle("others", draw))["rear"])
    assert len(found) > 12
    assert found == pytest.approx([0.520] * len(found), abs=0.0105)


def test_a_taped_mount_stays_and_its_place_along_the_truck_gives_way():
    """Length² = rise² + along² + across² (Pythagoras): with the height 10 mm lower than leans of 10 deg ask for, along and across grow."""
    first = truck()
    above = first.rear.dampers["main"].body.above_ground
    height = f"{above - 0.010!r} m"
    one = truck(body={"above_ground": height})
    assert lengths(one)["rear"] == pytest.approx(REAR, abs=1e-3)
    assert one.rear.dampers["main"].body.above_ground == pytest.approx(above - 0.010)
    band = doubted_standing({"": one})[1][""]["rear", "main", "length"]
    assert band.high - band.low < 0.025  # 5 mm each way, and where a drawn lean or tyre leaves no level part


def test_droop_without_a_strap_ends_where_an_estimated_damper_is_fully_out_and_lies_within_its_band():
    """By hand a damper that rides so much nearer its end lets the axle drop by the stroke left over its motion ratio, and no further.

    The springs would let it hang lower: free fall is weight over rate, of body and axle, which the lift does not change.
    """
    one = truck()
    bare = vehicle_from(
        {
            TRIGGER: {"front": "1390 kg", "rear": "1180 kg", "aboard": ["driver"]}, "wheelbase": "2.85 m",
            "front": {"springs": {"coil": {"rate": "30 N/mm"}}},
            "rear": {"dampers": {"main": {"length_extended": "600 mm", "length_collapsed": "365 mm"}}},
        }
    )  # fmt: skip
    lifted = bare.changed(jounce_lift(bare, {"rear": 0.08}).changes)
    rear = stand(lifted).axles["rear"]
    (damper,) = rear.dampers
    assert rear.droop.place == HANGING
    assert rear.jounce - rear.droop.jounce > rear.droop_left + 0.01
    assert rear.droop_left == pytest.approx(damper.stroke_left_out / damper.motion_ratio, rel=0.03)
    assert rear.droop_ends == "damper 'main' is fully out first, as estimated"
    band = doubted_standing({"": lifted}, 32)[1][""]["rear", "droop_left"]
    assert band.low < rear.droop_left < band.high
    # A strap that is there, or a damper that was taped, says so itself.
    assert "as estimated" not in stand(one).axles["rear"].droop_ends
    placed = next(each for each in placings(stand(lifted)) if (each.kind, each.axle) == ("droop_left", "rear"))
    assert placed.note == "estimated: measure the damper eye to eye at ride"
