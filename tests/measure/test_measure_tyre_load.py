from math import isnan, sqrt

import numpy as np
import pytest

from sim.measure import tyre_load
from tests.synthetic import still_run, with_axle

TIME = np.arange(10001) * 1e-3


def loaded(load, **changes):
    return with_axle(still_run(TIME), "front", tyre_load_n=load, **changes)


@pytest.mark.parametrize("duty", [0.0, 0.1, 0.37, 1.0])
def test_time_off_the_ground_of_a_square_wave(duty):
    load = np.where(duty > (TIME + 0.5e-3) % 1.0, 0.0, 9000.0)
    # ten lift-offs and touch-downs, each within a sample of ten thousand
    assert tyre_load.off_ground(loaded(load), "front") == pytest.approx(duty, abs=10e-4)


def test_lightly_loaded_is_not_off_the_ground():
    assert tyre_load.off_ground(loaded(np.full_like(TIME, 0.01)), "front") == 0.0


def test_lowest_and_highest():
    run = loaded(8000 + 3000 * np.sin(2 * np.pi * TIME), tyre_load_rest_n=8000.0)
    assert tyre_load.lowest(run, "front") == pytest.approx(5000.0)
    assert tyre_load.highest(run, "front") == pytest.approx(11000.0)
    assert tyre_load.lowest_share(run, "front") == pytest.approx(0.625)


def test_variation_of_a_sine():
    run = loaded(8000 + 3000 * np.sin(2 * np.pi * TIME))
    assert tyre_load.variation(run, "front") == pytest.approx(3000 / sqrt(2) / 8000, rel=1e-12)


def test_variation_does_not_know_the_unit():
    load = 8000 + 3000 * np.sin(2 * np.pi * TIME)
    assert tyre_load.variation(loaded(load), "front") == pytest.approx(
        tyre_load.variation(loaded(load / 4.448), "front"), rel=1e-12
    )


def test_axles_are_kept_apart():
    run = loaded(np.zeros_like(TIME))
    assert tyre_load.off_ground(run, "front") == 1.0
    assert tyre_load.off_ground(run, "rear") == 0.0
    assert tyre_load.variation(run, "rear") == pytest.approx(0.0, abs=1e-12)


def test_no_load_at_all_has_no_variation():
    run = loaded(np.zeros_like(TIME), tyre_load_rest_n=0.0)
    assert isnan(tyre_load.variation(run, "front"))
    assert isnan(tyre_load.lowest_share(run, "front"))
