"""Rates in time: exact impulse at kinks, exact derivative and fourth order on smooth roads."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from sim.lower.road.contact import contact_profile, sample
from tests.describe.roads.road_twin import Formula, course, flat, offset_curve

STEP = 1e-3


def widths(steps: int, step: float = STEP) -> np.ndarray:
    """Widths of the windows that tile the time axis; halves at its ends."""
    width = np.full(steps + 1, step)
    width[[0, -1]] /= 2.0
    return width


def summed(profile, speed, offset, steps, step=STEP) -> float:
    _, rate = sample(profile, speed, offset, step, steps)
    return float(np.sum(rate * widths(steps, step)))


PHASES = np.linspace(0.0, 1.0, 61)


@pytest.mark.parametrize("speed", [0.03, 1.31, 2.62, 10.0, 31.0])
def test_a_jump_has_its_whole_rise_at_any_phase(speed):
    road = course(flat("50 mm"), {"kind": "step", "height": "80 mm"}, flat("5 m"))
    profile = contact_profile(road, 0.0, 0.0)
    steps = int(0.2 / speed / STEP) + 10
    for phase in PHASES:
        rise = summed(profile, speed, phase * speed * STEP, steps)
        assert rise == pytest.approx(0.08, abs=1e-12)


@pytest.mark.parametrize("radius", [0.0, 0.3])
@pytest.mark.parametrize("speed", [0.7, 5.0, 20.0])
def test_a_road_of_edges_has_its_whole_rise_at_any_phase(radius, speed):
    items = [
        flat("1 m"),
        {"kind": "plank", "height": "50 mm", "width": "100 mm", "repeat": 3, "gap": "400 mm"},
        {"kind": "pothole", "depth": "90 mm", "length": "600 mm", "ramp": "50 mm"},
        {"kind": "step", "height": "70 mm"},
        {"kind": "flat_topped_hump", "height": "75 mm", "plateau": "1 m", "ramp": "900 mm"},
        flat("1 m"),
    ]
    profile = contact_profile(course(*items), radius, 0.0)
    steps = int(8.0 / speed / STEP)
    # per change between means and derivatives less than road acceleration x step² / 240, a tenth of what is made up for; at most
    # 40 changes and, on the arcs of the disc, (1 + slope²)^1.5 / R = 6.1 1/m
    bound = 1e-12 + 40 * 6.1 * speed**2 * STEP**2 / 240 * (radius > 0.0)
    for phase in PHASES[::6]:
        rise = summed(profile, speed, phase * speed * STEP, steps)
        assert rise == pytest.approx(0.07, abs=bound)


def test_point_derivatives_alone_would_lose_the_impulse():
    # the test above can fail: the same sum with derivatives misses twenty times as much
    road = course(flat("1 m"), {"kind": "plank", "height": "80 mm", "width": "1 m"}, flat("1 m"))
    profile = contact_profile(road, 0.3, 0.0)
    speed, steps = 20.0, 73
    time = np.arange(steps + 1) * STEP
    errors = []
    for phase in PHASES:
        offset = phase * speed * STEP
        rate = profile.rate(speed * time - offset, speed)
        rise = profile.height(np.array([speed * time[-1] - offset]))[0]
        points = abs(np.sum(rate * widths(steps)) - rise)
        errors.append((points, abs(summed(profile, speed, offset, steps) - rise)))
    by_points, by_windows = np.max(errors, axis=0)
    assert by_windows < 1e-4
    assert by_points > 20 * by_windows


@pytest.mark.parametrize("speed", [0.5, 4.0, 11.0])
def test_rate_of_a_smooth_sinusoid_is_its_derivative(speed):
    depth, wave = 0.04, 2 * np.pi / 0.8
    road = course({"kind": "washboard", "pitch": "800 mm", "depth": "40 mm", "count": 200})
    steps = int(100.0 / speed / STEP)
    height, rate = sample(contact_profile(road, 0.0, 0.0), speed, -3.0, STEP, steps)
    x = speed * np.arange(steps + 1) * STEP + 3.0
    exact = speed * depth / 2 * wave * np.sin(wave * x)
    assert np.allclose(height, depth / 2 * (1 - np.cos(wave * x)), rtol=0.0, atol=1e-13)
    assert np.abs(rate - exact).max() < 1e-9 * np.abs(exact).max()


def test_rate_of_a_rolled_sinusoid_is_its_derivative():
    depth, wave, speed, radius = 0.04, 2 * np.pi / 0.8, 9.0, 0.3
    road = course({"kind": "washboard", "pitch": "800 mm", "depth": "40 mm", "count": 20})
    height, rate = sample(contact_profile(road, radius, 0.0), speed, -3.0, STEP, 150)
    for i in range(0, 151, 4):
        exact_height, exact_slope = offset_curve(
            lambda s: depth / 2 * (1 - np.cos(wave * s)),
            lambda s: depth / 2 * wave * np.sin(wave * s),
            speed * i * STEP + 3.0,
            radius,
        )
        assert height[i] == pytest.approx(exact_height, abs=1e-10)
        assert rate[i] == pytest.approx(speed * exact_slope, abs=1e-7 * speed)


def test_wheel_is_behind_the_start_by_the_offset():
    road = course({"kind": "step", "height": "100 mm", "ramp": "10 m"})
    profile = contact_profile(road, 0.0, 0.0)
    height, rate = sample(profile, 5.0, 3.0, 0.01, 200)
    x = 5.0 * np.arange(201) * 0.01 - 3.0
    assert np.allclose(height, 0.01 * np.clip(x, 0.0, 10.0), rtol=0.0, atol=1e-14)
    assert np.allclose(rate[x > 0.2], 0.05, rtol=0.0, atol=1e-10)
    assert not rate[x < -0.2].any()


@pytest.mark.parametrize("radius", [0.0, 0.4])
def test_standing_still_the_height_stays_and_nothing_moves(radius):
    road = course({"kind": "step", "height": "100 mm", "ramp": "2 m"}, flat("3 m"))
    height, rate = sample(contact_profile(road, radius, 0.0), 0.0, -3.0, STEP, 50)
    assert height.shape == rate.shape == (51,)
    assert np.allclose(height, 0.1, rtol=0.0, atol=1e-12)
    assert not rate.any()


# One axle on its tyre: 100 kg, 400 kN/m, 1500 N s/m, 10 Hz.
MASS, STIFFNESS, DAMPING = 100.0, 4.0e5, 1.5e3


def moved(height: np.ndarray, rate: np.ndarray, step: float, known: np.ndarray) -> np.ndarray:
    """Adams' formulas with the sampled road from the first three states on; returns place and speed at the end."""

    def flow(state: np.ndarray, i: int) -> np.ndarray:
        force = STIFFNESS * (height[i] - state[0]) + DAMPING * (rate[i] - state[1])
        return np.array([state[1], force / MASS])

    long_before, before, now = (flow(state, i) for i, state in enumerate(known))
    state = known[2]
    for i in range(3, height.size):
        predicted = state + step / 12 * (23 * now - 16 * before + 5 * long_before)
        state = state + step / 24 * (9 * flow(predicted, i) + 19 * now - 5 * before + long_before)
        long_before, before, now = before, now, flow(state, i)
    return state


