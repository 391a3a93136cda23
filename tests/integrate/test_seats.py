"""An axle whose leaf packs lie over or under it, and on lift blocks: statics by hand, limits, energy, heights (docs/equations.md, 2, "A seat")."""

from dataclasses import replace

import numpy as np
import pytest

import sim
from sim.describe.runs import Brake, Course, Launch
from sim.errors import RunError
from sim.integrate.channels import centre_heights
from sim.kernel import layout as at
from sim.lower.lowering import lower
from sim.lower.rest import Equations, rest
from sim.lower.wheeled import DrivenEquations, road_table, start_of, wheeled
from tests.synthetic import seated_truck

ROCK = {"name": "firm rock", "friction": 0.85, "sliding": 0.62, "peak_at": "13 %"}
TWO_INCHES = 0.0508
ROUGH = {
    "kind": "course", "name": "hump", "items": [
        {"kind": "flat", "length": "2 m"}, {"kind": "sinusoidal_hump", "length": "1.2 m", "height": "90 mm"},
        {"kind": "flat", "length": "8 m"},
    ],
}  # fmt: skip
LAUNCH = Launch.model_validate({"kind": "launch", "surface": ROCK, "watch": "2 s"})
BRAKE = Brake.model_validate({"kind": "brake", "surface": ROCK, "speed": "40 km/h", "watch": "3 s"})
COURSE = Course.model_validate({"kind": "course", "course": ROUGH, "speed": "15 km/h"})
SEATS = [(None, 0.0, 0.0), (None, TWO_INCHES, TWO_INCHES), ("70 mm", 0.0, 0.07), ("70 mm", TWO_INCHES, 0.1208), ("-80 mm", 0.0, -0.08), ("-80 mm", TWO_INCHES, -0.1308)]  # fmt: skip


def on_block(seat, block_m, dampers=True):
    return seated_truck(seat, dampers).changed({"rear.springs.pack.block": f"{block_m} m"})


@pytest.mark.parametrize(("seat", "block", "above"), SEATS)
def test_the_pinion_under_a_steady_pull_by_hand(seat, block, above):
    """Stood on its brakes on a hill the rear tyres push by F: about the seat that is F (R + h), over the wind-up rate.

    What the axle carries between seat and hub, N less its own weight, tips it further on a seat over the axle and back on one under it:
    K less N h. The axle's own weight along the hill acts at its centre, so that of the push only what reaches the frame has the lever h.
    """
    truck = on_block(seat, block, dampers=False)  # neither gas nor what they weigh on one side
    setup = lower(truck)
    assert setup.axles["rear"].seat_above == pytest.approx(above)
    plan = LAUNCH.model_copy(update={"climb": np.radians(12.0)}).plan(setup)
    own, table = wheeled(setup, replace(plan.driving, in_gear=False, throttle=0.0)), road_table(setup, plan)
    state = start_of(own, rest(setup), table)
    equations = DrivenEquations(own, table)
    assert np.abs(equations.derivative(state, 0.0, own.brakes)[at.COORDINATES : 2 * at.COORDINATES]).max() < 1e-6
    push, load, radius = (equations.scratch(at.REAR, row) for row in (at.TRACTION, at.LOAD, at.ROLLING_RADIUS))
    assert push > 2000.0
    weight = 9.80665 * setup.axles["rear"].mass
    along, upright = push - weight * np.sin(np.radians(12.0)), load - weight * np.cos(np.radians(12.0))
    rate = truck.rear.guide.wind_up.rate
    by_pitch = (
        upright * above * state[at.PITCH]
    )  # the hub hangs under the seat with the body, which leans back on its springs
    wanted = (push * radius + along * above - by_pitch) / (rate - upright * above)
    assert -state[at.WIND_UP + 2] == pytest.approx(wanted, rel=2e-3)
    # As a mechanic reckons it, all of the push with the lever from road to seat.
    assert -state[at.WIND_UP + 2] == pytest.approx(push * (radius + above) / rate, rel=0.08)


def test_no_block_and_no_seat_is_the_axles_centre():
    """A pack said to lie at the centre, and a block of nothing: the same run to the last digit."""
    plain, said = (sim.simulate(truck, LAUNCH) for truck in (seated_truck(None), on_block("0 mm", 0.0)))
    assert np.array_equal(plain.rear.wind_up_rad, said.rear.wind_up_rad)
    assert np.array_equal(plain.drive.speed_m_per_s, said.drive.speed_m_per_s)


