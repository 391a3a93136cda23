"""Measures: the list of families. A new one is a file beside these and its name here."""

import sys
from collections.abc import Callable

from sim.integrate.result import Run
from sim.measure import (
    comfort,
    damper_speed,
    decay,
    driving,
    energy,
    hits,
    holding,
    hop,
    pitch,
    ride,
    settling,
    travel,
    tyre_load,
)
from sim.measure.measure import Measure

Family = Callable[[Run], tuple[Measure, ...]]

MEASURES: tuple[Family, ...] = (
    driving.measures,
    hop.measures,
    settling.measures,
    decay.measures,
    ride.measures,
    comfort.measures,
    pitch.measures,
    tyre_load.measures,
    travel.measures,
    hits.measures,
    damper_speed.measures,
    holding.measures,
    energy.measures,
)
"""Families in the order of tables. Which measures each has depends on the run: points, dampers."""


def wanted_run(name: str) -> tuple[str | None, str]:
    """Return how a run must be run to have a measure of a name, and that in words; None if it may be any run.

    A family that suits only some runs says so in its file: `WAY`, `WANTED`, and how its measures are `NAMED`.
    """
    for family in MEASURES:
        # A family is its function here; what else it says of itself stands in its file.
        home = sys.modules[family.__module__]
        named: tuple[str, ...] = getattr(home, "NAMED", ())
        # a family that names none starts and ends nothing: an empty tuple never matches
        if name.startswith(named) or name.endswith(named):
            return home.WAY, home.WANTED
    return None, ""


def measures_for(*runs: Run) -> tuple[Measure, ...]:
    """Return the measures of one or several runs, each once, in the order of the families.

    What only some of the runs have stands where those runs have it.
    """
    return tuple(measure for family in MEASURES for measure in _merged(family, runs))


def _merged(family: Family, runs: tuple[Run, ...]) -> list[Measure]:
    merged: list[Measure] = []
    for run in runs:
        place = 0
        for measure in family(run):
            # A measure that only a later run has goes where that run has it, not to the end of the table.
            names = [known.name for known in merged]
            if measure.name in names:
                place = names.index(measure.name)
            else:
                merged.insert(place, measure)
            place += 1  # past this one, known or new, so that the order of this run goes on
    return merged


__all__ = ["MEASURES", "Measure", "measures_for"]
