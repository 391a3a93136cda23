"""One set-up that drives or brakes through its run: integrate, name the channels, balance, and do it again finer."""

from dataclasses import replace
from math import ceil

import numpy as np
import numpy.typing as npt

from sim.describe.lowered import Lowered
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import AnyRun
from sim.describe.runs.plan import Plan
from sim.errors import RunError
from sim.integrate.apart import LONG, apart
from sim.integrate.channels import PINION_UP, named
from sim.integrate.energy import bush_energy, road_at, stored
from sim.integrate.given import STEP_S, Input
from sim.integrate.result import Run
from sim.integrate.traces import DriveTrace, Energy, WheelTrace
from sim.kernel import layout as at
from sim.lower.guard import fastest_rate
from sim.lower.lowering import lower
from sim.lower.rest import Rest, rest
from sim.lower.wheeled import STATE, DrivenEquations, Table, Wheeled, driven_trace, road_table, start_of, wheeled

Array = npt.NDArray[np.float64]

FASTEST_M_PER_S = 40.0
"""Road speed up to which the step is chosen small enough, unless the run begins faster."""

LIMIT = 0.75
"""Largest |eigenvalue| x step: well inside the stability of Runge-Kutta (2.78), and short enough for brakes that catch and slip."""

MOST_SUBSTEPS = 128
"""Past this a run is refused, as in `sim.lower.guard`."""


def simulate_driven(lowered: Lowered, plan: Plan, run: AnyRun, setup: str, step_s: float) -> Run:
    """Run one set-up, and once more at half the step; the finer run is returned.

    Raises
    ------
    RunError
        If the set-up cannot stand, or lacks what the run needs.
    """
    assert plan.driving is not None
    own = wheeled(lowered, plan.driving)
    standing = rest(lowered)
    table = road_table(lowered, plan)
    start = start_of(own, standing, table)
    cut = substeps_of(own, standing, start, table, step_s)
    # The step that it needs and half of it; runs at a held speed take half and a quarter (docs/equations.md, 5).
    coarse = _once(own, plan, run, standing, table, start, setup, step_s, cut)
    if coarse.time_s.size > LONG:
        coarse = apart(coarse)
    fine = _once(own, plan, run, standing, table, start, setup, step_s, 2 * cut)
    return replace(fine, coarse=coarse)


def driven_once(vehicle: Vehicle, run: AnyRun, step_s: float = STEP_S) -> Run:
    """Run one set-up at the step that it needs, without the finer run beside it: a third of the time, for searches.

    Raises
    ------
    RunError
        If the set-up cannot stand, or lacks what the run needs.
    """
    lowered = lower(vehicle)
    plan = run.plan(lowered)
    assert plan.driving is not None
    own = wheeled(lowered, plan.driving)
    standing = rest(lowered)
    table = road_table(lowered, plan)
    start = start_of(own, standing, table)
    return _once(own, plan, run, standing, table, start, "", step_s, substeps_of(own, standing, start, table, step_s))


def substeps_of(own: Wheeled, standing: Rest, start: Array, table: Table, step_s: float) -> int:
    """Return into how many parts a step is cut: eigenvalues of the ride, and of wheels and shafts standing and fast."""
    equations = DrivenEquations(own, table)
    rates = [fastest_rate(own.setup, standing)]
    # Slip answers at speed over relaxation length, so another rate bounds the step fast than at a stand.
    fast = start.copy()
    speed = max(FASTEST_M_PER_S, own.driving.speed_m_per_s)
    fast[at.COORDINATES + at.X] = speed
    for index in (at.FRONT, at.REAR):
        fast[at.SPIN + index] = speed / own.setup.axles[("front", "rear")[index]].tyre_radius
        wheels = own.wheels[("front", "rear")[index]]
        if wheels.brake_rate:
            # slipping, as after a turn of the wheels forwards
            fast[at.BRAKE + index] = own.brakes[index] / wheels.brake_rate
    for state in (start, fast):
        jacobian = np.empty((STATE.size, STATE.size))
        for column, row in enumerate(STATE):
            step = np.zeros(at.ROWS)
            step[row] = 1e-3 if row in (at.FRICTION, at.FRICTION + 1) else 1e-6  # newtons among metres and radians
            # Full throttle and full brakes: moments and their slopes are greatest.
            ahead = equations.derivative(state + step, 1.0, own.brakes)
            behind = equations.derivative(state - step, 1.0, own.brakes)
            jacobian[:, column] = (ahead - behind)[STATE] / (2.0 * step[row])
        if np.all(np.isfinite(jacobian)):  # else the run itself shows it, by blowing up
            rates.append(float(np.max(np.abs(np.linalg.eigvals(jacobian)))))
    parts = max(ceil(max(rates) * step_s / LIMIT), 1)
    if parts > MOST_SUBSTEPS:
        raise RunError(
            f"Something in this set-up answers within {1e6 / max(rates):.0f} millionths of a second, far too stiff for a truck. "
            "Check the rates and inertias of shafts, wheels, brakes and engine for a wrong unit."
        )
    return parts


