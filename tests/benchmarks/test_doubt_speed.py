"""What doubt costs: four set-ups with twelve numbers in doubt over the demo's course, beside the comparison without; not part of the tests.

python -m pytest tests/benchmarks/test_doubt_speed.py --benchmark-only -n 0 -s

Both in one process, by the clock and by processor time, the least of a few rounds. Meant: at most 3 s more on two idle cores.
"""

import time

from sim.show.report.doubt import banded
from sim.study.compare import compare
from sim.study.doubt.study import doubted, draws_for
from sim.study.doubt.unknowns import unknowns
from tests.study.doubt.cases import FOUR, SCENARIOS, TWELVE, scenario

ROUNDS = 3

# The twelve and no more: of the cases for the answers one set-up has a coil of its own that is in doubt too.
SETUPS = FOUR | {"softer coils": {"front.springs.coil.rate": "30 N/mm"}}


def test_doubt_beside_the_comparison(benchmark, tmp_path):
    course = {"kind": "course", "course": str(SCENARIOS / "courses" / "hut_track.yaml"), "speed": "25 km/h"}
    asked = scenario(tmp_path, TWELVE, SETUPS, course)
    numbers = len(unknowns(asked.setups, asked.run))
    assert numbers == len(TWELVE)
    comparison = compare(asked)
    measures = [one.name for one in banded(comparison, asked.run, False)]

    def without():
        compare(asked)

    def doubt(workers):
        doubted(asked.setups, asked.run, measures, "two front", workers)

    for workers in (1, 2):  # compiled, and the other process started
        doubt(workers)
    times = {"comparison": [], "doubt, one core": [], "doubt, two cores": []}
    for _ in range(ROUNDS):
        for name, work in (
            ("comparison", without), ("doubt, one core", lambda: doubt(1)), ("doubt, two cores", lambda: doubt(2)),
        ):  # fmt: skip
            begun, used = time.perf_counter(), time.process_time()
            work()
            times[name].append((time.perf_counter() - begun, time.process_time() - used))
    print(
        f"\n{len(SETUPS)} set-ups, {numbers} numbers in doubt, {draws_for(asked.run, numbers)} draws, {len(measures)} measures"
    )
    least = {name: tuple(map(min, zip(*rows, strict=True))) for name, rows in times.items()}
    for name, (clock, used) in least.items():
        print(
            f"{name}: {clock:.2f} s by the clock, {used:.2f} s of this process; times the comparison {clock / least['comparison'][0]:.1f}"
        )
    benchmark.pedantic(without, rounds=1)
