from math import isnan

import numpy as np
import pytest

from sim.integrate.traces import Energy
from sim.measure import energy
from tests.synthetic import still_run

TIME = np.arange(11) * 1e-3


def test_bookkeeping():
    run = still_run(TIME, energy=Energy(1000.0, -40.0, {"dampers": 780.0, "tyres": 260.0}, 0.0))
    assert energy.dissipated_by_dampers(run) == 780.0
    assert energy.share_of_dampers(run) == pytest.approx(0.75)
    assert energy.residual(run) == 0.0


@pytest.mark.parametrize(
    ("balance", "share"),
    [
        (Energy(1000.0, 0.0, {"dampers": 999.0}, 1.0), 1e-3),
        (Energy(1000.0, 0.0, {"dampers": 1001.0}, -1.0), 1 / 1001),  # either way it is an error
        (Energy(0.0, -500.0, {"dampers": 400.0, "tyres": 99.0}, 1.0), 2e-3),  # a drop
        (Energy(0.0, 0.0, {"dampers": 0.0}, 0.0), 0.0),
    ],
)
def test_residual_is_a_share_of_what_went_through(balance, share):
    assert energy.residual(still_run(TIME, energy=balance)) == pytest.approx(share)


def test_residual_share_does_not_know_the_size_of_the_run():
    small = Energy(10.0, 1.0, {"dampers": 8.9}, 0.1)
    large = Energy(1e5, 1e4, {"dampers": 8.9e4}, 1e3)
    assert small.residual_share == pytest.approx(large.residual_share)


def test_nothing_lost_has_no_share():
    still = still_run(TIME)
    assert isnan(energy.share_of_dampers(still))
    assert energy.dissipated_by_dampers(still) == 0.0
    assert isnan(energy.dissipated_by_dampers(still_run(TIME, energy=Energy(0.0, 0.0, {}, 0.0))))
