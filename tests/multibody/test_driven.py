"""Launches and a stop against a general-purpose multi-body engine: whole trajectories (see driven_truck.py).

Both sides use the same Runge-Kutta rule, so that runs of one step agree far below that step's own error: that compares the
equations and nothing else. The engine's error is then the change from twice the step.
"""

import numpy as np
import pytest

import sim
from sim.describe.runs import Brake, Launch
from sim.kernel import layout as at
from sim.lower.lowering import lower
from sim.lower.rest import rest
from sim.lower.road.samples import BEFORE
from sim.lower.wheeled import ROAD_STEP_M, road_table, start_of, wheeled
from tests.multibody.driven_truck import CHANNELS, DrivenTruck, Road
from tests.synthetic import seated_truck

pytestmark = (
    pytest.mark.hours
)  # every stage of an engine's step is Python; tests/derivation has the same equations by default

# Short: a brake that catches or slips has a corner there, and after it Runge-Kutta rules lose most of their order.
STEP_S = 1.25e-4

VEHICLE = sim.load("scenarios/two_or_four.yaml").setups["two front"]
# A flatter arc: the demo's own, to 60 % of its radius, is within 1e-8 m of the polynomial that the program runs on, and that
# would be all that is left to see.
FLATTER = {"rear.guide.path_radius": "1.2 m"}
BOTH_DRIVEN = {
    "driveline.drive": "both",
    # Its torque falls below idle, where the clutch passes that at idle all the same.
    "driveline.engine.torque": [
        {"speed": "500 rpm", "torque": "120 N m"}, {"speed": "1600 rpm", "torque": "310 N m"},
        {"speed": "2600 rpm", "torque": "300 N m"}, {"speed": "4200 rpm", "torque": "190 N m"},
    ],
    "rear.guide.wind_up.rate": "from_leaves",
    "rear.springs.pack.halves": {"ahead": "610 mm", "behind": "700 mm"},
    "rear.wind_up_link": {
        "body": {"behind_front_axle": "2.2 m", "above_ground": "620 mm"}, "axle": {"ahead": "40 mm", "above": "160 mm"},
        "rate": "1.5 kN/mm", "damping": "2 kN s/m", "sideways": "30 mm",
    },
}  # fmt: skip
# E. Bakker, L. Nyborg, H. B. Pacejka, SAE 870421 (1987): the paper's braking coefficients of one tyre.
MEASURED = {
    f"{axle}.tyre.slip": {
        "coefficients": [-21.3, 1144, 49.6, 226, 0.069, -0.006, 0.056, 0.486], "relaxation_length": "220 mm",
    }
    for axle in ("front", "rear")
}  # fmt: skip
FIRM = {"friction": 0.8, "sliding": 0.65}
HUMP = {
    "kind": "course", "name": "hump",
    "items": [
        {"kind": "flat", "length": "0.6 m"}, {"kind": "sinusoidal_hump", "length": "1.2 m", "height": "90 mm"},
        {"kind": "flat", "length": "8 m"},
    ],
}  # fmt: skip


def columns(made):
    """Return what the engine's rows hold, a row a millisecond, of a run of the program."""
    drive = made.drive
    axles = []
    for axle, sense in ((made.front, 1.0), (made.rear, -1.0)):
        axles += [axle.jounce_m, sense * axle.wind_up_rad]
    rows = np.array([
        drive.distance_m, drive.speed_m_per_s, made.bounce_m, -made.pitch_nose_up_rad, *axles,
        drive.front.shift_m, drive.rear.shift_m, drive.front.spin_rad_per_s, drive.rear.spin_rad_per_s,
        drive.engine_rad_per_s,
    ]).T  # fmt: skip
    return from_the_start(rows[:: round(1e-3 / STEP_S)])


def from_the_start(rows):
    """Heights and pitches are told from where the truck stood."""
    rows[:, 2:4] -= rows[0, 2:4]
    return rows


def trajectories(vehicle, run):
    """Return the program's run, the engine at one step and at twice that, and the engine's rates at the start."""
    setup = lower(vehicle)
    plan = run.plan(setup)
    own, table = wheeled(setup, plan.driving), road_table(setup, plan)
    start = start_of(own, rest(setup), table)
    road = None
    if plan.course:
        # The engine joins the samples' heights and slopes by cubics of its own.
        given = table.road[:, BEFORE:-1]
        profile = np.stack([given[..., at.ROAD_HEIGHT], given[..., at.ROAD_BY_SAMPLE] / ROAD_STEP_M], axis=1)
        starts = [
            setup.axles[name].centre_forward - (begin - BEFORE) * ROAD_STEP_M
            for name, begin in zip(("front", "rear"), table.begin, strict=True)
        ]
        assert starts[0] == pytest.approx(starts[1], abs=1e-12)
        road = Road(profile, starts[0], ROAD_STEP_M)
    engine = DrivenTruck(setup, vehicle, plan.driving, road)
    rates = engine.accelerations(start)
    made = sim.simulate(vehicle, run, step_s=STEP_S)
    fine, coarse = (from_the_start(engine.run(start, step, run.watch)) for step in (STEP_S, 2.0 * STEP_S))
    return made, fine, coarse, rates


