"""Maps of tramp are worked out by two processes: the copy, which has nobody to tell how far it is, does its share."""

import os
import subprocess
import sys

import pytest

from tests.synthetic import SCENARIOS

ROOT = SCENARIOS.parent

SHARED = """
import os, sys, time
from pathlib import Path
from sim.cli import main
from sim.errors import InputError
from sim.machine import copies
import sim.study.tramp.map as maps
from tests.waiting import PATIENCE_S

copies.os.sched_getaffinity = lambda process: {0, 1}

def tramp(name, vehicle, axle, surface, lean_rad, ahead_m, slip_slope, tell, each):
    # Twice, as maps and the runs that confirm them are.
    for number in range(2):
        began = Path(sys.argv[-1]) / str(number)
        began.mkdir(parents=True)

        def piece():
            tell("place 1 of 9")
            (began / str(os.getpid())).touch()
            end = time.monotonic() + PATIENCE_S
            while len(list(began.iterdir())) < 2 and time.monotonic() < end:
                time.sleep(0.01)  # the other one, however busy the machine is
            return os.getpid()

        print("who:", *each([piece] * 8))
    raise InputError("seen")

maps.tramp = tramp
assert main() == 2
"""


@pytest.mark.skipif(sys.platform != "linux", reason="processes are split off on Linux alone")
def test_both_take_part(tmp_path):
    done = subprocess.run(
        [sys.executable, "-c", SHARED, "tramp", str(SCENARIOS / "lean_against_wind_up.yaml"), "--outputs", str(tmp_path)],
        capture_output=True, text=True, check=True, env={**os.environ, "JOUNCE_PLAIN": "", "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    rounds = [line.split()[1:] for line in done.stdout.splitlines() if line.startswith("who:")]
    assert [len(pids) for pids in rounds] == [8, 8]
    assert all(len(set(pids)) == 2 for pids in rounds), rounds