def _once(
    own: Wheeled,
    plan: Plan,
    run: AnyRun,
    standing: Rest,
    table: Table,
    start: Array,
    setup: str,
    step_s: float,
    cut: int,
) -> Run:
    trace = driven_trace(own, table, start, plan.duration_s, step_s, cut)
    first = at.TRACE_LINES + len(own.setup.lines) * at.LINE_CHANNELS
    outputs = ceil(plan.duration_s / step_s - 1e-9)
    # Written at outputs already: every one is taken, and there is neither road nor push to name.
    given = Input.of(step_s, outputs, 1, np.zeros((2, 1)), np.zeros((2, 1)), np.zeros(1))
    # Shown from where it stood on its brakes or on the hill, not on the level.
    started = replace(standing, state=start[: at.STATES])
    named_run = named(own.setup, run, plan, started, setup, trace, given, _balance(own, trace, first))
    return replace(named_run, drive=_drive(own, plan, trace, first))


def _full(trace: Array, first: int, output: int) -> Array:
    """Return the whole state (ROWS,) of one output."""
    state: Array = np.r_[trace[output, : at.STATES], trace[output, first : first + at.ROWS - at.STATES]]
    return state


def _balance(own: Wheeled, trace: Array, first: int) -> Energy:
    """Balance the energy of a driven run: the engine's work = stored + dissipated, and what is left over."""
    begin, end = _full(trace, first, 0), _full(trace, first, -1)
    change = _held(own, end, road_at(trace, -1)) - _held(own, begin, road_at(trace, 0))
    bushes = bush_energy(own.setup, trace)
    dissipated = {
        "tyres": float(end[at.LOSS_TYRES]),
        "dampers": float(end[at.LOSS_DAMPERS]) - bushes,
        "stops and ends": float(end[at.LOSS_CONTACTS]),
        "leaf friction": float(end[at.LOSS_FRICTION]),
        "wind-up": float(end[at.LOSS_WIND_UP]),
        "slip": float(end[at.LOSS_SLIP]),
        "brakes": float(end[at.LOSS_BRAKES]),
        "shafts": float(end[at.LOSS_SHAFTS]),
        "bushes along the truck": float(end[at.LOSS_SHIFT]),
    }
    work = float(end[at.WORK_ENGINE])
    # The kernel counts a damper's work with its bushes; what those hold has not been lost.
    change += bushes
    return Energy(work, change, dissipated, work - change - sum(dissipated.values()))


def _held(own: Wheeled, state: Array, roads: tuple[float, float]) -> float:
    """Return the energy stored in a whole state (ROWS,) [J]."""
    total = stored(own.setup, state[: at.STATES], roads, own.drive.gravity_backwards)
    # Gears are not in it: an engine's speed is a state of its own, tied by the shafts' twist.
    total += 0.5 * own.drive.engine_inertia * state[at.ENGINE] ** 2
    if own.drive.centre_free:
        total += 0.5 * own.drive.centre_inertia * state[at.CENTRE] ** 2
        total += 0.5 * own.drive.centre_rate * state[at.CENTRE_GIVE] ** 2
    for index, name in enumerate(("front", "rear")):
        wheels = own.wheels[name]
        total += 0.5 * wheels.spin_inertia * state[at.SPIN + index] ** 2
        total += 0.5 * wheels.shaft_rate * state[at.TWIST + index] ** 2
        total += 0.5 * wheels.brake_rate * state[at.BRAKE + index] ** 2
    return float(total)


