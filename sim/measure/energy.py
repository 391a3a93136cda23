"""Measures: where the energy of a run went, and what its balance leaves open."""

from math import nan

from sim.integrate.result import Run
from sim.measure.measure import Measure, Shown, placed


def dissipated_by_dampers(run: Run) -> float:
    """Return the energy that all dampers turned into heat [J]."""
    return run.energy.dissipated_j.get("dampers", nan)  # of runs in a block no energy is kept


def share_of_dampers(run: Run) -> float:
    """Return the dampers' share of all energy dissipated; nan if none was."""
    # Of what is lost, not of what is put in: some of that is still stored when the run ends.
    total = sum(run.energy.dissipated_j.values())
    return dissipated_by_dampers(run) / total if total > 0.0 else nan


def residual(run: Run) -> float:
    """Return what the balance leaves open, as a share of the energy that went through the run."""
    return run.energy.residual_share


MEASURES: tuple[Measure, ...] = (
    Measure(
        "energy_dampers", "Energy into the dampers", "energy", None, dissipated_by_dampers,
        "Of all dampers of both axles.",
    ),
    Measure(
        "energy_dampers_share", "Dampers' share of the energy lost", "percent", None,
        share_of_dampers, "The rest goes into tyres, leaf friction, bump stops and wind-up.",
    ),
    Measure(
        "energy_residual", "Energy balance left open", "percent", None, residual,
        "Work in less what is stored and lost: the error of the run, not a property of the truck.",
    ),
)  # fmt: skip


SHOWN = {
    # The only one shown by itself: it says whether the run can be trusted.
    "energy_residual": Shown(table=220, table_driven=280),
}


def measures(run: Run) -> tuple[Measure, ...]:
    """Return the measures of this family for a run."""
    return placed(MEASURES, SHOWN)
