"""Whether there is room for a run is asked before it is taken."""

import resource
import subprocess
import sys
from math import inf
from pathlib import Path

import psutil
import pytest

import sim
from sim.describe.roads.course import Course
from sim.errors import RunError
from sim.machine import memory

SCENARIOS = Path(__file__).parents[2] / "scenarios"


@pytest.mark.skipif(sys.platform != "linux", reason="other systems do not say")
def test_free_memory_is_what_the_system_has_available():
    """Against psutil, which reads it by itself; other processes take and give some meanwhile."""
    assert memory.free_bytes() <= psutil.virtual_memory().total
    if resource.getrlimit(resource.RLIMIT_AS)[0] == resource.RLIM_INFINITY and not _bounded():
        assert memory.free_bytes() == pytest.approx(psutil.virtual_memory().available, rel=0.3)


def _bounded() -> bool:
    try:
        return Path("/sys/fs/cgroup/memory.max").read_text().strip() != "max"
    except OSError:
        return False


def test_a_run_that_does_not_fit_is_refused_with_both_sizes(monkeypatch):
    monkeypatch.setattr(memory, "free_bytes", lambda: 2e9)
    memory.room_for(1_000_000, 67)  # 1.3 GB
    with pytest.raises(RunError, match=r"13\.4 GB of memory, and 2\.0 GB are free"):
        memory.room_for(10_000_000, 67)


def test_where_nobody_says_nothing_is_refused(monkeypatch):
    monkeypatch.setattr(memory, "free_bytes", lambda: inf)
    memory.room_for(10**12, 67)


@pytest.mark.hours  # a run of ten minutes begins
@pytest.mark.skipif(sys.platform != "linux", reason="bounds of another kind")
def test_under_a_bound_the_command_says_so(tmp_path):
    """A course of ten minutes in a process that may take 4 GB, where a run is said to need twenty times its outputs."""
    course = tmp_path / "long.yaml"
    course.write_text("kind: course\nname: Long\nitems:\n  - {kind: flat, length: 9.5 km}\n", encoding="utf-8")
    asked = tmp_path / "long_run.yaml"
    asked.write_text(
        f"kind: scenario\nname: Long\nvehicle: {SCENARIOS}/vehicles/hut_supply_truck.yaml\n"
        "run: {kind: course, course: long.yaml, speed: 58 km/h}\nsetups: {as it is: {}}\n",
        encoding="utf-8",
    )
    code = (
        "import resource; resource.setrlimit(resource.RLIMIT_AS, (4 << 30, 4 << 30)); from sim.machine import memory; "
        "memory.COPIES = 20; from sim.cli import main; "
        f"raise SystemExit(main(['simulate', {str(asked)!r}, '--outputs', {str(tmp_path / 'out')!r}]))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 2, done.stderr
    assert "GB are free" in done.stderr
    assert "Traceback" not in done.stderr
    assert not list((tmp_path / "out").glob("*")) if (tmp_path / "out").exists() else True


LONGEST = """
import re, sys, sim
from pathlib import Path
from sim.describe.roads.course import Course
demo = sim.load(sys.argv[1])
for seed in range(int(sys.argv[2])):
    rough = {"kind": "random", "iso_class": "D", "length": "4.2 km", "seed": seed}
    course = Course.model_validate({"kind": "course", "name": "Long", "items": [rough]})
    run = sim.simulate(demo.vehicle, demo.run.model_copy(update={"course": course}))
    assert run.time_s[-1] > 580.0 and run.coarse is not None
    del run
# Its own peak: what getrusage tells is also that of the process that began it.
print(re.search(r"VmHWM:\\s*(\\d+) kB", Path("/proc/self/status").read_text())[1])
"""


@pytest.mark.parametrize(
    "runs", [pytest.param(2, marks=pytest.mark.hours), pytest.param(5, marks=pytest.mark.hours)]
)  # each a quarter of a minute
@pytest.mark.skipif(sys.platform != "linux", reason="other systems count in other units")
def test_longest_runs_one_after_the_other_take_less_than_a_gigabyte(runs):
    """Ten minutes of rough road each: all channels at every millisecond, of the run and of its coarser twin; nothing adds up."""
    done = subprocess.run(
        [sys.executable, "-c", LONGEST, str(SCENARIOS / "two_or_four.yaml"), str(runs)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert float(done.stdout) * 1024 < 1e9


def test_a_longer_run_is_sent_to_the_hours_of_track():
    demo = sim.load(SCENARIOS / "two_or_four.yaml")
    course = Course.model_validate({"kind": "course", "name": "Long", "items": [{"kind": "flat", "length": "5 km"}]})
    with pytest.raises(RunError, match=r"would take 12 minutes; at most 10 .* jounce endure"):
        sim.simulate(demo.vehicle, demo.run.model_copy(update={"course": course}))