def agree(made, fine, coarse):
    same, finer = columns(made.coarse), columns(made)
    swing = np.maximum(np.ptp(finer, axis=0), 1e-9)

    def greatest(one, other):
        return dict(zip(CHANNELS, np.max(np.abs(one - other), axis=0) / swing, strict=True))

    alike, step_error = greatest(fine, same), greatest(fine, coarse)
    before, after = greatest(coarse, finer), greatest(fine, finer)
    for channel in CHANNELS:
        assert alike[channel] < 1e-7, (channel, alike)
        # The program at half the step lies within what the engine's own step still changes.
        assert after[channel] <= step_error[channel], (channel, after, step_error)
    assert max(after.values()) < max(before.values())
    return max(alike.values()), max(step_error.values())


def test_launch_on_firm_ground():
    run = Launch.model_validate({"kind": "launch", "surface": FIRM, "watch": "2 s"})
    made, fine, coarse, rates = trajectories(VEHICLE.changed(FLATTER), run)
    assert np.max(np.abs(rates)) < 1e-6  # it stands
    assert np.max(made.drive.rear.slip) > 0.8
    assert np.ptp(made.rear.wind_up_rad) > 0.2
    _, step_error = agree(made, fine, coarse)
    assert step_error < 1e-4


def test_launch_up_a_hill_over_a_hump_with_both_axles_driven():
    """Leaves with uneven halves, a wind-up link, treads that hold it on the hill, and the slope of a road on top of it."""
    run = Launch.model_validate({
        "kind": "launch", "surface": FIRM, "watch": "2.2 s", "climb": "12 deg", "course": HUMP,
    })  # fmt: skip
    made, fine, coarse, rates = trajectories(VEHICLE.changed(FLATTER | BOTH_DRIVEN), run)
    assert np.max(np.abs(rates)) < 1e-6
    assert np.max(made.rear.road_height_m) > 0.08  # both axles have been over it
    assert np.max(made.drive.front.slip) > 0.5  # far past the peak, which is at 0.15
    _, step_error = agree(made, fine, coarse)
    assert step_error < 2e-4


@pytest.mark.parametrize(("seat", "block"), [("70 mm", "51 mm"), ("-80 mm", "0 mm")], ids=("over", "under"))
def test_launch_on_a_seat(seat, block):
    """Packs over the axle on a block, and packs under it: the engine's housing is jointed at the seat, its wheels hang from the housing."""
    on_seat = seated_truck(seat).changed(FLATTER | {"rear.springs.pack.block": block})
    run = Launch.model_validate({"kind": "launch", "surface": FIRM, "watch": "1.2 s"})
    made, fine, coarse, rates = trajectories(on_seat, run)
    assert lower(on_seat).axles["rear"].seat_above == pytest.approx({"70 mm": 0.121, "-80 mm": -0.08}[seat])
    assert np.max(np.abs(rates)) < 1e-6
    assert np.ptp(made.rear.wind_up_rad) > 0.1
    _, step_error = agree(made, fine, coarse)
    assert step_error < 2e-4


def test_stop_with_locked_wheels():
    run = Brake.model_validate({
        "kind": "brake", "surface": FIRM, "speed": "8 m/s", "pedal_after": "0.1 s", "watch": "1.8 s",
    })  # fmt: skip
    made, fine, coarse, _ = trajectories(VEHICLE.changed(FLATTER), run)
    moving = made.drive.speed_m_per_s > 1.0
    for wheels in (made.drive.front, made.drive.rear):
        assert np.min(wheels.slip[moving]) < -0.99
    assert np.min(made.drive.speed_m_per_s) < 0.0  # it has stopped and rocks back
    _, step_error = agree(made, fine, coarse)
    assert step_error < 1e-3


def test_launch_on_measured_tyres():
    """Steeper, so that steps as long leave more of an error; runs of one step still agree."""
    run = Launch.model_validate({"kind": "launch", "surface": FIRM, "watch": "1.2 s"})
    made, fine, coarse, _ = trajectories(VEHICLE.changed(FLATTER | MEASURED), run)
    assert np.max(made.drive.rear.slip) > 0.8
    agree(made, fine, coarse)