@pytest.mark.parametrize("run", [LAUNCH, BRAKE, COURSE], ids=lambda run: run.kind)
def test_where_a_housing_cannot_wind_up_a_seat_changes_nothing(run):
    """Rigid leaves that do not turn it: seat and centre move alike, and what the moment is about is the frame's own affair."""
    rigid = {"rear.guide.wind_up": {"rate": "rigid"}}
    centre, over = (sim.simulate(seated_truck(seat).changed(rigid), run) for seat in (None, "150 mm"))
    for one, other in ((centre.front, over.front), (centre.rear, over.rear)):
        assert other.jounce_m == pytest.approx(one.jounce_m, abs=1e-8)
        assert other.tyre_load_n == pytest.approx(one.tyre_load_n, abs=1e-2)
    assert other.wheel_height_m == pytest.approx(one.wheel_height_m, abs=1e-8)
    assert over.pitch_nose_up_rad == pytest.approx(centre.pitch_nose_up_rad, abs=1e-8)


@pytest.mark.parametrize("run", [LAUNCH, BRAKE, COURSE], ids=lambda run: run.kind)
@pytest.mark.parametrize(("seat", "block"), [("70 mm", TWO_INCHES), ("-80 mm", 0.0)])
def test_energy_balances(seat, block, run):
    result = sim.simulate(on_block(seat, block), run)
    assert np.ptp(result.rear.wind_up_rad) > np.radians(1.0)
    assert result.energy.residual_share < 1e-6
    assert all(loss >= -1e-9 for loss in result.energy.dissipated_j.values())


def test_a_wound_up_hub_swings_about_the_seat():
    """Geometry: wound up by 0.1 rad, a hub 120 mm under its seat goes 120 (1 - cos) up and 120 sin along, and its tyre feels that."""
    truck = on_block("70 mm", 0.05).changed({"rear.dampers": "none", "rear.fore_and_aft": "none"})
    setup = lower(truck)
    standing = rest(setup).state
    wound = standing.copy()
    wound[at.WIND_UP + 2] += 0.1
    equations, angle = Equations(setup), standing[at.WIND_UP + 2] + standing[at.PITCH]
    still, turned = (
        equations.derivative(state) is not None and equations.tyre_loads()[1] for state in (standing, wound)
    )
    rise = 0.12 * (np.cos(angle) - np.cos(angle + 0.1))
    assert centre_heights(setup, "rear", wound[None])[0] - centre_heights(setup, "rear", standing[None])[
        0
    ] == pytest.approx(rise, abs=1e-12)
    assert still - turned == pytest.approx(2 * truck.rear.tyre.rate * rise, rel=1e-6)
    # What the road sees of it, by a slope of 1 in 10 under the wheels: a push along it has the power of the centre's speed.
    hub = equations.packed.memory[at.SCRATCH + at.SCRATCH_ROWS + at.HUB_X]
    assert hub == pytest.approx(-0.12 * np.sin(angle + 0.1), abs=1e-12)


def test_a_block_under_the_axle_lowers():
    """Between a pack under the axle and the axle it puts the axle higher on the pack: the frame comes down by it, and up over the axle."""
    for seat, sense in (("-80 mm", 1.0), ("80 mm", -1.0)):
        truck = seated_truck(seat)
        before, after = (rest(lower(one)).state[at.JOUNCE + 2] for one in (truck, on_block(seat, 0.05)))
        assert after - before == pytest.approx(sense * 0.05, abs=1e-3)


def test_packs_put_over_the_axle_lift_by_what_lies_between():
    # Neither a strap nor a damper's length is in the way.
    truck = seated_truck("-80 mm", dampers=False).changed({"rear.strap": "none"})
    over = truck.changed({"rear.springs.pack.seat_above": "80 mm"})
    before, after = (rest(lower(one)).state[at.JOUNCE + 2] for one in (truck, over))
    assert after - before == pytest.approx(-0.16, abs=3e-3)


def test_a_seat_that_the_truck_does_not_know_is_refused():
    with pytest.raises(
        RunError, match=r"seat_above, 70\.0 mm .* rear\.springs\.pack\.seat_above into the vehicle's file"
    ):
        lower(seated_truck(None).changed({"rear.springs.pack.seat_above": "70 mm"}))
