from math import isnan, pi, sqrt

import numpy as np
import pytest
from scipy.integrate import solve_ivp

import sim
from sim.describe.runs import Push
from sim.integrate.simulation import simulate
from sim.linear.modes import modes
from sim.lower.lowering import lower
from sim.measure.decay import damping_ratio, fit
from sim.measure.free_motion import SIGNALS
from tests.measure.decays import coulomb, viscous
from tests.synthetic import still_run

TIME = np.arange(20001) * 1e-3
BOUNCE, FRONT = SIGNALS[0], SIGNALS[2]

# damping ratio, logarithmic decrement: any vibration text, e.g. Thomson or Rao; recomputed
PUBLISHED = [
    (0.05, 0.3146), (0.10, 0.6315), (0.15, 0.9533), (0.20, 1.2825), (0.25, 1.6223),
    (0.30, 1.9760), (0.35, 2.3476), (0.40, 2.7422),
]  # fmt: skip


@pytest.mark.parametrize(("zeta", "decrement"), PUBLISHED)
@pytest.mark.parametrize("offset_m", [0.0, 0.004])
def test_damping_ratio_of_a_viscous_decay(zeta, decrement, offset_m):
    run = still_run(TIME, bounce_m=offset_m + 0.02 * viscous(TIME, zeta))
    found = damping_ratio(run, BOUNCE)
    assert found == pytest.approx(zeta, rel=3e-4)
    assert 2 * pi * found / sqrt(1 - found**2) == pytest.approx(decrement, rel=5e-4)


@pytest.mark.parametrize("zeta", [0.03, 0.1])
def test_damping_ratio_of_a_decay_that_is_cut_off(zeta):
    run = still_run(TIME[:4000], bounce_m=0.02 * viscous(TIME[:4000], zeta))
    assert damping_ratio(run, BOUNCE) == pytest.approx(zeta, rel=0.02)


@pytest.mark.parametrize("zeta", [0.5, 0.7])
def test_too_few_peaks_give_no_damping_ratio(zeta):
    assert isnan(damping_ratio(still_run(TIME, bounce_m=0.02 * viscous(TIME, zeta)), BOUNCE))


def test_a_growing_swing_gives_no_damping_ratio():
    bounce = 0.001 * np.exp(0.3 * TIME[:6000]) * np.sin(2 * np.pi * TIME[:6000])
    assert isnan(damping_ratio(still_run(TIME[:6000], bounce_m=bounce), BOUNCE))


def test_dry_friction_alone_is_no_viscous_damping():
    """Turns fall by 2 F/k each half swing about a place that is not where it sticks (closed form: tests/measure/decays.py)."""
    found = fit(still_run(TIME, bounce_m=1e-3 * coulomb(TIME, 10.0, 0.7)), BOUNCE)
    assert found.ratio == pytest.approx(0.0, abs=1e-5)
    assert found.friction == pytest.approx(0.7e-3, rel=1e-4)  # peaks are samples, a millisecond apart
    assert found.peaks >= 6


def one_degree(ratios, friction, start=1.0, frequency_hz=1.2, seconds=12.0):
    """Excursion (n,) of x" + 2 zeta w x' + w² (x + friction sign x') = 0 let go from `start`, zeta by the sense of x': SciPy, turn by turn.

    It stops where friction holds it.
    """
    omega, time, x = 2.0 * np.pi * frequency_hz, 0.0, start
    samples = np.arange(0.0, seconds, 1e-3)
    found = np.full(samples.size, np.nan)
    while abs(x) > friction:
        sense = -np.sign(x)
        zeta = ratios[0] if sense > 0.0 else ratios[1]

        def rates(_, state, sense=sense, zeta=zeta):
            return [state[1], -(omega**2) * (state[0] + friction * sense) - 2.0 * zeta * omega * state[1]]

        def turned(t, state, sense=sense, began=time):
            return state[1] * sense if t > began + 1e-6 else 1.0

        turned.terminal, turned.direction = True, -1
        swing = solve_ivp(
            rates, (time, time + 2.0), [x, 0.0], "DOP853", rtol=1e-11, atol=1e-14, events=turned, dense_output=True
        )
        now = (samples >= time) & (samples < swing.t[-1])
        found[now] = swing.sol(samples[now])[0]
        time, x = swing.t[-1], swing.y[0, -1]
        if time > seconds:
            break
        if abs(x) < 1e-6:
            break
    return np.where(np.isnan(found), x, found)


