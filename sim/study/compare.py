"""Runs every set-up of a scenario."""

from collections.abc import Callable, Sequence
from functools import partial
from math import nan

from sim.describe.files.scenario import Scenario
from sim.describe.parts.vehicle import Vehicle
from sim.errors import RunError
from sim.integrate.result import Run
from sim.integrate.simulation import simulate
from sim.integrate.status import Flag, once
from sim.linear.modes import least_of_body
from sim.linear.placing import placings
from sim.linear.standing import Standing, stand
from sim.measure.comparison import Comparison
from sim.measure.references import reference_of
from sim.measure.rest_band import rest_band, within
from sim.measure.table import evaluate


def compare(scenario: Scenario, tell: Callable[[str], None] | None = None, only: str | None = None) -> Comparison:
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
    runs: dict[str, Run] = {}
    for name, run_it in to_run(scenario, only).items():
        if tell:
            tell(name)
        runs[name] = run_it()
    return measured(scenario, runs)


def to_run(scenario: Scenario, only: str | None = None) -> dict[str, Callable[[], Run]]:
    """Return what runs each set-up, or one of them, and raises RunError as `compare` does: for whoever shares them out."""
    return {
        name: partial(_ran, scenario, name, vehicle)
        for name, vehicle in scenario.setups.items()
        if only in (None, name)
    }


def _ran(scenario: Scenario, name: str, vehicle: Vehicle) -> Run:
    try:
        return simulate(vehicle, scenario.run, name)
    # The physics does not know the set-up's name, and of several the message must say which.
    except RunError as error:
        raise RunError(f"set-up '{name}': {error}") from error


def measured(scenario: Scenario, runs: dict[str, Run]) -> Comparison:
    """Return the comparison of set-ups that have been run."""
    stood = {name: _stood(scenario.setups[name]) for name in runs}
    damping = {name: nan if one is None else least_of_body(one.modes) for name, one in stood.items()}
    placed = {name: placings(one) for name, one in stood.items() if one is not None}
    at_rest = {name: () if one is None else _unmet(one.flags, runs[name].flags) for name, one in stood.items()}
    runs = judged_alike(scenario, runs)
    values = {name: evaluate(run) for name, run in runs.items()}
    return Comparison(scenario, runs, values, damping, placed=placed, at_rest=at_rest)


def _unmet(standing: Sequence[Flag], driven: Sequence[Flag]) -> tuple[Flag, ...]:
    """Return what a set-up is flagged for at rest, less the parts whose fault its run has met: said once."""
    met = {(flag.part, flag.end) for flag in driven}
    return tuple(
        flag
        for flag in once(standing)
        if (flag.part, flag.end) not in met and flag.fault not in {one.fault for one in driven}
    )


def judged_alike(scenario: Scenario, runs: dict[str, Run]) -> dict[str, Run]:
    """Return runs that are all asked for the same rest, that of the reference; one alone is asked for its own."""
    if len(runs) < 2:
        return runs
    band = rest_band(runs[reference_of(Comparison(scenario, runs, {}))])
    return {name: within(run, band) for name, run in runs.items()}


def _stood(vehicle: Vehicle) -> Standing | None:
    """Return how a set-up stands by the linear view; None where that cannot stand."""
    # Without leaf friction a set-up can stand elsewhere, past what its guides know; its runs are sound all the same.
    try:
        return stand(vehicle)
    except RunError:
        return None
