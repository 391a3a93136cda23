"""How long an hour of track takes, and how much of that is the integrator itself."""

import time

import pytest

import sim
from sim.describe.runs import Course
from sim.study.endurance.drive import endure
from tests.study.test_endurance import RIPPLES, TRUCK, drive, track

SECONDS = 120.0


@pytest.mark.benchmark(group="endurance")
def test_two_minutes_of_track(benchmark, capsys):
    run = track(drive(SECONDS))
    endure(TRUCK, run)
    benchmark.pedantic(lambda: endure(TRUCK, run), rounds=3)
    # The reference is the same truck on the same ripples as a single run, which integrates three times as many steps.
    short = Course.model_validate({"kind": "course", "course": RIPPLES, "speed": "36 km/h"})
    sim.simulate(TRUCK, short)
    begin = time.perf_counter()
    single = sim.simulate(TRUCK, short)
    spent = (time.perf_counter() - begin) / (3.0 * float(single.time_s[-1]))
    with capsys.disabled():
        own = benchmark.stats.stats.min / SECONDS
        print(
            f"\nan hour of track: {3600 * own:.1f} s; {own / spent:.1f} times a single run's time for each of its steps"
        )
