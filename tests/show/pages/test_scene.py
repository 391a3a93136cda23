"""The truck as plain numbers: where its parts are drawn is where the run has them."""

import base64
import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest

import sim
from sim.describe.roads.course import Course
from sim.show.pages.placing import placed
from sim.show.pages.scene import FRAME_S, encoded, frames, road, scene, standing_frame

SCENARIOS = Path(__file__).parents[3] / "scenarios"
EVERY = 8
"""Output steps of a millisecond between two frames."""

SINGLE = 4e-7
"""Of a frame's numbers, which are of single precision (1.2e-7 of about a metre and of some more in a sum) [m]."""

SETUPS = [
    ("two_or_four", "two front"),
    ("two_or_four", "bare springs"),
    ("push_on_the_bumper", None),
    ("soft_or_stiff_leaves", None),
    ("does_a_block_hop", "on 2 in blocks"),
    ("lean_against_wind_up", None),
    ("brake_from_speed", None),
]


@cache
def ran(name, setup):
    scenario = sim.load(SCENARIOS / f"{name}.yaml")
    setup = setup or next(iter(scenario.setups))
    return sim.simulate(scenario.setups[setup], scenario.run, setup)


@pytest.fixture(params=SETUPS, ids=lambda own: f"{own[0]} {own[1] or 'first'}")
def run(request):
    return ran(*request.param)


def test_wheels_are_drawn_as_high_as_the_run_has_them(run):
    moved = placed(scene(run.vehicle), frames(run)["channels"])
    for name, axle in run.axles:
        height, wheel = moved.axles[name].centre.z, axle.wheel_height_m[::EVERY]
        np.testing.assert_allclose(height - height[0], wheel - wheel[0], rtol=0, atol=2 * SINGLE)
        # By how much the tyres give under what they carry: straight rates in these trucks, a damper of theirs aside.
        tyre = dict(run.vehicle.axles)[name].tyre
        carried = axle.tyre_load_n[0] / (tyre.count * tyre.rate)
        assert height[0] == pytest.approx(axle.road_height_m[0] + tyre.radius - carried, abs=2 * SINGLE)


def test_dampers_are_drawn_as_long_as_the_run_has_them(run):
    moved = placed(scene(run.vehicle), frames(run)["channels"])
    for name, axle in run.axles:
        lines = {own.line["name"]: own for own in moved.axles[name].lines if own.line["role"] == "damper"}
        assert set(lines) == set(axle.dampers)
        for key, own in lines.items():
            trace = axle.dampers[key]
            np.testing.assert_allclose(own.length_m, trace.length_m[::EVERY], rtol=0, atol=SINGLE)
            np.testing.assert_allclose(own.left_in_m, trace.length_m[::EVERY] - trace.length_collapsed_m, atol=SINGLE)
            np.testing.assert_allclose(own.left_out_m, trace.length_extended_m - trace.length_m[::EVERY], atol=SINGLE)
            # Between the ends that are drawn, with what they are apart across the truck.
            across = own.line["sideways_m"]
            apart = np.sqrt((own.body.x - own.axle.x) ** 2 + (own.body.z - own.axle.z) ** 2 + across**2)
            # A distance of 90 m along the road has 8 micrometres to the last digit of single precision.
            np.testing.assert_allclose(apart, own.length_m, rtol=0, atol=3e-5)


def test_stops_are_met_where_the_run_has_a_force_and_straps_are_taut_where_they_pull(run):
    moved = placed(scene(run.vehicle), frames(run)["channels"])
    for name, axle in run.axles:
        met = moved.axles[name].stop.gap_left_m < -SINGLE
        assert np.all((axle.stop_force_n[::EVERY] > 0.0)[met])
        assert np.all((axle.stop_force_n[::EVERY] == 0.0)[moved.axles[name].stop.gap_left_m > SINGLE])
        strap = next(own for own in moved.axles[name].lines if own.line["role"] == "strap")
        assert np.all((axle.strap_force_n[::EVERY] == 0.0)[strap.left_out_m > SINGLE])


