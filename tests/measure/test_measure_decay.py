from math import isnan, log, pi, sqrt

import numpy as np
import pytest

from sim.measure.decay import damping_ratio
from sim.measure.free_motion import SIGNALS
from tests.measure.decays import coulomb, viscous
from tests.synthetic import still_run

TIME = np.arange(20001) * 1e-3
HEAVE = SIGNALS[0]

# damping ratio, logarithmic decrement: any vibration text, e.g. Thomson or Rao; recomputed
PUBLISHED = [
    (0.05, 0.3146), (0.10, 0.6315), (0.15, 0.9533), (0.20, 1.2825), (0.25, 1.6223),
    (0.30, 1.9760), (0.35, 2.3476), (0.40, 2.7422),
]  # fmt: skip


@pytest.mark.parametrize(("zeta", "decrement"), PUBLISHED)
@pytest.mark.parametrize("offset_m", [0.0, 0.004])
def test_damping_ratio_of_a_viscous_decay(zeta, decrement, offset_m):
    run = still_run(TIME, heave_m=offset_m + 0.02 * viscous(TIME, zeta))
    found = damping_ratio(run, HEAVE)
    assert found == pytest.approx(zeta, rel=3e-4)
    assert 2 * pi * found / sqrt(1 - found**2) == pytest.approx(decrement, rel=5e-4)


@pytest.mark.parametrize("zeta", [0.03, 0.1])
def test_damping_ratio_of_a_decay_that_is_cut_off(zeta):
    run = still_run(TIME[:4000], heave_m=0.02 * viscous(TIME[:4000], zeta))
    assert damping_ratio(run, HEAVE) == pytest.approx(zeta, rel=0.02)


@pytest.mark.parametrize("zeta", [0.5, 0.7])
def test_too_few_peaks_give_no_damping_ratio(zeta):
    assert isnan(damping_ratio(still_run(TIME, heave_m=0.02 * viscous(TIME, zeta)), HEAVE))


def test_a_growing_swing_gives_no_damping_ratio():
    heave = 0.001 * np.exp(0.3 * TIME[:6000]) * np.sin(2 * np.pi * TIME[:6000])
    assert isnan(damping_ratio(still_run(TIME[:6000], heave_m=heave), HEAVE))


def test_dry_friction_decays_by_a_line_and_looks_better_late():
    # turns in mm about the place where it sticks; ratios, not differences, grow towards the end
    start, give = 10.0, 0.7
    run = still_run(TIME, heave_m=1e-3 * coulomb(TIME, start, give))
    turns = [(-1) ** k * (start - 2 * k * give) + 0.2 for k in range(1, 7)]
    falls = [log(one / two) for one, two in zip(turns, turns[2:], strict=False)]
    assert falls == sorted(falls)
    delta = np.mean(falls)
    expected = delta / sqrt(4 * pi**2 + delta**2)
    assert damping_ratio(run, HEAVE) == pytest.approx(expected, rel=1e-4)


def test_still_truck_has_no_damping_ratio():
    assert isnan(damping_ratio(still_run(TIME), HEAVE))
