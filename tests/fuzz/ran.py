"""What must hold for a file that is accepted: it runs, or is refused in words; every number is finite, or a flag says what went wrong."""

import time
from functools import cache
from math import ceil
from pathlib import Path

import numpy as np

import sim
from sim.describe.parts.vehicle import Vehicle
from sim.describe.roads.course import Course
from sim.describe.runs.course import Course as OverCourse

LONGEST_S = 5.0
"""Seconds of the processor that a run may take, beside what its length needs."""

PER_SECOND_S = 0.25
"""Seconds of the processor that a simulated second may take, all included: some fifty times what one of the demo takes."""

SCENARIOS = Path(__file__).parents[2] / "scenarios"


@cache
def _demo() -> sim.Scenario:
    scenario = sim.load(SCENARIOS / "two_or_four.yaml")
    assert isinstance(scenario, sim.Scenario)
    sim.simulate(scenario.vehicle, scenario.run)  # compiled here, so that no file's time holds it
    return scenario


def ran(path: Path) -> str:
    """Run what a file describes, its first set-up if it has several; return what must not be, empty if all holds.

    Parameters
    ----------
    path : Path
        A file that `check` accepts. A vehicle goes over the demo's track, the demo's truck over a course.
    """
    demo = _demo()
    begun = time.process_time()
    what = sim.load(path)
    try:
        if isinstance(what, Vehicle):
            vehicle, run = what, demo.run
        elif isinstance(what, Course):
            assert isinstance(demo.run, OverCourse)
            vehicle, run = demo.vehicle, demo.run.model_copy(update={"course": what})
        else:
            vehicle, run = next(iter(what.setups.values())), what.run
        if run.way == "hours":
            # Hours are the same kernel piece after piece; its stages' courses are files of their own here.
            return ""
        result = sim.simulate(vehicle, run)
    except sim.JounceError as error:
        return "" if str(error) else "an error without words"
    except Exception as error:
        return f"{type(error).__name__}: {error}"
    fault = _not_finite(result)
    allowed = LONGEST_S + PER_SECOND_S * float(result.time_s[-1])
    took = time.process_time() - begun
    return fault or (f"{ceil(took)} s of the processor for {result.time_s[-1]:.0f} s" if took > allowed else "")


def _not_finite(result: sim.Run) -> str:
    frame = result.to_dataframe()
    wrong = [name for name in frame.columns if not np.all(np.isfinite(frame[name].to_numpy(dtype=float)))]
    return f"not finite and no flag: {', '.join(wrong[:3])}" if wrong and not result.flags else ""
