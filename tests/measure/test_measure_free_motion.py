import numpy as np
import pytest

from sim.measure.free_motion import (
    SIGNALS,
    body_over_axle,
    decay_of,
    final_value,
    lobes,
    turning_points,
)
from tests.measure.decays import coulomb, coulomb_turns, viscous
from tests.synthetic import still_run, with_axle

TIME = np.arange(20001) * 1e-3
BOUNCE = SIGNALS[0]


@pytest.mark.parametrize("zeta", [0.02, 0.05, 0.1, 0.3])
@pytest.mark.parametrize("cut_s", [3.3, 4.0, 5.1])
def test_final_value_of_a_swing_that_is_cut_off(zeta, cut_s):
    x = 0.3 + viscous(TIME[cut_s > TIME], zeta)
    assert final_value(x) == pytest.approx(0.3, abs=2e-3)


def test_final_value_of_an_undamped_swing_is_its_middle():
    x = 0.3 + np.cos(2 * np.pi * 1.3 * TIME[:4321])
    assert final_value(x) == pytest.approx(0.3, abs=1e-4)


def test_final_value_where_friction_holds_it():
    x = coulomb(TIME, 10.0, 0.7)
    assert coulomb_turns(10.0, 0.7) == 7  # turns at 10 - 1.4 k: the first within 0.7 is at 0.2
    assert final_value(x) == pytest.approx(-0.2, abs=1e-12)


def test_final_value_of_a_creep_is_its_last_sample():
    x = np.exp(-TIME[:3000] / 2.0)
    assert final_value(x) == x[-1]


def test_lobes_fall_by_a_fixed_amount_a_cycle_under_dry_friction():
    # 4 F/k a cycle, any vibration text
    x = coulomb(TIME, 10.0, 0.7)
    peaks = x[lobes(x, 1.0)]
    assert np.allclose(peaks[:-2] - peaks[2:], np.sign(peaks[2:]) * 4 * 0.7, rtol=0, atol=1e-4)
    assert len(peaks) == 7


def test_lobes_are_not_cut_by_ripple():
    x = viscous(TIME, 0.1)
    rippled = x + 0.01 * np.sin(2 * np.pi * 60 * TIME)
    crossings = np.count_nonzero(np.diff(np.abs(rippled) > 0.13))
    assert crossings > 2 * 7  # it leaves and comes back more often than once a lobe
    assert len(lobes(rippled, 0.13)) == len(lobes(x, 0.13)) == 7  # 0.729^6 = 0.150


def test_turning_points_of_a_cosine():
    # 2.25 periods of 1 s: down, up, down, up; its ends are no turns
    x = np.cos(2 * np.pi * TIME[:2250])
    assert turning_points(x, 0.5) == [500, 1000, 1500, 2000]


def test_turning_points_pass_over_ripple():
    # thirds of a sample, so that no two samples of a crest are equal
    time = TIME[:2250] + 1e-3 / 3
    x = np.cos(2 * np.pi * time) + 0.01 * np.sin(2 * np.pi * 50 * time)
    turns = turning_points(x, 0.5)
    assert len(turns) == 4
    assert np.allclose(turns, [500, 1000, 1500, 2000], atol=15)


@pytest.mark.parametrize("x", [np.zeros(50), np.linspace(0, 1, 50), np.array([0.0, 1.0])])
def test_nothing_turns(x):
    assert turning_points(x, 0.1) == []


def test_body_over_axle_is_the_hub_less_its_jounce():
    run = still_run(TIME[:3])
    jounce = run.front.jounce_rest_m + np.array([0.0, 0.05, -0.01])
    run = with_axle(run, "front", jounce_m=jounce, wheel_height_m=np.array([0.0, 0.03, 0.02]))
    assert body_over_axle(run, axle="front") == pytest.approx([0.0, -0.02, 0.03])
    assert body_over_axle(run, axle="rear") == pytest.approx([0.0, 0.0, 0.0])


def test_decay_begins_at_release_and_its_largest_excursion_is_positive():
    pressed = np.where(TIME < 2.0, -0.03, 0.0)  # the push is not part of the free motion
    free = np.where(TIME >= 2.0, -0.01 * viscous(TIME - 2.0, 0.2), 0.0)
    decay = decay_of(still_run(TIME, bounce_m=pressed + free, released_s=2.0), BOUNCE)
    assert decay.time_s[0] == 0.0
    assert decay.largest == 0
    assert decay.size == pytest.approx(0.01, rel=1e-6)


@pytest.mark.parametrize(
    ("bounce", "released_s"),
    [(np.zeros(100), 0.0), (1e-4 * np.sin(np.arange(100)), 0.0), (np.ones(100), 0.099)],
    ids=["no motion", "less than can be judged", "released at the end"],
)
def test_too_little_motion_is_not_judged(bounce, released_s):
    assert decay_of(still_run(TIME[:100], bounce_m=bounce, released_s=released_s), BOUNCE) is None
