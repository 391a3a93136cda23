"""Whether a scenario with numbers that vary can be run: its set-ups, its sweep, its tuning; asked without running."""

from sim.describe.files.scenario import Scenario
from sim.errors import Problem
from sim.integrate.status import Flag
from sim.study.measurable import check_swept
from sim.study.startable import startable
from sim.study.sweep.axes import check_asked
from sim.study.tuning.named import check_named
from sim.study.tuning.ready import tuning_of


def runnable(scenario: Scenario) -> tuple[list[Problem], list[tuple[str, Flag]]]:
    """Lower, plan and stand every set-up of a scenario, and see what its sweep and its tuning ask for, without running.

    Returns
    -------
    list of Problem
        What keeps set-ups from starting.
    list of (str, Flag)
        What those that can start are flagged for where they stand, by set-up.

    Raises
    ------
    InputError
        If a number that varies leads nowhere, or a measure that is asked for is none of these trucks.
    """
    # Before anything is lowered: a sweep's path that leads nowhere is said in its own words.
    check_asked(scenario)
    tuning = tuning_of(scenario) if scenario.tune is not None else None
    problems, flagged = startable(scenario)
    # Which measures there are is asked of trucks that stand.
    if not problems:
        check_swept(scenario)
        if tuning is not None:
            check_named(tuning)
    return problems, flagged