@pytest.mark.parametrize("share", [0.0, 0.005, 0.015])
@pytest.mark.parametrize("ratios", [(0.1, 0.1), (0.18, 0.18), (0.08, 0.24)])
def test_friction_is_told_from_damping(ratios, share):
    """Damping ratio of the viscous part = that of the equation, whatever the friction; by the two sides' decrements if they differ."""
    x = one_degree(ratios, share)
    run = still_run(1e-3 * np.arange(x.size), bounce_m=0.03 * x)
    found = fit(run, BOUNCE)
    half = np.mean([pi * z / sqrt(1 - z**2) for z in ratios])
    assert found.ratio == pytest.approx(half / sqrt(pi**2 + half**2), rel=2e-3)
    assert found.friction == pytest.approx(0.03 * share, rel=2e-3, abs=2e-6)
    assert found.largest == pytest.approx(0.03, rel=share + 1e-6)  # from where it sticks, not from the middle
    assert found.peaks >= 4


def test_three_peaks_say_less_but_more_than_the_decrement_alone():
    """With three, the place about which it swings is taken where it comes to rest, which friction leaves open."""
    x = one_degree((0.18, 0.18), 0.03)
    found = fit(still_run(1e-3 * np.arange(x.size), bounce_m=0.03 * x), BOUNCE)
    assert found.peaks == 3
    turns = [1.0]
    for _ in range(3):  # the equation's own half swings, by hand
        turns.append(np.exp(-0.18 * pi / sqrt(1 - 0.18**2)) * (turns[-1] - 0.03) - 0.03)
    delta = np.log(turns[1] / turns[3])
    decrement = delta / sqrt(4 * pi**2 + delta**2)
    assert abs(found.ratio - 0.18) < 0.25 * abs(decrement - 0.18)


def test_too_few_peaks_are_counted():
    found = fit(still_run(TIME, bounce_m=0.02 * viscous(TIME, 0.6)), BOUNCE)
    assert found.peaks < 3
    assert isnan(found.ratio)
    assert isnan(found.friction)


def test_peaks_of_another_motion_do_not_count():
    """From the third peak on it swings twice as fast, as on stuck leaves: only those before it count."""
    slow = viscous(TIME, 0.08)
    turn = round(3 / 1.2 / 2 * 1000)
    fast = slow[turn] * viscous(TIME[: TIME.size - turn], 0.02, 2.6)
    both = np.r_[slow[:turn], fast]
    found = fit(still_run(TIME, bounce_m=0.02 * both), BOUNCE)
    assert found.peaks == 3
    assert found.ratio == pytest.approx(0.08, rel=5e-3)


PUSH = Push.model_validate(
    {"kind": "push", "over": "front", "outside_wheels": "450 mm", "force": "2.4 kN", "watch": "8 s"}
)
STRAIGHT = {"kind": "straight", "compression": "1 kN s/m", "rebound": "1 kN s/m"}
NO_FRICTION = {
    "rear.springs.pack.friction": "0 N", "front.dampers.main.seal_friction": "0 N", "rear.dampers.main.seal_friction": "0 N",
}  # fmt: skip


@pytest.fixture(scope="module")
def truck():
    return sim.load("scenarios/vehicles/hut_supply_truck.yaml").changed(
        {"front.dampers.main.valving": STRAIGHT, "rear.dampers.main.valving": STRAIGHT}
    )


def engine(mass_kg):
    return {"loads.engine": {"mass": f"{mass_kg} kg", "place": {"behind_front_axle": "0 m", "above_ground": "0.9 m"}}}


def linear_ratio(truck):
    """Range of damping ratios of the body's motions, by eigenvalues about rest, leaves slipping."""
    found = [mode.damping_ratio for mode in modes(lower(truck)) if mode.frequency_hz < 3.0]
    assert len(found) == 2
    return min(found), max(found)


def test_without_friction_it_lies_among_the_linear_views(truck):
    free = truck.changed(NO_FRICTION)
    low, high = linear_ratio(free)
    found = fit(simulate(free, PUSH), FRONT)
    assert 0.97 * low < found.ratio < 1.03 * high
    assert found.friction < 0.003 * found.largest


def test_a_heavier_engine_has_less_damping_in_both_views(truck):
    """As mass grows on one spring and damper, c / (2 sqrt(k m)) falls; leaf friction must not hide it."""
    trucks = [truck.changed(engine(mass)) for mass in (1, 80, 160)]
    push_test = [fit(simulate(one, PUSH), FRONT).ratio for one in trucks]
    linear = [linear_ratio(one)[0] for one in trucks]
    assert push_test == sorted(push_test, reverse=True)
    assert linear == sorted(linear, reverse=True)
    assert push_test[0] > 1.02 * push_test[-1]


def test_friction_is_found_where_there_is_some(truck):
    without, found = (fit(simulate(one, PUSH), FRONT) for one in (truck.changed(NO_FRICTION), truck))
    assert found.friction > 0.2e-3 > 3.0 * without.friction
    assert found.ratio == pytest.approx(without.ratio, rel=0.15)


def test_still_truck_has_no_damping_ratio():
    assert isnan(damping_ratio(still_run(TIME), BOUNCE))
