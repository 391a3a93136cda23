from math import floor, inf, isnan

import numpy as np
import pytest
from scipy.optimize import brentq

from sim.measure.free_motion import SIGNALS
from sim.measure.settling import cycles, overshoot, settling_time
from tests.measure.decays import coulomb, viscous
from tests.synthetic import still_run

TIME = np.arange(20001) * 1e-3
BOUNCE, PITCH = SIGNALS[:2]

# damping ratio, overshoot exp(-delta/2), cycles of the envelope to 5 %; delta is the logarithmic
# decrement 2 pi zeta / sqrt(1 - zeta^2). Any vibration text, e.g. Thomson or Rao; recomputed.
PUBLISHED = [
    (0.05, 0.8545, 9.524),
    (0.10, 0.7292, 4.744),
    (0.15, 0.6209, 3.143),
    (0.20, 0.5266, 2.336),
    (0.25, 0.4443, 1.847),
    (0.30, 0.3723, 1.516),
    (0.35, 0.3092, 1.276),
    (0.40, 0.2538, 1.092),
    (0.50, 0.1630, 0.826),
    (0.60, 0.0948, 0.636),
    (0.70, 0.0460, 0.486),
]


def pushed(zeta, sign=-1.0):
    """Held down for two seconds, then let go."""
    x = np.where(TIME < 2.0, 1.0, viscous(np.maximum(TIME - 2.0, 0.0), zeta))
    return still_run(TIME, bounce_m=sign * 0.02 * x, released_s=2.0)


@pytest.mark.parametrize(("zeta", "expected"), [row[:2] for row in PUBLISHED])
def test_overshoot_of_a_viscous_decay(zeta, expected):
    assert overshoot(pushed(zeta), BOUNCE) == pytest.approx(expected, abs=6e-5)  # four digits


@pytest.mark.parametrize(("zeta", "to_five"), [(row[0], row[2]) for row in PUBLISHED])
def test_cycles_of_a_viscous_decay(zeta, to_five):
    # at turn k the motion touches the envelope, so turns up to 2 N lie outside the band
    assert cycles(pushed(zeta), BOUNCE) == floor(2 * to_five) / 2


@pytest.mark.parametrize(("zeta", "to_five"), [(row[0], row[2]) for row in PUBLISHED])
@pytest.mark.parametrize("sign", [-1.0, 1.0])
def test_settling_time_of_a_viscous_decay(zeta, to_five, sign):
    turn = floor(2 * to_five) / 2 / 1.2  # the last one outside the band [s]
    expected = brentq(lambda t: abs(viscous(t, zeta)) - 0.05, turn, turn + 0.25 / 1.2 + 0.1)
    assert settling_time(pushed(zeta, sign), BOUNCE) == pytest.approx(expected, abs=2e-5)


def test_settling_is_about_the_place_where_friction_holds_it():
    start, give = 10.0, 0.7  # mm; sticks at -0.2, so the turns lie at ±(10 - 1.4 k) + 0.2
    run = still_run(TIME, bounce_m=1e-3 * coulomb(TIME, start, give))
    turns = np.array([(-1) ** k * (start - 2 * k * give) + 0.2 for k in range(8)])
    outside = np.flatnonzero(np.abs(turns) > 0.05 * turns[0])
    assert overshoot(run, BOUNCE) == pytest.approx(-turns[1] / turns[0], rel=1e-5)
    assert cycles(run, BOUNCE) == 0.5 * outside[-1]


@pytest.mark.parametrize("samples", [1800, 1880, 2000, 2083])  # crest and middle of a swing
def test_what_still_swings_at_the_end_has_not_settled(samples):
    run = still_run(TIME[:samples], bounce_m=0.02 * viscous(TIME[:samples], 0.02))
    assert settling_time(run, BOUNCE) == inf
    assert cycles(run, BOUNCE) == inf
    assert overshoot(run, BOUNCE) == pytest.approx(np.exp(-np.pi * 0.02), rel=5e-3)


def test_a_creep_does_not_overshoot():
    run = still_run(TIME, bounce_m=0.02 * np.exp(-TIME / 0.5))
    assert overshoot(run, BOUNCE) == pytest.approx(0.0, abs=1e-12)
    assert cycles(run, BOUNCE) == 0.0
    assert settling_time(run, BOUNCE) == pytest.approx(0.5 * np.log(20), abs=1e-5)


def test_what_does_not_move_is_not_judged():
    run = still_run(TIME, bounce_m=0.02 * viscous(TIME, 0.2))
    assert all(isnan(of(run, PITCH)) for of in (overshoot, cycles, settling_time))


def test_sooner_damped_is_better_in_time():
    times = [settling_time(pushed(zeta), BOUNCE) for zeta in (0.05, 0.15, 0.3)]
    assert times == sorted(times, reverse=True)