def _drive(own: Wheeled, plan: Plan, trace: Array, first: int) -> DriveTrace:
    driving = plan.driving
    assert driving is not None
    row = first - at.STATES  # rows of the state past STATES follow the lines
    speed = trace[:, at.COORDINATES + at.X]
    return DriveTrace(
        distance_m=trace[:, at.X], speed_m_per_s=speed, engine_rad_per_s=trace[:, row + at.ENGINE],
        engine_torque_n_m=trace[:, first + at.DRIVEN_TORQUE],
        front=_wheel(own, trace, first, "front"), rear=_wheel(own, trace, first, "rear"),
        # Times to a goal count from there.
        pedal_s=driving.throttle_from_s if driving.in_gear else driving.pedal_from_s, goal_m_per_s=driving.goal_m_per_s,
        in_gear=driving.in_gear,
    )  # fmt: skip


def _wheel(own: Wheeled, trace: Array, first: int, name: str) -> WheelTrace:
    index = ("front", "rear").index(name)
    row = first - at.STATES
    own_channels = first + at.DRIVEN_AXLE + index * at.DRIVEN_AXLE_CHANNELS
    traction, shaft, brake, radius = (
        trace[:, own_channels + i]
        for i in (at.DRIVEN_TRACTION, at.DRIVEN_AXLE_TORQUE, at.DRIVEN_BRAKE_TORQUE, at.DRIVEN_ROLLING_RADIUS)
    )
    spin = trace[:, row + at.SPIN + index]
    joints = _joints(own, trace, first, name)
    return WheelTrace(
        spin_rad_per_s=spin, slip=_slip(trace[:, at.COORDINATES + at.X], radius * spin), traction_n=traction,
        shaft_torque_n_m=shaft, brake_torque_n_m=brake, housing_torque_n_m=PINION_UP[name] * (brake - shaft),
        shift_m=trace[:, at.SHIFT + index],
        joint_at_gearbox_rad=joints[0] if joints else None, joint_at_pinion_rad=joints[1] if joints else None,
    )  # fmt: skip


STILL_M_PER_S = 0.3
"""Speed [m/s] below which both of road and tread slip is their difference over this."""


def _slip(speed: Array, tread: Array) -> Array:
    # Of the faster of the two, so that it stays between -1, locked, and 1, spinning on the spot.
    return (tread - speed) / np.maximum(np.maximum(np.abs(speed), np.abs(tread)), STILL_M_PER_S)


def _joints(own: Wheeled, trace: Array, first: int, name: str) -> tuple[Array, Array] | None:
    """Return the joint angles of an axle's propshaft [rad], from the same places that the run used."""
    setup = own.setup
    part = dict(setup.vehicle.axles)[name]
    shaft = part.propshaft
    if shaft is None:
        return None
    index = ("front", "rear").index(name)
    path, axle = setup.paths[name], setup.axles[name]
    jounce = trace[:, at.JOUNCE + 2 * index]
    forward, turn = path.at(jounce)
    forward = forward + trace[:, at.SHIFT + index]
    turn = turn + trace[:, at.WIND_UP + 2 * index]  # guide and leaves turn the pinion alike
    ahead, above = shaft.pinion.ahead, shaft.pinion.above - axle.seat_above
    pinion_forward = forward + ahead * np.cos(turn) + above * np.sin(turn)
    pinion_up = axle.seat_up + jounce + above * np.cos(turn) - ahead * np.sin(turn)
    # A rear propshaft runs backward from the gearbox, a front one forward.
    towards = -1.0 if name == "rear" else 1.0
    along = towards * (pinion_forward - setup.place.forward(shaft.gearbox))
    drop = setup.place.up(shaft.gearbox) - pinion_up
    return shaft.angles(along, drop, PINION_UP[name] * turn)
