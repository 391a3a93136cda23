"""What is between the propshafts of a truck that drives both axles, and the drag of an engine whose throttle is shut.

The equations themselves are Kane's (tests/derivation/test_driven_against_kernel.py).
"""

from pathlib import Path

import numpy as np
import pytest

import sim
from sim.describe.parts.driveline import Driveline, Engine
from sim.describe.runs import Brake, Launch
from sim.errors import RunError

ROCK = {"name": "firm rock", "friction": 0.85, "sliding": 0.62, "peak_at": "13 %"}
ALL = sim.load(Path(__file__).parents[2] / "scenarios" / "vehicles" / "hut_supply_truck.yaml").changed(
    {
        "driveline.drive": "both",
        "loads.stores": {
            "mass": "440 kg",
            "place": {"behind_front_axle": "2.75 m", "above_ground": "1.20 m"},
            "pitch_inertia": "60 kg m^2",
        },
    }
)
DRAG = 50.0


def launch(**changes):
    return Launch.model_validate({"kind": "launch", "surface": ROCK, "watch": "3 s", "throttle": "40 %"} | changes)


def coasting(**changes):
    run = {"kind": "brake", "surface": ROCK, "speed": "10 km/h", "pedal": 0, "in_gear": True, "watch": "1.5 s"}
    return Brake.model_validate(run | changes)


def propshafts(run):
    """Torque on the front and the rear propshaft (n,), of shafts on wheels by the final drives."""
    return [
        wheel.shaft_torque_n_m / axle.shafts.final_drive
        for wheel, (_, axle) in zip((run.drive.front, run.drive.rear), run.vehicle.axles, strict=True)
    ]


def test_an_open_centre_gives_both_propshafts_the_same_torque():
    """An open differential with like gears halves its torque (any textbook of drivelines); locked, each axle takes what its load asks."""
    opened = sim.simulate(ALL.changed({"driveline.centre": "open"}), launch(climb="12 deg"))
    front, rear = propshafts(opened)
    driving = opened.time_s > 1.5
    assert np.mean(front[driving]) > 100.0
    # What is left between them turns the propshafts' own inertia.
    assert np.mean(front[driving]) == pytest.approx(np.mean(rear[driving]), rel=1e-2)
    locked = sim.simulate(ALL, launch(climb="12 deg"))
    front, rear = propshafts(locked)
    assert np.mean(rear[driving]) > 1.1 * np.mean(front[driving])  # uphill the rear wheels carry more, at the same slip
    for run in (opened, locked):
        assert run.energy.residual_share < 1e-6


def test_a_clutch_holds_until_it_slips():
    """Its torque at most is half of what the propshafts differ by; more than it is asked for, it is a locked centre.

    With a shorter final drive in front its propshaft must turn 6 % faster, so that the clutch slips the same way all the time.
    """
    unlike = ALL.changed(
        {"driveline.centre": "limited_slip", "driveline.centre_torque": "20 N m", "front.shafts.final_drive": 4.56}
    )
    slipping = sim.simulate(unlike, launch(climb="12 deg"))
    front, rear = propshafts(slipping)
    driving = slipping.time_s > 1.5
    # It carries 20 N m from one propshaft to the other.
    assert np.mean((rear - front)[driving]) == pytest.approx(40.0, rel=2e-2)
    turned = [wheel.spin_rad_per_s[driving] * axle.shafts.final_drive for wheel, (_, axle) in
              zip((slipping.drive.front, slipping.drive.rear), unlike.axles, strict=True)]  # fmt: skip
    assert np.mean(turned[0]) == pytest.approx(np.mean(turned[1]) * 4.56 / 4.3, rel=1e-2)
    assert slipping.energy.residual_share < 1e-6
    holding = sim.simulate(
        ALL.changed({"driveline.centre": "limited_slip", "driveline.centre_torque": "3 kN m"}), launch(climb="12 deg")
    )
    locked = sim.simulate(ALL, launch(climb="12 deg"))
    assert holding.drive.speed_m_per_s[-1] == pytest.approx(locked.drive.speed_m_per_s[-1], rel=2e-3)
    for ours, theirs in zip(propshafts(holding), propshafts(locked), strict=True):
        assert np.mean(ours[driving]) == pytest.approx(np.mean(theirs[driving]), rel=0.05)


