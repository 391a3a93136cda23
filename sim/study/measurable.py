"""What can be measured of a run, known without running it; and whether the measures that a scenario names are among that."""

from collections.abc import Callable
from dataclasses import replace
from difflib import get_close_matches

import numpy as np

from sim.describe.files.messages import nearest
from sim.describe.files.scenario import Scenario
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import AnyRun
from sim.errors import InputError, Problem, RunError
from sim.integrate.many.blocks import Block
from sim.integrate.single import prepared
from sim.integrate.traces import DriveTrace, WheelTrace
from sim.measure import measures_for
from sim.measure.measure import Measure

Asking = Callable[[AnyRun, Vehicle], tuple[Measure, ...]]
"""From a run and a set-up to what can be measured of them."""


def measurable(run: AnyRun, vehicle: Vehicle) -> tuple[Measure, ...]:
    """Return the measures of a run of seconds, of a set-up that only stands where the run begins.

    Raises
    ------
    RunError
        If the set-up cannot stand or the run does not fit it.
    """
    ready = prepared(vehicle, run)
    # A block that is laid out but not run knows what it could measure.
    still = Block([ready], run, None).whole()
    if ready.plan.driving is not None:
        # Which measures there are depends on whether the engine drives, and on no signal.
        none = np.zeros(1)
        wheel = WheelTrace(none, none, none, none, none, none, none)
        drive = DriveTrace(none, none, none, none, wheel, wheel, 0.0, None, ready.plan.driving.in_gear)
        # In place: a copy would ask for every signal, and there is none.
        vars(still)["drive"] = drive
    return measures_for(still)


def check_swept(scenario: Scenario) -> None:
    """See that the measures which a scenario's `sweep` names are measures of its run.

    Raises
    ------
    InputError
        With every name that is none, at its line.
    """
    if scenario.sweep is None or not scenario.sweep.measures or scenario.run.way == "hours":
        return
    known: dict[str, Measure] = {}
    # Of every set-up: one may have a damper set, and so measures, that the others have not.
    for vehicle in scenario.setups.values():
        try:
            known |= {one.name: one for one in measurable(scenario.run, vehicle)}
        except RunError:  # said of the set-up itself
            continue
    problems = []
    for number, name in enumerate(scenario.sweep.measures):
        if known and name not in known:
            mark = scenario.document.mark(("sweep", "measures", number))
            problem = unknown_measure(name, list(known))
            problems.append(
                replace(problem, file=mark.file, line=mark.line, column=mark.column, where=f"sweep.measures.{number}")
            )
    if problems:
        raise InputError(problems)


def unknown_measure(name: str, known: list[str]) -> Problem:
    """Return what is said of a name that is no measure of a run: which ones are near."""
    near = get_close_matches(name, known, n=6, cutoff=0.3)
    allowed = f"{', '.join([*near, '…'])} ({len(known)} in all: jounce compare FILE --json names those of a run)"
    return Problem(
        f"there is no measure '{name}' of this run", given=name, allowed=allowed, suggestion=nearest(name, known)
    )
