from math import isnan, radians, sqrt

import numpy as np
import pytest

from sim.measure import pitch, ride
from tests.synthetic import still_run

TIME = np.arange(10001) * 1e-3


def shaken(acceleration):
    return still_run(TIME, acceleration_m_per_s2={"centre of gravity": acceleration})


def test_rms_of_a_sine_is_its_amplitude_over_root_two():
    run = shaken(3.0 * np.sin(2 * np.pi * 2.0 * TIME))  # whole periods
    assert ride.rms(run, "centre of gravity") == pytest.approx(3.0 / sqrt(2), rel=1e-12)
    assert ride.peak(run, "centre of gravity") == pytest.approx(3.0, rel=1e-12)


def test_rms_of_two_sines_adds_squares():
    # Parseval: whole periods of both in the record
    run = shaken(3.0 * np.sin(2 * np.pi * 2.0 * TIME) + 4.0 * np.cos(2 * np.pi * 7.0 * TIME))
    assert ride.rms(run, "centre of gravity") == pytest.approx(5.0 / sqrt(2), rel=1e-12)


def test_peak_is_the_larger_of_both_ways():
    run = shaken(np.where(TIME < 5, 2.0, -7.0))
    assert ride.peak(run, "centre of gravity") == 7.0


def test_peak_between_samples_is_missed_by_no_more_than_stated():
    # 12 Hz with its crests midway between samples: cos(pi f dt) = 1 - 0.07 %
    run = shaken(np.cos(2 * np.pi * 12.0 * (TIME - 0.5e-3)))
    assert 1 - 7.2e-4 < ride.peak(run, "centre of gravity") <= 1.0


def test_measures_are_of_the_points_that_the_run_has():
    names = [measure.name for measure in ride.measures(still_run(TIME))]
    assert names == [
        f"acceleration_{kind}_{point}" for point in ("centre of gravity", "driver", "bed") for kind in ("peak", "rms")
    ]


def test_an_unknown_point_has_no_value():
    assert isnan(ride.peak(still_run(TIME), "roof"))
    assert isnan(ride.rms(still_run(TIME), "roof"))


def test_pitch_each_way():
    nose_up = np.radians(np.where(TIME < 5, 2.5 * np.sin(TIME), -1.5))
    run = still_run(TIME, pitch_nose_up_rad=nose_up)
    assert pitch.nose_up(run) == pytest.approx(radians(2.5), rel=1e-6)
    assert pitch.nose_down(run) == pytest.approx(radians(2.5), rel=1e-6)  # sin(3 pi/2) in 5 s


def test_pitch_that_goes_one_way_only():
    run = still_run(TIME, pitch_nose_up_rad=np.full_like(TIME, 0.01))
    assert pitch.nose_up(run) == pytest.approx(0.01)
    assert pitch.nose_down(run) == 0.0
