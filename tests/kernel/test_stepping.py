"""The formulas of a step: exact for polynomials, of the right weights, stable where the guard lets them be used."""

from itertools import product

import numpy as np
import pytest

from sim.kernel import layout as at
from sim.kernel import stepping
from sim.kernel.stepping import PAST_STEPS, at_stage
from sim.lower.guard import LIMIT

V, STEP = at.COORDINATES, 0.25
predict, correct, remember = (getattr(f, "py_func", f) for f in (stepping.predict, stepping.correct, stepping.remember))


class Steps:
    """One coordinate x'' = a(t, x, x') in the kernel's own rows."""

    def __init__(self, place, speed, acceleration, carrying=False):
        self.m = np.zeros(at.MEMORY_ROWS)
        self.m[[at.START, at.START + V]] = self.m[[at.POINT, at.POINT + V]] = place, speed
        self.acceleration, self.carrying = acceleration, carrying

    def evaluate(self, time):
        self.m[at.RATE + V] = self.acceleration(time, self.m[at.POINT], self.m[at.POINT + V])

    def knows(self, speeds, accelerations):
        """Give it the rates of the two steps before: latest first."""
        for k in range(PAST_STEPS):
            self.m[[at.PAST + k * at.STATES, at.PAST + k * at.STATES + V]] = speeds[k], accelerations[k]

    def go(self, time, step=STEP):
        self.evaluate(time)
        predict(self.m, 1, at.MOTION, step)
        predicted = self.m[[at.POINT, at.POINT + V]]
        self.evaluate(time + step)
        correct(self.m, 1, at.MOTION, step, self.carrying)
        return predicted, self.m[[at.POINT, at.POINT + V]].copy()


@pytest.mark.parametrize("carrying", [False, True])
@pytest.mark.parametrize("power", [0, 1, 2, 3])
def test_exact_for_polynomials(power, carrying):
    """Whose rates are of second degree for the predicted step, of third for the corrected one: orders of three and four."""

    def acceleration(time, *_):
        return (power + 1.0) * time**power

    steps = Steps(7.0, STEP ** (power + 1), acceleration, carrying)
    times = STEP * (1.0 - np.arange(3))
    steps.knows(times[1:] ** (power + 1), (power + 1.0) * times[1:] ** power)
    predicted, corrected = steps.go(STEP)
    exact = (2.0 * STEP) ** (power + 1)
    assert corrected[1] == pytest.approx(exact, rel=1e-14)
    assert (abs(predicted[1] - exact) < 1e-14) == (power <= 2)
    if power <= 1:  # places are a degree higher than speeds, and take the predicted ones
        assert corrected[0] - 7.0 == pytest.approx(
            ((2.0 * STEP) ** (power + 2) - STEP ** (power + 2)) / (power + 2), rel=1e-13
        )


def growth(frequency, damping_ratio):
    """Return the largest |eigenvalue| of a step of x'' = -w² x - 2 z w x', with the rates of two steps before as its states."""

    def acceleration(_, place, speed):
        return -(frequency**2) * place - 2.0 * damping_ratio * frequency * speed

    columns = []
    for unit in np.eye(6):
        steps = Steps(unit[0], unit[1], acceleration)
        steps.knows(unit[2:4], unit[4:6])
        steps.go(0.0, 1.0)
        past = at.PAST + at.STATES * np.arange(PAST_STEPS)
        columns.append(np.r_[steps.m[[at.POINT, at.POINT + V]], steps.m[past], steps.m[past + V]])
    return float(np.max(np.abs(np.linalg.eigvals(np.array(columns).T))))


def test_what_the_guard_allows_is_stable():
    """Damped motions die out at every |eigenvalue| x step up to 1.18; past 1.3 one does not."""
    for ratio, rate in product((0.01, 0.05, 0.2, 0.5, 0.7, 0.9, 1.0, 1.5, 3.0, 10.0), np.arange(0.02, 1.18, 0.02)):
        slower = 1.0 if ratio <= 1.0 else 1.0 / (ratio + np.sqrt(ratio**2 - 1.0))
        assert growth(rate * slower, ratio) < 1.0, (ratio, rate)
    assert LIMIT <= 1.18
    assert growth(1.3, 0.1) > 1.0


def test_undamped_motion_neither_grows_nor_dies_noticeably():
    """Wheel hop of 12 Hz without damping: less than 0.2 % in a minute of steps of a millisecond, 0.006 % of half ones."""
    w = 2.0 * np.pi * 12.0 * 1e-3
    assert abs(np.log(growth(w, 0.0))) * 60_000 < 2e-3
    assert abs(np.log(growth(w / 2.0, 0.0))) * 120_000 < 6e-5


def test_inputs_at_either_end_are_themselves():
    assert (at_stage(0.1, 0.7, 0.0), at_stage(0.1, 0.7, 1.0)) == (0.1, 0.7)
    assert at_stage(0.1, 0.7, 0.5) == pytest.approx(0.4)


def test_rates_are_remembered_latest_first():
    m = np.zeros(at.MEMORY_ROWS)
    for size in (1.0, 2.0, 3.0):
        m[at.POINT + V] = size
        m[at.RATE + V] = 10.0 * size
        remember(m, 1, at.MOTION)
    assert m[[at.PAST, at.PAST + V, at.PAST + at.STATES, at.PAST + at.STATES + V]].tolist() == [3.0, 30.0, 2.0, 20.0]
