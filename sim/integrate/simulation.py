"""One set-up through one run: lower, put at rest, integrate, name the channels, check, and do it again finer."""

from dataclasses import dataclass, replace
from functools import lru_cache
from math import ceil

import numpy as np
import numpy.typing as npt

from sim.describe.parts.vehicle import Vehicle
from sim.describe.roads.course import Course
from sim.describe.runs import AnyRun
from sim.describe.runs.plan import Plan
from sim.errors import RunError
from sim.integrate.channels import named
from sim.integrate.energy import stored
from sim.integrate.result import Energy, Run
from sim.kernel import layout as at
from sim.kernel.integrate import run_single
from sim.lower.guard import fastest_rate, substeps
from sim.lower.lowering import UNWATCHED, Lowered, Packed, lower, pack
from sim.lower.rest import Rest, rest
from sim.lower.road.contact import contact_profile
from sim.lower.road.profile import Profile
from sim.lower.road.sampling import sample

Array = npt.NDArray[np.float64]

STEP_S = 1e-3
"""Step of the integrator and of the output [s]."""

COMPARED = 2, 4
"""Into how many parts a step that a set-up needs is cut in the two runs that are compared; the second one is shown."""


@dataclass(frozen=True)
class Input:
    """Roads and push at the steps of the integrator."""

    step_s: float
    steps: int
    every: int  # steps an output
    heights: Array  # (2, steps + 1)
    rates: Array
    push: Array  # (steps + 1,)


def simulate(vehicle: Vehicle, run: AnyRun, setup: str = "as the file has it", step_s: float = STEP_S) -> Run:
    """Run one set-up at half the step that it needs, and once more at a quarter; the finer run is what is returned.

    Parameters
    ----------
    vehicle : Vehicle
        The set-up.
    run : AnyRun
        Course, push, drop, release, launch or brake.
    setup : str
        Its name in results.
    step_s : float
        Output step [s]; the integrator takes it whole, or cuts it where the set-up needs it.

    Raises
    ------
    RunError
        If the set-up cannot stand or the run does not fit it.
    """
    lowered = lower(vehicle)
    plan = run.plan(lowered)
    if plan.driving is not None:
        from sim.integrate.driven import simulate_driven  # a kernel of its own, which other runs need not load

        return simulate_driven(lowered, plan, run, setup, step_s)
    ready = _prepared(lowered, plan, step_s)
    coarse, fine = (once(ready, run, setup, step_s, ready.cut * parts) for parts in COMPARED)
    return replace(fine, coarse=coarse)


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
    return _prepared(lowered, run.plan(lowered), step_s)


def _prepared(lowered: Lowered, plan: Plan, step_s: float) -> Prepared:
    lowered = with_plan(lowered, plan)
    standing = rest(lowered)
    start = start_state(lowered, plan, standing)
    return Prepared(lowered, plan, standing, start, substeps(fastest_rate(lowered, standing), step_s))


def once(ready: Prepared, run: AnyRun, setup: str, step_s: float, cut: int) -> Run:
    """Run a prepared set-up with `cut` integrator steps an output step of `step_s` [s]."""
    return integrated(ready.setup, run, ready.plan, ready.standing, ready.start, setup, step_s, cut)


