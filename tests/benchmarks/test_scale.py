"""Two cores beside one, and ten thousand set-ups of the demo course from the shell.

python -m pytest tests/benchmarks/test_scale.py --benchmark-only -n 0 -s
"""

import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from sim.machine.jit import BLOCK
from sim.machine.spread import Spread
from tests.benchmarks.test_speed import ROOT, many, prepared

PARTS = 8
BLOCKS = 6  # a part
ROUNDS = 6
SIDE = 100


class Blocks:
    """So many blocks a part, one after the other: what a sweep or a search sends to a worker."""

    def __init__(self) -> None:
        self.go = None

    def solved(self, part):
        if self.go is None:
            self.go = many(*prepared(), np.float32)
            self.go()
        for _ in range(part):
            self.go()
        return part

    def __getstate__(self):
        return {"go": None}


def test_two_cores(benchmark, capsys):
    """The same blocks by one worker process and by two, in turn."""
    alone = Blocks()
    alone.solved(1)
    spent = {1: np.inf, 2: np.inf}

    def alone_all():
        return [alone.solved(BLOCKS) for _ in range(PARTS)]

    with Spread(Blocks(), 2) as pair:
        list(pair.each([1] * 4))  # both workers are up and have loaded the kernel
        for _ in range(ROUNDS):
            for cores, work in ((1, alone_all), (2, lambda: list(pair.each([BLOCKS] * PARTS)))):
                begin = time.perf_counter()
                work()
                spent[cores] = min(spent[cores], time.perf_counter() - begin)
        benchmark.pedantic(lambda: list(pair.each([BLOCKS] * PARTS)), rounds=1)
    with capsys.disabled():
        each = spent[1] / (PARTS * BLOCKS * BLOCK)
        print(f"\none core {each * 1e3:.3f} ms a set-up; two cores {spent[1] / spent[2]:.2f} times one")


@pytest.mark.parametrize(
    "extra", [(), ("--coarse",), ("--coarse", "--precision", "double")], ids=["full", "coarse", "coarse double"]
)
def test_ten_thousand_set_ups(benchmark, tmp_path, capsys, extra):
    """A map of two damper values, a hundred by a hundred, to written files, on all cores; the kernel is compiled before."""
    scenario = ROOT / "scenarios" / "two_or_four.yaml"

    def sweep(points):
        folder = tmp_path / f"of {points} {time.monotonic_ns()}"
        command = [
            sys.executable, "-m", "sim", "sweep", str(scenario), "--setup", "two front", "--outputs", str(folder),
            "--vary", "front.dampers.main.valving.compression.low", "0.5 kN s/m", "2.5 kN s/m", str(points),
            "--vary", "front.dampers.main.valving.rebound.low", "2 kN s/m", "5 kN s/m", str(points),
            "--measure", "ride_wk_driver", "--measure", "front_tyre_load_variation", *extra,
        ]  # fmt: skip
        begin = time.perf_counter()
        subprocess.run(command, cwd=ROOT, capture_output=True, check=True)
        assert list(Path(folder).rglob("swept.csv"))
        return time.perf_counter() - begin

    sweep(6)
    few = sweep(6)
    benchmark.pedantic(lambda: sweep(SIDE), rounds=1)
    with capsys.disabled():
        whole = benchmark.stats.stats.min
        each = (whole - few) / (SIDE**2 - 36)
        print(f"\n{SIDE**2} set-ups: {whole:.1f} s; 36 of them: {few:.1f} s; each further one {each * 1e3:.2f} ms")
