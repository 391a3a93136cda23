"""Answers that rest on lengths which nobody measured say so, and what to measure."""

import pytest

from sim.describe.files.vehicles import vehicle_from
from sim.describe.to_measure import AT_RIDE, MOUNTS, SEATS_WORDS, spring_unmeasured, unmeasured
from sim.linear.droop import HANGING
from sim.linear.placing import placings
from sim.linear.standing import stand
from sim.measure.verdict import verdict
from sim.show.report.warned import warning
from sim.study.fit import fits
from tests.measure.verdicts import compared

MEASURED = {"length_at_ride": "18.9 in", "length_extended": "23.5 in", "length_collapsed": "14.25 in"}


def truck(damper, weighs="2450 lb", **front):
    axle = {
        "tyre": {"outside_diameter": '33"'},
        "springs": {"coil": {"rate": "190 lb/in"}},
        "dampers": {"main": damper},
    }
    rear = axle | {"springs": {"pack": {"kind": "leaf_pack", "rate": "220 lb/in"}}}
    return vehicle_from(
        {"weighed": {"front": weighs, "rear": "1780 lb"}, "wheelbase": "92 in", "front": axle | front, "rear": rear}
    )


def test_a_damper_fits_only_where_its_lengths_were_measured():
    guessed = {key: MEASURED[key] for key in ("length_extended", "length_collapsed")}
    front = fits(truck(guessed))[0]
    assert not front.problems
    assert front.verdict.startswith("not known: measure the damper eye to eye at ride, the gap to the bump stop")
    straps = {"stop": {"gap": "2.5 in"}, "strap": "none"}
    assert unmeasured(truck(guessed, **straps), "front", "main") == (AT_RIDE,)
    assert unmeasured(truck(MEASURED, **straps), "front", "main") == ()


@pytest.mark.parametrize(
    ("stop", "missing"),
    [
        ({}, "the height of the bump stop"),
        ({"height": "100 mm"}, "how far the bump stop squeezes"),
        ({"squeeze": "40 mm"}, ""),
    ],
)
def test_whether_it_fits_is_open_where_a_guess_of_the_stop_s_squeeze_decides(stop, missing):
    """40 mm of squeeze are off by 30 % or, of a taped height, 25 %: 12 or 10 mm. Room of less than that, either way, is no answer; of 30 mm it is."""
    room, near = {}, 0.010 * 0.9
    for gap in range(40, 140, 4):
        front = fits(truck(MEASURED, stop={"gap": f"{gap} mm", **stop}, strap="none"))[0]
        room[front.margin_in] = front.unmeasured
    assert min(room) < -near
    assert max(room) > near
    for inside, said in room.items():
        if 0.0 <= inside < 0.8 * near:
            assert said == ((missing,) if missing else ())
        # Past its end it is the doubt of the mounts too that may turn it round.
        if -0.8 * near < inside < 0.0:
            assert (missing in said) == bool(missing)
            assert set(said) <= {missing, MOUNTS}
        if inside > 0.015 or inside < -0.040:
            assert said == ()
    if missing:
        assert any(said for said in room.values())


def test_a_longer_coil_on_guessed_seats_is_no_better_known_than_the_one_before():
    """Its length was reckoned from that; of a coil whose length was taped off the truck it is known."""
    longer = {"front.springs.coil.free_length": "19.6 in"}
    assert spring_unmeasured(truck(MEASURED).changed(longer), "front", "coil") == (SEATS_WORDS,)
    taped = truck(MEASURED, springs={"coil": {"rate": "190 lb/in", "free_length": "17 in"}})
    assert spring_unmeasured(taped.changed(longer), "front", "coil") == ()


def test_stroke_left_is_not_placed_where_length_at_ride_is_a_guess():
    def said(vehicle):
        return {one.kind: one.word for one in placings(stand(vehicle)) if one.axle == "front"}

    guessed = {key: MEASURED[key] for key in ("length_extended", "length_collapsed")}
    assert said(truck(guessed))["stroke_left"] == "not known: measure the damper eye to eye at ride"
    assert said(truck(guessed))["bump_left"] == "estimated: measure the gap to the stop"
    measured = said(truck(MEASURED, stop={"gap": "2.5 in"}))
    assert measured["stroke_left"] == "as usual"
    assert measured["bump_left"] == "little"  # 2.5 in of 3 to 6


@pytest.mark.parametrize("gap", [None, "2.5 in"])
def test_a_stop_that_is_met_by_estimate_says_so(gap):
    vehicle = truck(MEASURED, **({"stop": {"gap": gap}} if gap else {}))
    comparison = compared({"soft": {"front_left_to_stop": -0.004}})
    comparison.scenario.setups = {"as it is": truck(MEASURED, stop={"gap": "3 in"}), "soft": vehicle}
    said = warning(verdict(comparison))
    assert said.startswith("“soft” runs into its front bump stops")
    assert ("the gap to the stop is estimated: measure it" in said) == (gap is None)


def test_without_a_strap_the_room_is_what_the_springs_leave():
    """A pack of 220 lb/in a side holds 1780 lb less the axle: it hangs by that load over both rates below where it stands."""
    rear = stand(truck(MEASURED)).axles["rear"]
    assert rear.droop.place == HANGING
    axle_weight = rear.unsprung_mass * 9.80665
    falls = (rear.load - axle_weight) / rear.wheel_rate  # free of friction, with the axle's own weight drawing it on
    falls += axle_weight / rear.wheel_rate
    assert rear.droop_left == pytest.approx(falls, rel=0.03)  # gas pushes too
    damper = rear.dampers[0]
    assert damper.room_in_droop == pytest.approx(damper.stroke_left_out - damper.motion_ratio * falls, abs=0.004)
