"""Ride at any point of the body: what pitching makes forward and upward, and how it adds up."""

from math import isnan, sqrt

import numpy as np
import pytest

import sim
from sim.integrate.simulation import simulate
from sim.lower.lowering import lower
from sim.measure import comfort
from sim.measure.weighting import WD, WE, WK
from tests.synthetic import still_run

TIME = np.arange(40_001) * 1e-3


@pytest.fixture(scope="module")
def driven():
    """A drive over the demo course; its kinematics are looked at, not its forces."""
    scenario = sim.load("scenarios/two_or_four.yaml")
    return simulate(scenario.setups["two front"], scenario.run)


@pytest.mark.parametrize("point", ["centre of gravity", "driver", "bed"])
def test_acceleration_of_a_point_is_how_its_place_changes(driven, point):
    """Second differences of the place of the point, from surge, bounce and pitch alone; five-point, as the pitch bends at a stop."""
    forward, up = {"centre of gravity": (0.0, 0.0), **lower(driven.vehicle).points}[point]
    nose_down = -driven.pitch_nose_up_rad
    x = driven.gained_m + forward * np.cos(nose_down) + up * np.sin(nose_down)
    z = driven.bounce_m - forward * np.sin(nose_down) + up * np.cos(nose_down)
    # The rest pitch turns the point's own place by a constant angle, far less than what is compared here.
    for place, found in ((x, driven.acceleration_forward_m_per_s2), (z, driven.acceleration_m_per_s2)):
        h = 1e-3
        second = (-place[4:] + 16 * place[3:-1] - 30 * place[2:-2] + 16 * place[1:-3] - place[:-4]) / (12 * h * h)
        away = found[point][2:-2] - second
        size = max(float(np.sqrt(np.mean(second**2))), 0.01)
        assert np.sqrt(np.mean(away**2)) < 0.02 * size
    turning = np.diff(driven.pitch_nose_up_rad, 2) / 1e-6
    seen = driven.pitch_acceleration_rad_per_s2[1:-1]
    assert np.sqrt(np.mean((turning - seen) ** 2)) < 0.02 * np.sqrt(np.mean(seen**2))


def test_higher_up_pitching_is_felt_more_fore_and_aft():
    """Above the centre of gravity, small angles: forward acceleration is pitch acceleration times the height above it."""
    scenario = sim.load("scenarios/two_or_four.yaml")
    places = {
        f"points.{name}": {"behind_front_axle": "1.245 m", "above_ground": f"{height} m"}
        for name, height in (("roof", 2.2), ("floor", 0.7))
    }
    held = scenario.run.model_copy(update={"driver": "constant_speed"})  # a body that surges is felt everywhere
    run = simulate(scenario.setups["two front"].changed(places), held)
    points = lower(run.vehicle).points
    assert abs(points["roof"][0]) < 0.01
    for name in ("roof", "floor"):
        expected = (
            points[name][1] * run.pitch_acceleration_rad_per_s2 * -1.0
        )  # nose up throws what is above it backward
        found = run.acceleration_forward_m_per_s2[name]
        assert np.sqrt(np.mean((found - expected) ** 2)) < 0.03 * np.sqrt(np.mean(expected**2))
    ratio = comfort.fore_and_aft(run, "roof") / comfort.fore_and_aft(run, "floor")
    assert ratio == pytest.approx(abs(points["roof"][1] / points["floor"][1]), rel=0.03)


def sines(up=0.0, ahead=0.0, turning=0.0, hertz=4.0):
    wave = np.sin(2 * np.pi * hertz * TIME)
    points = {"centre of gravity": up * wave, "driver": up * wave}
    return still_run(
        TIME, acceleration_m_per_s2=points, acceleration_forward_m_per_s2={"driver": ahead * wave},
        pitch_acceleration_rad_per_s2=turning * wave,
    )  # fmt: skip


@pytest.mark.parametrize("hertz", [1.0, 4.0, 8.0])
def test_each_way_has_its_own_weighting(hertz):
    """Sines: amplitude over root two times Wk, Wd or We at that frequency; all together by the root of squares."""
    run = sines(1.2, 0.7, 2.0, hertz)
    wk, wd, we = (w.factor(hertz) / sqrt(2) for w in (WK, WD, WE))
    assert comfort.weighted_rms(run, "driver") == pytest.approx(1.2 * wk, rel=0.01)
    assert comfort.fore_and_aft(run, "driver") == pytest.approx(0.7 * wd, rel=0.01)
    assert comfort.pitching(run) == pytest.approx(2.0 * we, rel=0.01)
    whole = sqrt((1.2 * wk) ** 2 + (0.7 * wd) ** 2 + (0.4 * 2.0 * we) ** 2)
    assert comfort.total(run, "driver") == pytest.approx(whole, rel=0.01)


def test_what_is_not_known_has_no_value():
    run = sines(1.0)
    assert isnan(comfort.fore_and_aft(run, "centre of gravity"))
    assert isnan(comfort.total(run, "centre of gravity"))
    assert isnan(comfort.pitching(still_run(TIME)))
    assert isnan(comfort.fore_and_aft(run, "roof"))


def test_single_jolts_are_told_from_an_even_ride():
    even = sines(1.0)
    assert not comfort.jolts(even, "driver")
    once = np.where((TIME > 20.0) & (TIME < 20.1), 8.0 * np.sin(2 * np.pi * 10.0 * TIME), 0.0)
    jolt = still_run(TIME, acceleration_m_per_s2={"centre of gravity": once})
    assert comfort.jolts(jolt, "centre of gravity")
    assert not comfort.jolts(still_run(TIME), "driver")