def test_a_truck_that_stands_is_drawn_on_its_tyres():
    """Its tyres give under their load, which is a few per cent of their radius and never all of it."""
    for setup, _ in SETUPS[:3]:
        drawn = scene(ran(setup, None).vehicle)
        for name, axle in placed(drawn, standing_frame(drawn)).axles.items():
            radius = drawn["axles"][name]["tyre"]["radius_m"]
            assert 0.8 * radius < axle.centre.z < radius
            # As measured the front axle is at zero, the rear one a wheelbase behind it; bushes give some millimetres.
            assert axle.centre.x == pytest.approx(-drawn["axles"][name]["behind_front_m"], abs=0.02)


def test_wind_up_can_be_enlarged_and_leaves_lengths_alone():
    run = ran("lean_against_wind_up", None)
    drawn, moving = scene(run.vehicle), frames(run)["channels"]
    true, large = placed(drawn, moving), placed(drawn, moving, wind_up_times=5.0)
    turned = (large.axles["rear"].turn - true.axles["rear"].turn) / 4.0
    # A rear pinion points forward: its pinion goes up where the housing's front does, which is a negative turn.
    np.testing.assert_allclose(-turned, run.rear.wind_up_rad[::EVERY], atol=1e-6)
    for one, other in zip(true.axles["rear"].lines, large.axles["rear"].lines, strict=True):
        np.testing.assert_array_equal(one.length_m, other.length_m)


def test_the_road_is_that_of_the_course():
    run = ran("two_or_four", "two front")
    ground = road(run)
    course: Course = run.run.course
    lead = run.run.crossing(run.vehicle).lead_m
    places = ground["from_m"] + ground["step_m"] * np.arange(len(ground["height_m"]))
    np.testing.assert_allclose(ground["height_m"], course.height(places - lead), atol=1e-6)
    # Where the front wheels are when they first rise is where the drawn road first does, within a tyre's reach.
    front = placed(scene(run.vehicle), frames(run)["channels"]).axles["front"].centre.x
    first = places[np.argmax(np.abs(ground["height_m"]) > 0.01)]
    felt = front[np.argmax(np.abs(run.front.road_height_m[::EVERY]) > 0.01)]
    assert abs(first - felt) < run.vehicle.front.tyre.radius
    assert ground["height_m"].max() == pytest.approx(run.front.road_height_m.max(), rel=0.05)


def test_on_the_spot_the_ground_is_level():
    assert not road(ran("push_on_the_bumper", None))["height_m"].any()


def test_frames_are_eight_milliseconds_apart_and_single_precision():
    run = ran("two_or_four", "two front")
    moving = frames(run)
    assert moving["step_s"] == pytest.approx(FRAME_S)
    assert all(values.dtype == np.float32 for values in moving["channels"].values())
    assert {len(values) for values in moving["channels"].values()} == {len(run.time_s[::EVERY])}


def test_a_description_is_plain_json_and_arrays_come_back():
    run = ran("two_or_four", "two front")
    text = json.dumps(encoded({"scene": scene(run.vehicle, 'a <b> & "c"\n'), "frames": frames(run)}), allow_nan=False)
    back = json.loads(text)
    assert back["scene"]["name"] == 'a <b> & "c"\n'
    packed = back["frames"]["channels"]["bounce_m"]["float32"]
    np.testing.assert_array_equal(
        np.frombuffer(base64.b64decode(packed), dtype="<f4"), frames(run)["channels"]["bounce_m"]
    )


def test_the_outline_holds_every_point_and_lies_above_the_wheels_centres():
    run = ran("two_or_four", "two front")
    drawn = scene(run.vehicle)
    outline = np.array(drawn["body"]["outline"])
    for forward, _ in drawn["body"]["points"].values():
        assert outline[:, 0].min() < forward < outline[:, 0].max()
    for axle in drawn["axles"].values():
        assert outline[:, 1].min() > axle["centre_up_m"]
