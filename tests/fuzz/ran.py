"""What must hold for a file that is accepted: it runs, or is refused in words; every number is finite, or a flag says what went wrong."""

import time
from collections.abc import Iterator
from functools import cache
from math import ceil
from pathlib import Path

import numpy as np

import sim
from sim.describe.parts.vehicle import Vehicle
from sim.describe.roads.course import Course
from sim.describe.runs.course import Course as OverCourse
from sim.integrate.traces import Array

LONGEST_S = 5.0
"""Seconds of the processor that a run may take, beside what its length needs."""

PER_SECOND_S = 0.25
"""Seconds of the processor that a simulated second may take, all included: some fifty times what one of the demo takes."""

SCENARIOS = Path(__file__).parents[2] / "scenarios"


@cache
def _demo() -> sim.Scenario:
    scenario = sim.load(SCENARIOS / "two_or_four.yaml")
    assert isinstance(scenario, sim.Scenario)
    sim.simulate(scenario.vehicle, scenario.run)
    return scenario


def ready() -> None:
    """Have everything compiled, so that no file's time holds it."""
    _demo()


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
    # A channel at a time, as they are worked out when they are asked for: a table of all would take a gigabyte of a long course.
    wrong = [name for name, values in _channels(result) if not np.all(np.isfinite(values))]
    return f"not finite and no flag: {', '.join(wrong[:3])}" if wrong and not result.flags else ""


def _channels(result: sim.Run) -> Iterator[tuple[str, Array]]:
    yield "bounce", result.bounce_m
    yield "pitch", result.pitch_nose_up_rad
    yield from result.acceleration_m_per_s2.items()
    for name, axle in result.axles:
        yield f"{name} jounce", axle.jounce_m
        yield f"{name} tyre load", axle.tyre_load_n
        yield f"{name} stop", axle.stop_force_n
        for damper in axle.dampers.values():
            yield f"{name} {damper.name} force", damper.force_n
            yield f"{name} {damper.name} length", damper.length_m
