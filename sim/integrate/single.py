"""One set-up through one run at a held speed or on the spot: put where it begins, integrated, named."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from sim.describe.lowered import Lowered
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import AnyRun
from sim.describe.runs.plan import Plan
from sim.errors import RunError
from sim.integrate.channels import centre_heights, named
from sim.integrate.energy import balance
from sim.integrate.given import STEP_S, Input, sampled
from sim.integrate.result import Run
from sim.kernel import layout as at
from sim.kernel.integrate import run_single
from sim.lower.guard import fastest_rate, substeps
from sim.lower.lowering import lower
from sim.lower.packed import UNWATCHED, Packed, pack
from sim.lower.rest import Rest, rest
from sim.machine.memory import room_for

Array = npt.NDArray[np.float64]

KINK_M = 2.5e-9
"""A step whose forecast is off by more energy than lifts the truck by so much is done again (docs/decisions/steps.md)."""


@dataclass(frozen=True)
class Prepared:
    """A set-up at the start of a run."""

    setup: Lowered
    plan: Plan
    standing: Rest
    start: Array  # (STATES,)
    cut: int  # integrator steps an output step


def prepared(vehicle: Vehicle, run: AnyRun, step_s: float = STEP_S) -> Prepared:
    """Lower a set-up, put it where the run begins, and find how small a step it needs.

    Raises
    ------
    RunError
        If the set-up cannot stand or the run does not fit it.
    """
    lowered = lower(vehicle)
    return prepared_at(lowered, run.plan(lowered), step_s)


def prepared_at(lowered: Lowered, plan: Plan, step_s: float) -> Prepared:
    """Put a lowered set-up where its run begins, and find how small a step it needs.

    Raises
    ------
    RunError
        If the set-up cannot stand.
    """
    lowered = with_plan(lowered, plan)
    standing = rest(lowered)
    start = start_state(lowered, plan, standing)
    return Prepared(lowered, plan, standing, start, substeps(fastest_rate(lowered, standing), step_s))


def once(ready: Prepared, run: AnyRun, setup: str, step_s: float, cut: int, kink_m: float = KINK_M) -> Run:
    """Run a prepared set-up with `cut` integrator steps an output step of `step_s` [s]; kink_m as `traced` takes it."""
    given = sampled(ready.setup.vehicle, ready.plan, step_s, cut)
    trace = traced(pack([ready.setup], 1), ready.start, given, kink_m)
    given = given.without_road()
    energy = balance(ready.setup, trace, given)
    return named(ready.setup, run, ready.plan, ready.standing, setup, trace, given, energy)


def with_plan(setup: Lowered, plan: Plan) -> Lowered:
    """Return the set-up with what the run says of the body: free to roll or held, and where it is pushed."""
    body = setup.body._replace(
        free_to_roll=1.0 if plan.free_to_roll else 0.0,
        push_forward=plan.push.forward if plan.push else 0.0,
        push_up=plan.push.up if plan.push else 0.0,
        keeper_gain=plan.keeper_gain,
    )
    return replace(setup, body=body)


def start_state(setup: Lowered, plan: Plan, standing: Rest) -> Array:
    """Return the state (STATES,) from which a run begins.

    Raises
    ------
    RunError
        If the set-up cannot stand on the boards of a drop.
    """
    state = standing.state.copy()
    if any(plan.boards_m):  # a drop begins standing on its boards, which are gone at time zero
        state = rest(setup, plan.boards_m).state.copy()
    if plan.body_up_m or plan.nose_up_rad:
        before = [centre_height(setup, state, index) for index in range(at.AXLES)]
        state[at.Z] += plan.body_up_m
        state[at.PITCH] -= plan.nose_up_rad  # the equations count nose down
        for index in range(at.AXLES):  # the axles stay where they stood
            # Jounce moves the centre along its guide, and pitch turns that: a few rounds settle it to rounding.
            for _ in range(40):
                state[at.JOUNCE + 2 * index] += before[index] - centre_height(setup, state, index)
    for index, sense in ((at.FRONT, 1.0), (at.REAR, -1.0)):
        state[at.JOUNCE + 2 * index] += plan.jounce_m[index]
        if plan.pinion_up_rad[index] and not setup.axles[("front", "rear")[index]].wind_up_free:
            raise RunError(
                "An axle that is held rigidly cannot be released from a wind-up; give its guide a wind_up rate."
            )
        # People give pinion-up: a front pinion points back, a rear one forward.
        state[at.WIND_UP + 2 * index] += sense * plan.pinion_up_rad[index]
    return state


def centre_height(setup: Lowered, state: Array, index: int) -> float:
    """Return the height [m] of an axle's centre above the ground."""
    name = ("front", "rear")[index]
    return float(centre_heights(setup, name, state[None])[0])


def traced(packed: Packed, start: Array, given: Input, kink_m: float = KINK_M) -> Array:
    """Run the kernel for one set-up; return its trace (outputs, channels), shorter if it blew up; kink_m as `arguments` takes it."""
    whole = arguments(packed, start, given, kink_m)
    wrote, trace = run_single(*whole), whole[TRACE]
    return trace[:wrote]  # type: ignore[no-any-return]  # what was not written is memory as it came


TRACE = 13
"""Which of `arguments` is written to."""


def arguments(packed: Packed, start: Array, given: Input, kink_m: float = 0.0) -> tuple[Any, ...]:
    """Return what `run_single` is given for one set-up that begins in a state (STATES,), its trace to be written among it.

    Of several lanes, what `run_few` is given, with a state each (STATES, lanes); it does no step again.

    kink_m : height [m]; a step whose forecast is off by more energy than lifts the truck by so much is done again. 0:
    none is, as in blocks.
    """
    rows = packed.rows()
    rows[: at.STATES] = start.reshape(at.STATES, -1)
    rows[at.KINK] = kink_m
    shape = (given.steps // given.every + 1, packed.lanes * (at.TRACE_LINES + at.LINE_CHANNELS * packed.lines.shape[0]))
    room_for(*shape)
    trace = np.empty(shape)
    return (
        packed.memory, packed.lines, packed.lines_front, packed.kinds, packed.knots, packed.first_group,
        given.road, given.nominal, given.speed_m_per_s, given.push, given.step_s, given.steps, given.every,
        trace, UNWATCHED, packed.bush_memory(),
    )  # fmt: skip