@pytest.mark.parametrize("radius", [0.0, 0.05])
def test_smooth_road_keeps_fourth_order(radius):
    depth, wave, speed, end = 0.03, 2 * np.pi, 9.0, 0.2

    def exact(t: float) -> tuple[float, float]:
        height, slope = offset_curve(
            lambda s: depth / 2 * (1 - np.cos(wave * s)),
            lambda s: depth / 2 * wave * np.sin(wave * s),
            speed * t + 2.0,
            max(radius, 1e-12),
        )
        return height, speed * slope

    def flow(t: float, state: np.ndarray) -> list[float]:
        height, rate = exact(t)
        force = STIFFNESS * (height - state[0]) + DAMPING * (rate - state[1])
        return [state[1], force / MASS]

    # reference: SciPy's eighth-order Dormand and Prince on the closed form of the road
    steps = (2e-3, 1e-3, 5e-4)
    asked = sorted({n * step for n in range(3) for step in steps} | {end})
    reference = solve_ivp(flow, (0, end), [0.0, 0.0], method="DOP853", t_eval=asked, rtol=1e-12, atol=1e-14)
    road = course({"kind": "washboard", "pitch": "1 m", "depth": "30 mm", "count": 10})
    profile = contact_profile(road, radius, 0.0)
    errors = []
    for step in steps:
        sampled = sample(profile, speed, -2.0, step, round(end / step))
        known = reference.y[:, [asked.index(n * step) for n in range(3)]].T
        error = moved(*sampled, step, known) - reference.y[:, -1]
        errors.append(abs(error[0]) + abs(error[1]) / 60.0)
    orders = np.log2(np.array(errors[:-1]) / np.array(errors[1:]))
    assert np.all(np.abs(orders - 4.0) < 0.2), errors


def test_kinks_do_not_depend_on_the_phase_of_the_steps():
    # peak speed of the axle behind a ramp that starts and ends at once, at 20 phases
    road = course(flat("1 m"), {"kind": "step", "height": "50 mm", "ramp": "200 mm"}, flat("2 m"))
    profile, speed = contact_profile(road, 0.0, 0.0), 10.0
    ends, still = [], np.zeros((3, 2))
    for phase in np.linspace(0.0, 1.0, 20, endpoint=False):
        sampled = sample(profile, speed, phase * speed * STEP, STEP, 150)
        fine = sample(profile, speed, phase * speed * STEP, STEP / 16, 150 * 16)
        ends.append(np.abs(moved(*sampled, STEP, still) - moved(*fine, STEP / 16, still)) / [0.05, 3.0])
    assert np.max(ends) < 1e-3


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"speed_m_per_s": -1.0}, "speed of -1.0 m/s"),
        ({"speed_m_per_s": float("nan")}, "speed of nan"),
        ({"offset_m": float("inf")}, "offset of inf"),
        ({"step_s": 0.0}, "step of 0.0 s"),
        ({"steps": 0}, "0 steps"),
    ],
)
def test_refuses_impossible_runs(changes, words):
    values = {"speed_m_per_s": 1.0, "offset_m": 0.0, "step_s": 1e-3, "steps": 5, **changes}
    profile = contact_profile(Formula(1.0, np.zeros_like), 0.0, 0.0)
    with pytest.raises(ValueError, match=words):
        sample(profile, **values)
