"""What a preview of four set-ups takes over 10 s of the demo's course, beside full runs of the same; not part of the tests.

python -m pytest tests/benchmarks/test_preview_speed.py --benchmark-only -n 0 -s

In one process, by the clock and by processor time, the least and the middle of some rounds. Meant: under 25 ms by the clock on
two idle cores where a slider moves a number of a damper.
"""

import time
from itertools import count
from statistics import median

import sim
from sim.describe.replaced import with_values
from sim.integrate.preview import Preview
from sim.integrate.simulation import simulate

ROUNDS = 25


def test_previews_beside_full_runs(benchmark):
    scenario = sim.load("scenarios/two_or_four.yaml")
    run = scenario.run.model_copy(update={"settle": scenario.run.settle - 2.0435})  # 10.0 s in all
    setups = {name: truck for name, truck in scenario.setups.items() if truck.front.dampers}
    setups["two front again"] = setups["two front"]
    seen = Preview(run)
    number = count()

    def moved(path, value):
        """Run all set-ups with a number that they have not had."""
        more = float(next(number))
        return seen.all({name: with_values(truck, {path: value + more}) for name, truck in setups.items()})

    def drawn():
        for one in moved("front.dampers.main.valving.compression.low", 2000.0).values():
            _ = one.front.wheel_height_m, one.rear.wheel_height_m, one.pitch_nose_up_rad
            _ = one.acceleration_m_per_s2["driver"], one.acceleration_m_per_s2["centre of gravity"]

    ways = {
        "full runs": lambda: [simulate(truck, run, name) for name, truck in setups.items()],
        "previews, a damper's slope moved": lambda: moved("front.dampers.main.valving.compression.low", 2000.0),
        "the same, five channels of each worked out": drawn,
        "previews, the body's mass moved": lambda: moved("body.mass", 1500.0),
    }
    print(f"\n{len(setups)} set-ups, {next(iter(seen.all(setups).values())).time_s[-1]:.2f} s")
    for name, way in ways.items():
        way()  # compiled, and roads sampled
        clock, used = [], []
        for _ in range(ROUNDS if name != "full runs" else 5):
            begun, worked = time.perf_counter(), time.process_time()
            way()
            clock.append(1e3 * (time.perf_counter() - begun))
            used.append(1e3 * (time.process_time() - worked))
        print(
            f"{name}: {min(clock):.1f} ms by the clock, {median(clock):.1f} in the middle; {min(used):.1f} ms of the process"
        )
    benchmark.pedantic(ways["previews, a damper's slope moved"], rounds=1)
