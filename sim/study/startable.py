"""Whether the set-ups of a scenario can start: asked by `jounce check`, without running."""

from sim.describe.files.scenario import Scenario
from sim.errors import RunError
from sim.integrate.single import start_state, with_plan
from sim.lower.lowering import lower
from sim.lower.rest import rest
from sim.lower.wheeled import wheeled


def startable(scenario: Scenario) -> list[str]:
    """Return what keeps set-ups of a scenario from starting, one text each: lower, plan and stand, without running."""
    problems = []
    for name, vehicle in scenario.setups.items():
        try:
            # In the order of a run, as each step needs what the one before worked out.
            setup = lower(vehicle)
            plan = scenario.run.start(setup)
            # Engine and brakes are asked for by runs that drive: without them a truck may still do all others.
            if plan.driving is not None:
                wheeled(setup, plan.driving)
            setup = with_plan(setup, plan)
            start_state(setup, plan, rest(setup))
        except RunError as error:
            problems.append(f"set-up '{name}': {error}")
    return problems