def with_plan(setup: Lowered, plan: Plan) -> Lowered:
    """Return the set-up with what the run says of the body: free to roll or held, and where it is pushed."""
    body = setup.body._replace(
        free_to_roll=1.0 if plan.free_to_roll else 0.0,
        push_forward=plan.push.forward if plan.push else 0.0,
        push_up=plan.push.up if plan.push else 0.0,
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
    if any(plan.boards_m):
        state = rest(setup, plan.boards_m).state.copy()
    before = [centre_height(setup, state, index) for index in range(at.AXLES)]
    state[at.Z] += plan.body_up_m
    state[at.PITCH] -= plan.nose_up_rad
    if plan.body_up_m or plan.nose_up_rad:
        for index in range(at.AXLES):  # the axles stay where they stood
            for _ in range(40):
                state[at.JOUNCE + 2 * index] += before[index] - centre_height(setup, state, index)
    for index, sense in ((at.FRONT, 1.0), (at.REAR, -1.0)):
        state[at.JOUNCE + 2 * index] += plan.jounce_m[index]
        if plan.pinion_up_rad[index] and not setup.axles[("front", "rear")[index]].wind_up_free:
            raise RunError(
                "A housing that is held rigidly cannot be released from a wind-up; give its guide a wind_up rate."
            )
        state[at.WIND_UP + 2 * index] += sense * plan.pinion_up_rad[index]
    return state


def centre_height(setup: Lowered, state: Array, index: int) -> float:
    """Return the height [m] of an axle's centre above the ground."""
    name = ("front", "rear")[index]
    path, axle = setup.paths[name], setup.axles[name]
    jounce = state[at.JOUNCE + 2 * index]
    forward, _ = path.at(float(jounce))
    pitch = state[at.PITCH]
    return float(state[at.Z] - forward * np.sin(pitch) + (axle.centre_up + jounce) * np.cos(pitch))


@lru_cache(maxsize=32)
def _profile(course: Course, radius_m: float, contact_length_m: float) -> Profile:
    return contact_profile(course, radius_m, contact_length_m)


def road_profile(course: Course, radius_m: float, contact_length_m: float) -> Profile:
    """Return a course as a tyre feels it, kept for the next set-up on the same tyres."""
    return _profile(course, radius_m, contact_length_m)


@lru_cache(maxsize=8)
def _felt(
    course: Course,
    radius_m: float,
    contact_length_m: float,
    speed_m_per_s: float,
    offset_m: float,
    step_s: float,
    steps: int,
) -> tuple[Array, Array]:
    """Sample one wheel's road, kept for the next set-up that meets the same: most differ in their dampers alone."""
    return sample(road_profile(course, radius_m, contact_length_m), speed_m_per_s, offset_m, step_s, steps)


def sampled(vehicle: Vehicle, plan: Plan, step_s: float, cut: int) -> Input:
    """Sample roads and push for a run, `cut` integrator steps an output step of `step_s` [s]."""
    step = step_s / cut
    steps = ceil(plan.duration_s / step_s - 1e-9) * cut
    heights, rates = np.zeros((2, steps + 1)), np.zeros((2, steps + 1))
    if plan.course is not None:
        for index, (name, axle) in enumerate(vehicle.axles):
            offset = plan.lead_m + vehicle.axle_behind_front_m(name)
            heights[index], rates[index] = _felt(
                plan.course, axle.tyre.radius, axle.tyre.contact_length, plan.speed_m_per_s, offset, step, steps
            )
    time: Array = np.arange(steps + 1, dtype=np.float64) * step
    push = plan.push.at(time) if plan.push else np.zeros(steps + 1)
    return Input(step, steps, cut, heights, rates, push)


def integrated(
    setup: Lowered, run: AnyRun, plan: Plan, standing: Rest, start: Array, name: str, step_s: float, cut: int
) -> Run:
    """Integrate one set-up with `cut` steps an output step, and name what comes out."""
    given = sampled(setup.vehicle, plan, step_s, cut)
    packed = pack([setup], 1)
    trace = traced(packed, start, given)
    energy = balance(setup, trace, given)
    return named(setup, run, plan, standing, name, trace, given, energy)


def traced(packed: Packed, start: Array, given: Input) -> Array:
    """Run the kernel for one set-up; return its trace (outputs, channels), shorter if it blew up."""
    packed.memory[: at.STATES] = start
    outputs = given.steps // given.every + 1
    trace = np.empty((outputs, at.TRACE_LINES + at.LINE_CHANNELS * packed.lines.shape[0]))
    wrote = run_single(
        packed.memory, packed.lines, packed.lines_front, packed.kinds, packed.knots, packed.first_group,
        given.heights, given.rates, given.push, given.step_s, given.steps, given.every,
        trace, UNWATCHED, packed.bush_memory(),
    )  # fmt: skip
    return trace[:wrote]


def balance(setup: Lowered, trace: Array, given: Input) -> Energy:
    """Balance the energy of a run: work in = stored + dissipated, and what is left over."""
    first, last = trace[0, : at.STATES], trace[-1, : at.STATES]
    sample_last = given.every * (len(trace) - 1)
    roads = [(float(given.heights[0, i]), float(given.heights[1, i])) for i in (0, sample_last)]
    change = stored(setup, last, roads[1]) - stored(setup, first, roads[0])
    bushes = bush_energy(setup, trace)
    dissipated = {
        "tyres": float(last[at.LOSS_TYRES]),
        "dampers": float(last[at.LOSS_DAMPERS]) - bushes,
        "stops and ends": float(last[at.LOSS_CONTACTS]),
        "leaf friction": float(last[at.LOSS_FRICTION]),
        "wind-up": float(last[at.LOSS_WIND_UP]),
    }
    work = float(last[at.WORK_ROAD] + last[at.WORK_PUSH])
    change += bushes
    up, pitching = trace[:, at.COORDINATES + at.Z], trace[:, at.COORDINATES + at.PITCH]
    swing = float(np.max(0.5 * setup.body.mass * up**2 + 0.5 * setup.body.pitch_inertia * pitching**2))
    return Energy(work, change, dissipated, work - change - sum(dissipated.values()), swing)


def bush_energy(setup: Lowered, trace: Array) -> float:
    """Return by how much the energy that end bushes hold has grown from the first output of a trace to the last [J]."""
    total = 0.0
    for number, named_line in enumerate(setup.lines):
        forces = trace[[0, -1], at.TRACE_LINES + number * at.LINE_CHANNELS + at.LINE_LAW]
        total += 0.5 * named_line.line.number * named_line.line.bush_give * float(forces[1] ** 2 - forces[0] ** 2)
    return total
