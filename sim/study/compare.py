"""Runs every set-up of a scenario."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from sim.errors import RunError

if TYPE_CHECKING:
    from sim.describe.files.scenario import Scenario
    from sim.integrate.result import Run
    from sim.measure.comparison import Comparison


def compare(scenario: "Scenario", tell: Callable[[str], None] | None = None, only: str | None = None) -> "Comparison":
    """Run the set-ups of a scenario over its run and measure them.

    Parameters
    ----------
    scenario : Scenario
        As `sim.load` returns it.
    tell : callable, optional
        Told the name of each set-up before it runs.
    only : str, optional
        Run this set-up alone.

    Raises
    ------
    RunError
        If a set-up cannot stand or the run does not fit it; the set-up is named.
    """
    from sim.integrate.simulation import simulate
    from sim.measure.comparison import Comparison  # measures, which `jounce check` does without
    from sim.measure.table import evaluate

    runs: dict[str, Run] = {}
    for name, vehicle in scenario.setups.items():
        if only is not None and name != only:
            continue
        if tell:
            tell(name)
        try:
            runs[name] = simulate(vehicle, scenario.run, name)
        except RunError as error:
            raise RunError(f"set-up '{name}': {error}") from error
    return Comparison(scenario, runs, {name: evaluate(run) for name, run in runs.items()})


def startable(scenario: "Scenario") -> list[str]:
    """Return what keeps set-ups of a scenario from starting, one text each: lower, plan and stand, without running."""
    from sim.describe.runs import Track
    from sim.describe.runs.plan import Plan
    from sim.integrate.single import start_state, with_plan
    from sim.lower.lowering import lower
    from sim.lower.rest import rest

    found = []
    for name, vehicle in scenario.setups.items():
        try:
            setup = lower(vehicle)
            plan = Plan(0.0, 0.0) if isinstance(scenario.run, Track) else scenario.run.plan(setup)
            if plan.driving is not None:
                from sim.lower.wheeled import wheeled

                wheeled(setup, plan.driving)
            setup = with_plan(setup, plan)
            start_state(setup, plan, rest(setup))
        except RunError as error:
            found.append(f"set-up '{name}': {error}")
    return found
