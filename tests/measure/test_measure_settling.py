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
    """The size of the swings is 5 % after as many cycles as published; after a peak the motion may be outside for a moment longer."""
    turn = floor(2 * to_five) / 2 / 1.2  # the last one outside the band [s]
    left = brentq(lambda t: abs(viscous(t, zeta)) - 0.05, turn, turn + 0.25 / 1.2 + 0.1)
    expected = max(to_five / 1.2, left)
    assert settling_time(pushed(zeta, sign), BOUNCE) == pytest.approx(
        expected, abs=1e-3
    )  # printed digits; a sample a millisecond


def quarter_car(zeta):
    """Body of a quarter car let go with both springs pressed as they stand under a load: (n,), unit at the start, and its slow pair of eigenvalues.

    The equations of any vehicle dynamics text (e.g. J. Y. Wong, Theory of Ground Vehicles, "two degrees of freedom model"), from memory;
    a sum of exponentials by eigenvalues and eigenvectors.
    """
    body, axle, spring, tyre = 400.0, 50.0, 20e3, 200e3
    damper = 2.0 * zeta * np.sqrt(spring * body)
    matrix = np.array([
        [0.0, 0.0, 1.0, 0.0], [0.0, 0.0, 0.0, 1.0],
        [-spring / body, spring / body, -damper / body, damper / body],
        [spring / axle, -(spring + tyre) / axle, damper / axle, -damper / axle],
    ])  # fmt: skip
    values, vectors = np.linalg.eig(matrix)
    start = np.array([1.0, spring / (spring + tyre), 0.0, 0.0])
    amounts = np.linalg.solve(vectors, start)
    body_motion = (vectors[0] * amounts) @ np.exp(np.outer(values, TIME))
    slow = int(np.argmin(np.where(values.imag > 0.0, np.abs(values), np.inf)))
    return body_motion.real, values[slow], 2.0 * abs(vectors[0, slow] * amounts[slow])


@pytest.mark.parametrize("zeta", [0.05, 0.1, 0.2, 0.3])
def test_settling_time_of_a_quarter_car(zeta):
    """Once the hop has died, peaks lie on size x sqrt(1 - zeta²) x exp(-decay t), which is 5 % at ln(20 x size x ...) / decay."""
    x, slow, size = quarter_car(zeta)
    decay = -slow.real
    on_peaks = np.log(20.0 * size * abs(slow.imag) / abs(slow)) / decay
    last = float(TIME[np.flatnonzero(np.abs(x) > 0.05)[-1]])
    found = settling_time(still_run(TIME, bounce_m=0.02 * x), BOUNCE)
    assert found == pytest.approx(max(on_peaks, last), rel=3e-3)
    # never off from three time constants by more than the start's share and the moment after a peak
    assert found == pytest.approx(np.log(20.0) / decay, rel=0.04)


def test_settling_time_does_not_jump():
    """A damping ratio more by a thousandth changes it by a few per cent at most, where the last moment outside 5 % jumps by half a swing."""
    ratios = np.arange(0.05, 0.45, 0.001)
    found = np.array([settling_time(still_run(TIME, bounce_m=0.02 * viscous(TIME, zeta)), BOUNCE) for zeta in ratios])
    assert np.max(np.abs(np.diff(np.log(found)))) < 0.03
    outside = np.array([TIME[np.flatnonzero(np.abs(viscous(TIME, zeta)) > 0.05)[-1]] for zeta in ratios])
    assert np.max(np.abs(np.diff(np.log(outside)))) > 0.2


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
    # A peak where the record ends may go on growing: it is none.
    x = np.where(TIME < 3.0, np.exp(-TIME / 0.5), -0.02 * (TIME - 3.0))[:4000]
    assert settling_time(still_run(TIME[:4000], bounce_m=0.02 * x), BOUNCE) < 2.0


def test_what_does_not_move_is_not_judged():
    run = still_run(TIME, bounce_m=0.02 * viscous(TIME, 0.2))
    assert all(isnan(of(run, PITCH)) for of in (overshoot, cycles, settling_time))


def test_sooner_damped_is_better_in_time():
    times = [settling_time(pushed(zeta), BOUNCE) for zeta in (0.05, 0.15, 0.3)]
    assert times == sorted(times, reverse=True)
