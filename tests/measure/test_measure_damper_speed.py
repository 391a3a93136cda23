from math import isnan

import numpy as np
import pytest

from sim.measure import damper_speed
from tests.synthetic import still_run, with_axle, with_damper

TIME = np.arange(10001) * 1e-3
SLOPE, SPEED = 2500.0, 0.4


def stroked(gas_n=0.0):
    speed = SPEED * np.sin(2 * np.pi * 2 * TIME)
    return with_damper(still_run(TIME), "front", "main", speed_m_per_s=speed, force_n=SLOPE * speed + gas_n)


def test_peaks_each_way_of_lopsided_strokes():
    speed = np.where(TIME < 5, 0.3, -0.8)
    run = with_damper(
        still_run(TIME), "front", "main",
        speed_m_per_s=speed, force_n=np.where(speed > 0, 1000.0, 3000.0) * speed,
    )  # fmt: skip
    given = (run, "front", "main")
    assert damper_speed.compression_speed(*given) == pytest.approx(0.3)
    assert damper_speed.rebound_speed(*given) == pytest.approx(0.8)
    assert damper_speed.compression_force(*given) == pytest.approx(300.0)
    assert damper_speed.rebound_force(*given) == pytest.approx(2400.0)


def test_power_of_a_viscous_damper_in_a_sine():
    # c V^2 / 2, any vibration text
    expected = SLOPE * SPEED**2 / 2
    assert damper_speed.power(stroked(), "front", "main") == pytest.approx(expected, rel=1e-12)


def test_gas_makes_no_heat():
    assert damper_speed.power(stroked(gas_n=400.0), "front", "main") == pytest.approx(
        damper_speed.power(stroked(), "front", "main"), rel=1e-12
    )


def test_a_damper_that_only_extends_has_no_compression():
    run = with_damper(
        still_run(TIME), "front", "main",
        speed_m_per_s=np.full_like(TIME, -0.1), force_n=np.full_like(TIME, -50.0),
    )  # fmt: skip
    assert damper_speed.compression_speed(run, "front", "main") == 0.0
    assert damper_speed.compression_force(run, "front", "main") == 0.0


def test_a_set_that_is_not_there_has_no_value():
    run = with_axle(still_run(TIME), "rear", dampers={})
    with_set = {m.name: m for m in damper_speed.measures(still_run(TIME))}
    assert len(with_set) == 12
    assert len(damper_speed.measures(run)) == 6
    assert all(isnan(measure.of(run)) for name, measure in with_set.items() if name.startswith("rear"))
