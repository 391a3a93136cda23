"""Whole trajectories against a general-purpose multi-body engine, with roads and releases (see half_car.py)."""

import numpy as np
import pytest

import sim
from sim.describe.runs import Course, Release
from sim.integrate.given import road_profile
from sim.integrate.single import once, start_state, with_plan
from sim.integrate.single import prepared as at_start
from sim.kernel import layout as at
from sim.lower.lowering import lower
from sim.lower.rest import rest
from tests.multibody.half_car import Engine
from tests.reference import Felt

pytestmark = (
    pytest.mark.hours
)  # every stage of an engine's step is Python; tests/derivation has the same equations by default

SCENARIO = sim.load("scenarios/two_or_four.yaml")
FINEST = 16
"""Parts of a millisecond in which ours is run here, so that what is left is the engine's own error."""

# The engine of this file has axles without give, and a road that lifts the wheels; tests/multibody/test_driven.py has both.
VEHICLE = SCENARIO.setups["two front"].changed(
    {"rear.springs.pack.friction": "none", "front.fore_and_aft": "none", "rear.fore_and_aft": "none"}
)
UPRIGHT = SCENARIO.run.model_copy(update={"tyre_load": "upright"})


def prepared(run):
    setup = lower(VEHICLE)
    plan = run.plan(setup)
    setup = with_plan(setup, plan)
    return setup, plan, start_state(setup, plan, rest(setup))


def ours(run, seconds):
    made = once(at_start(VEHICLE, run), run, "", 1e-3, FINEST)
    n = round(seconds * 1000) + 1
    setup, _, _ = prepared(run)
    standing = rest(setup).state
    columns = [made.bounce_m + standing[at.Z], standing[at.PITCH] - made.pitch_nose_up_rad]
    for axle, sense in ((made.front, 1.0), (made.rear, -1.0)):
        columns += [axle.jounce_m, sense * axle.wind_up_rad]
    return np.array(columns).T[:n]


def misses(run, road, held, seconds, steps):
    setup, _, start = prepared(run)
    engine = Engine(setup, VEHICLE, held)
    exact = ours(run, seconds)
    swing = np.ptp(exact, axis=0)
    return [np.max(np.abs(engine.run(start, road, step, seconds)[: len(exact)] - exact) / swing) for step in steps]


def flat(_):
    return (0.0, 0.0), (0.0, 0.0)


def test_release_from_a_large_displacement():
    run = Release.model_validate({"kind": "release", "body_up": "70 mm", "nose_up": "3 deg", "watch": "1.5 s"})
    coarse, fine = misses(run, flat, False, 1.5, (5e-4, 1.25e-4))
    assert fine < 1e-6
    assert fine < coarse / 10.0


def test_release_of_a_wound_up_rear_axle():
    run = Release.model_validate({"kind": "release", "pinion_up_rear": "7 deg", "watch": "1 s"})
    coarse, fine = misses(run, flat, False, 1.0, (1e-3, 1.25e-4))
    assert fine < 3e-6
    assert fine < coarse / 10.0


def test_bump_course_with_knees_stops_and_lift_off():
    setup, plan, _ = prepared(UPRIGHT)
    felt = [Felt(road_profile(plan.course, a.tyre.radius, a.tyre.contact_length).curve) for _, a in VEHICLE.axles]
    behind = [VEHICLE.axle_behind_front_m(name) for name, _ in VEHICLE.axles]

    def road(time):
        reached = plan.speed_m_per_s * time - plan.lead_m
        (front, front_slope), (rear, rear_slope) = (
            curve.at(reached - back) for curve, back in zip(felt, behind, strict=True)
        )
        return (front, rear), (plan.speed_m_per_s * front_slope, plan.speed_m_per_s * rear_slope)

    assert isinstance(SCENARIO.run, Course)
    # Up to after the log and into the ditch. Here the engine reads the road's rate at points, this program means over
    # windows near kinks: the roads differ by what the steps can see, so refining brings both together.
    coarse, fine = misses(UPRIGHT, road, True, 6.2, (1e-3, 5e-4))
    assert fine < 1e-4
    assert fine < coarse
