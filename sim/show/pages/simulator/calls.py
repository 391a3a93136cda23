"""A run of one set-up as what the kernel is given, by the names of its arguments."""

import inspect
from dataclasses import dataclass
from typing import Any

from sim.describe.lowered import Lowered
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import AnyRun
from sim.integrate.driven import substeps_of
from sim.integrate.given import STEP_S, sampled
from sim.integrate.single import arguments, prepared_at
from sim.kernel.driven import run_driven
from sim.kernel.integrate import run_single
from sim.lower.lowering import lower
from sim.lower.packed import pack
from sim.lower.rest import Rest, rest
from sim.lower.wheeled import driven_arguments, road_table, start_of, wheeled
from sim.machine.jit import DRIVEN, ONE

RUNS = {ONE: run_single, DRIVEN: run_driven}
"""The kernel's runs that a page has, by the names under which it has them."""


@dataclass(frozen=True)
class Call:
    """One call of the kernel.

    Attributes
    ----------
    run : str
        Which of RUNS.
    given : dict
        Its arguments by name; `out`, to which it writes, has the shape of all outputs (outputs, channels).
    setup : Lowered
    standing : Rest
        Where the set-up stands, from which its channels are counted.
    """

    run: str
    given: dict[str, Any]
    setup: Lowered
    standing: Rest


def call_of(vehicle: Vehicle, run: AnyRun, cut: int | None = None, step_s: float = STEP_S) -> Call:
    """Return the call that runs a set-up once.

    Parameters
    ----------
    vehicle, run :
        The set-up, and what it goes through.
    cut : int, optional
        Integrator steps an output step of `step_s` [s]; left out: as many as the set-up needs.

    Raises
    ------
    RunError
        If the set-up cannot stand or the run does not fit it.
    """
    lowered = lower(vehicle)
    plan = run.plan(lowered)
    if plan.driving is not None:
        own, standing, table = wheeled(lowered, plan.driving), rest(lowered), road_table(lowered, plan)
        start = start_of(own, standing, table)
        parts = cut or substeps_of(own, standing, start, table, step_s)
        return _call(DRIVEN, driven_arguments(own, table, start, plan.duration_s, step_s, parts), own.setup, standing)
    ready = prepared_at(lowered, plan, step_s)
    given = sampled(ready.setup.vehicle, plan, step_s, cut or ready.cut)
    return _call(ONE, arguments(pack([ready.setup], 1), ready.start, given), ready.setup, ready.standing)


def _call(run: str, given: tuple[Any, ...], setup: Lowered, standing: Rest) -> Call:
    return Call(run, dict(zip(names(run), given, strict=True)), setup, standing)


def names(run: str) -> tuple[str, ...]:
    """Return the names of a run's arguments, in their order."""
    text: Any = RUNS[run]
    return tuple(inspect.signature(getattr(text, "py_func", text)).parameters)
