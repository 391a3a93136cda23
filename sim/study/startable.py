"""Whether the set-ups of a scenario can start, and what is wrong with them at rest: asked by `jounce check`, without running."""

from dataclasses import replace

from sim.describe.files.scenario import Scenario
from sim.errors import Problem, RunError
from sim.integrate.single import start_state, with_plan
from sim.integrate.status import Flag
from sim.linear.standing_flags import standing_flags
from sim.lower.lowering import lower
from sim.lower.rest import rest
from sim.lower.wheeled import wheeled
from sim.study.past_its_ends import past_their_ends


def _of_setup(problem: Problem, name: str, scenario: Scenario) -> Problem:
    """Return a problem with its set-up's name, if it stands in the scenario's own file."""
    if problem.file != scenario.document.name:
        return problem
    return replace(problem, where=f"setups.{name}.{problem.where}")


def startable(scenario: Scenario) -> tuple[list[Problem], list[tuple[str, Flag]]]:
    """Lower, plan and stand every set-up of a scenario, without running.

    Returns
    -------
    list of Problem
        What keeps set-ups from starting.
    list of (str, Flag)
        What those that can start are flagged for where they stand, by set-up.
    """
    problems: list[Problem] = []
    flagged: list[tuple[str, Flag]] = []
    for name, vehicle in scenario.setups.items():
        try:
            # In the order of a run, as each step needs what the one before worked out.
            setup = lower(vehicle)
            plan = scenario.run.start(setup)
            # Engine and brakes are asked for by runs that drive: without them a truck may still do all others.
            if plan.driving is not None:
                wheeled(setup, plan.driving)
            setup = with_plan(setup, plan)
            standing = rest(setup)
            start_state(setup, plan, standing)
            flagged += [(name, flag) for flag in standing_flags(setup, standing)]
        except RunError as error:
            if dampers := past_their_ends(vehicle):
                # A fault of the truck itself comes once, not once a set-up.
                named = [_of_setup(one, name, scenario) for one in dampers]
                problems += [one for one in named if one not in problems]
                continue
            mark = scenario.document.mark(("setups", name))
            problems.append(
                Problem(
                    error.message, mark.file, mark.line, mark.column, f"set-up '{name}'", suggestion=error.suggestion
                )
            )
    return problems, flagged