@pytest.mark.parametrize(("gear", "speed"), [(3.6, "10 km/h"), (1.5, "25 km/h")])
def test_an_engine_that_drags_slows_a_truck_by_its_effective_mass(gear, speed):
    """(m + J_w / R² + J_e G² / R²) dv/dt = -D G / R, T. D. Gillespie, Fundamentals of Vehicle Dynamics (1992), 2, from memory.

    As momenta, so that shafts may swing: m v + (Σ J_w Ω + J_e G ω) / R falls by D G / R a second.
    """
    truck = ALL.changed({"driveline.engine.drag": f"{DRAG} N m", "driveline.gear": gear, "driveline.drive": "rear"})
    line, run = truck.driveline, sim.simulate(truck, coasting(speed=speed))
    drive, total = run.drive, line.gears * truck.rear.shafts.final_drive
    full = run.time_s[drive.engine_rad_per_s > 1.25 * line.engine.idle]
    last = np.searchsorted(run.time_s, full[-1])
    assert last > 700
    radius = np.mean(drive.speed_m_per_s / drive.front.spin_rad_per_s)  # of wheels that roll
    mass = truck.body.mass + 85.0 + 440.0 + sum(axle.housing.mass for _, axle in truck.axles)
    momentum = mass * drive.speed_m_per_s + line.engine.inertia * total / radius * drive.engine_rad_per_s
    for wheel, (_, axle) in zip((drive.front, drive.rear), truck.axles, strict=True):
        momentum = momentum + axle.tyre.count * axle.tyre.spin_inertia * wheel.spin_rad_per_s / radius
    lost = (momentum[0] - momentum[last]) / run.time_s[last]
    assert lost == pytest.approx(DRAG * total / radius, rel=0.02)
    assert drive.speed_m_per_s[last] < 0.9 * drive.speed_m_per_s[0]
    assert run.energy.work_in_j < 0.0  # the engine takes
    assert run.energy.residual_share < 1e-6


def test_a_foot_that_leaves_the_throttle():
    """The truck pulls away, then its engine's drag slows it; without drag nothing but slip does."""
    speeds = []
    for drag in (0.0, DRAG):
        truck = ALL.changed({"driveline.engine.drag": f"{drag} N m", "driveline.drive": "rear"})
        run = sim.simulate(truck, launch(throttle="60 %", throttle_off_after="1.5 s"))
        assert run.energy.residual_share < 1e-6
        speeds.append(run.drive.speed_m_per_s)
    rolling, dragging = speeds
    # Of all that turns and goes, shafts and pitch swing a tenth to and fro.
    assert rolling[-1] > 0.9 * np.max(rolling)
    assert dragging[-1] < 0.8 * rolling[-1]


def test_drag_is_a_line_of_speed():
    line = [{"speed": "1000 rpm", "torque": "40 N m"}, {"speed": "3000 rpm", "torque": "80 N m"}]
    engine = Engine.model_validate({"torque": "300 N m", "limit": "4000 rpm", "inertia": "0.3 kg m^2", "drag": line})
    assert engine.drag_at(2000 * np.pi / 30) == pytest.approx(60.0)
    assert engine.drag_rise * 1000 * np.pi / 30 == pytest.approx(20.0)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"drive": "rear", "centre": "open"}, "write drive: both"),
        ({"drive": "both", "centre": "limited_slip"}, "centre: limited_slip needs centre_torque"),
        ({"drive": "both", "centre": "open", "centre_torque": "100 N m"}, "centre_torque is of centre: limited_slip"),
        (
            {"engine": {"torque": "300 N m", "limit": "4000 rpm", "inertia": "0.3 kg m^2",
                        "drag": [{"speed": "1000 rpm", "torque": "80 N m"}, {"speed": "2000 rpm", "torque": "5 N m"}]}},
            "falls below nothing",
        ),
    ],
)  # fmt: skip
def test_what_contradicts_itself_is_refused(changes, said):
    engine = {"torque": "300 N m", "limit": "4000 rpm", "inertia": "0.3 kg m^2"}
    with pytest.raises(ValueError, match=said):
        Driveline.model_validate({"engine": engine, "gear": 3.6} | changes)


def test_a_truck_that_nothing_would_slow_is_refused():
    with pytest.raises(RunError, match="needs in_gear"):
        sim.simulate(ALL, coasting(in_gear=False))
