"""Runs in which the truck drives or brakes by its own wheels: lower them, stand on the brakes, integrate."""

from dataclasses import dataclass, replace
from math import cos, sin
from typing import Any

import numpy as np
import numpy.typing as npt

from sim.describe.lowered import Lowered
from sim.describe.parts.axle import Axle
from sim.describe.parts.driveline import Driveline
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs.plan import Driving, Plan
from sim.errors import RunError
from sim.kernel import layout as at
from sim.kernel.driven import run_driven
from sim.lower.packed import Packed, pack
from sim.lower.rest import Rest, newton
from sim.lower.road.contact import contact_profile
from sim.lower.road.samples import BEFORE, cubics
from sim.lower.still import free_coordinates
from sim.machine.jit import bound

Array = npt.NDArray[np.float64]

ROAD_STEP_M = 0.005
"""Distance of the places between which the kernel joins heights and slopes of the road by cubics."""

BEFORE_M = 1.0
"""Level ground before a course at which its table begins [m]."""

STATE = np.r_[0 : at.MOTION, at.SPIN : at.DRIVEN_MOTION]
"""Rows of a driven run's state that are motion, not energies."""


@dataclass(frozen=True)
class Wheeled:
    """One set-up with what it drives and brakes with, in plain SI."""

    setup: Lowered
    wheels: dict[str, at.Wheels]
    drive: at.Drive
    engine: tuple[tuple[float, float], ...]  # start [rad/s], change of slope [N m s/rad]
    brakes: tuple[float, float]  # [N m] of front and rear at full pedal
    driving: Driving

    def pack(self) -> Packed:
        """Return the kernel's arrays for one lane."""
        packed = pack([self.setup], 1)
        memory = packed.memory
        for index, name in enumerate(("front", "rear")):
            start = at.WHEELS + index * at.WHEEL_ROWS
            memory[start : start + at.WHEEL_ROWS] = self.wheels[name]
        memory[at.DRIVE : at.ENGINE_STARTS] = self.drive
        for index, (start_speed, change) in enumerate(self.engine):
            memory[at.ENGINE_STARTS + index] = start_speed
            memory[at.ENGINE_SLOPES + index] = change
        return packed


def wheeled(setup: Lowered, driving: Driving) -> Wheeled:
    """Lower what a set-up drives and brakes with.

    Raises
    ------
    RunError
        If the vehicle's file leaves out what this run needs, or no slip curve fits the surface.
    """
    vehicle = setup.vehicle
    gravity = setup.body.gravity
    # Axes lie along the hill: gravity is part across it and part back along it (docs/equations.md, "Driving").
    body = setup.body._replace(gravity=gravity * cos(driving.climb_rad), free_to_roll=0.0 if driving.pulling else 1.0)
    wheels = {name: _wheels(name, axle, vehicle, driving) for name, axle in vehicle.axles}
    line = vehicle.driveline
    engine: tuple[tuple[float, float], ...] = ()
    backwards = gravity * sin(driving.climb_rad)
    if line is None:
        # No engine turns it: 1 only so that nothing is divided by zero.
        drive = at.Drive(engine_inertia=1.0, gears=1.0, idle=1.0, torque_idle=0.0, gravity_backwards=backwards)
    else:
        curve = line.engine.lower()
        drive = at.Drive(
            engine_inertia=line.engine.inertia, gears=line.gears, idle=line.engine.idle, torque_idle=curve.torque_idle,
            gravity_backwards=backwards, drag=line.engine.drag_at(0.0), drag_rise=line.engine.drag_rise,
            **_centre(line, driving),
        )  # fmt: skip
        engine = curve.ramps
    # An axle without brakes rolls: no moment, and any give will do for it.
    brakes = tuple(axle.brakes.torque if axle.brakes else 0.0 for _, axle in vehicle.axles)
    if not driving.in_gear and not any(brakes):
        raise RunError("A run that brakes needs brakes: give front.brakes and rear.brakes their torque.")
    return Wheeled(replace(setup, body=body), wheels, drive, engine, (brakes[0], brakes[1]), driving)


CENTRE_GIVE_RAD = 0.05
"""Turn by which a centre's clutch gives before it slips, as its plates' splines and teeth do (an estimate)."""

CENTRE_DAMPING = 0.2
"""Damping of that give, as a share of what keeps the propshafts from swinging on it at all (an estimate)."""


def _centre(line: Driveline, driving: Driving) -> dict[str, float]:
    """Return what is between the propshafts, as fields of `layout.Drive`."""
    if line.centre == "locked" or not driving.in_gear:
        return {}
    limit = line.centre_torque or 0.0
    rate, inertia = limit / CENTRE_GIVE_RAD, 2.0 * line.propshaft_inertia
    # They turn against one another at twice the speed that is counted from their mean: 4 k over the inertia of both.
    damping = CENTRE_DAMPING * 2.0 * (0.25 * inertia * rate) ** 0.5 if limit else 1.0
    return {
        "centre_free": 1.0, "centre_inertia": inertia, "centre_limit": limit, "centre_rate": rate, "centre_damping": damping,
    }  # fmt: skip


def _wheels(name: str, axle: Axle, vehicle: Vehicle, driving: Driving) -> at.Wheels:
    tyre, line = axle.tyre, vehicle.driveline
    if tyre.slip is None or tyre.spin_inertia is None:
        raise RunError(
            f"{name} tyre: a run that drives or brakes needs its spin_inertia and its slip, e.g. "
            "spin_inertia: 1.9 kg m^2, slip: {stiffness: 16}"
        )
    driven = driving.in_gear and line is not None and line.drives(name)
    if driven and axle.shafts is None:
        raise RunError(
            f"{name} axle: it is driven, so its shafts are needed: shafts: {{final_drive: 4.3, rate: 9 kN m/rad}}"
        )
    try:
        # The kernel knows an axle, not its wheels: coefficients are for the load of all its tyres.
        curve = tyre.slip.curve(driving.surface).of_tyres(tyre.count)
    except ValueError as error:
        raise RunError(f"{name} tyre on {driving.surface.name}: {error}") from error
    shafts = axle.shafts
    spin_inertia = tyre.count * tyre.spin_inertia
    return at.Wheels(
        spin_inertia=spin_inertia, rolling_share=tyre.rolling_share, **curve._asdict(),
        relaxation_length=tyre.slip.relaxation_length, carcass_time=tyre.slip.carcass_time,
        # Nothing is divided by zero where there are no brakes.
        brake_rate=axle.brakes.rate if axle.brakes else 0.0,
        brake_damping=axle.brakes.damping_of(spin_inertia) if axle.brakes else 1.0,
        ratio=shafts.final_drive if shafts else 1.0,
        # An axle that is not driven has no shaft that twists.
        shaft_rate=shafts.rate if driven and shafts else 0.0, shaft_damping=shafts.damping if driven and shafts else 0.0,
        load_delayed=1.0 if tyre.slip.relaxation == "after_length" else 0.0,
    )  # fmt: skip


@dataclass(frozen=True)
class Table:
    """The road as both axles' tyres feel it, at even places along the truck's way."""

    road: Array  # (2, samples, ROAD_ROWS), a sample every ROAD_STEP_M
    begin: Array  # (2,) samples from the first one to where each axle's centre as measured is at the start


def road_table(setup: Lowered, plan: Plan) -> Table:
    """Return the road of a plan; its course begins `lead_m` ahead of the front axle's first place."""
    if plan.course is None:
        return Table(np.zeros((2, 2, at.ROAD_ROWS)), np.zeros(2))  # past its ends the kernel reads the end
    vehicle = setup.vehicle
    begin = [
        BEFORE + (BEFORE_M - plan.lead_m - vehicle.axle_behind_front_m(name)) / ROAD_STEP_M for name, _ in vehicle.axles
    ]
    tables = []
    longest = plan.course.length_m + 2.0
    places: Array = np.arange(-BEFORE_M, longest, ROAD_STEP_M)
    for _, axle in vehicle.axles:
        profile = contact_profile(plan.course, axle.tyre.radius, axle.tyre.contact_length_driven)
        slopes = profile.rate(places, 1.0)  # at 1 m/s the rate of rise is the slope
        slopes[[0, -1]] = 0.0  # past its ends the kernel reads the end: level there
        tables.append(cubics(profile.height(places), slopes * ROAD_STEP_M))
    return Table(np.stack(tables), np.array(begin))


class DrivenEquations:
    """The right-hand side of one set-up that drives or brakes."""

    def __init__(self, wheeled_setup: Wheeled, table: Table) -> None:
        self.packed = wheeled_setup.pack()
        self._controls = np.zeros((3, 1))
        lines = self.packed.lines.shape[0]
        self.out = np.empty((1, channels(lines)))
        p = self.packed
        # A run of no steps evaluates accelerations. Standing asks for some hundreds of them, of the same arrays each time.
        self._evaluated = bound(
            run_driven, p.memory, p.lines, p.lines_front, p.kinds, p.knots, p.first_group, table.road, table.begin,
            ROAD_STEP_M, self._controls, 1.0, 0, 1, self.out, p.bush_memory(),
        )  # fmt: skip

    def derivative(self, state: Array, throttle: float = 0.0, brakes: tuple[float, float] = (0.0, 0.0)) -> Array:
        """Return the time derivative of a state (ROWS,); brakes [N m] front and rear. Energies' rates too."""
        p = self.packed
        p.memory[: at.ROWS] = state
        self._controls[:, 0] = throttle, *brakes
        self._evaluated()
        # Rates of places are the speeds themselves, which only a step would write.
        p.memory[at.RATE : at.RATE + at.COORDINATES] = state[at.COORDINATES : 2 * at.COORDINATES]
        return p.memory[at.RATE : at.RATE + at.ROWS].copy()

    def scratch(self, axle: int, row: int) -> float:
        """Return one of an axle's rows of the state last evaluated, e.g. `layout.LOAD`."""
        return float(self.packed.memory[at.SCRATCH + axle * at.SCRATCH_ROWS + row])


def channels(lines: int) -> int:
    """Return how many channels a driven run writes."""
    return at.TRACE_LINES + lines * at.LINE_CHANNELS + at.DRIVEN_CHANNELS


def start_of(wheeled_setup: Wheeled, standing: Rest, table: Table) -> Array:
    """Return the state (ROWS,) from which a driven run begins: held by its brakes, or rolling.

    Newton's method on all accelerations from where the set-up stands on the level. Held, both axles have locked wheels on treads
    that have given equally, and their brakes have given by what the road then asks of them.

    Raises
    ------
    RunError
        If it cannot stand there: too steep for the surface or for the brakes.
    """
    equations = DrivenEquations(wheeled_setup, table)
    driving = wheeled_setup.driving
    state = np.zeros(at.ROWS)
    state[: at.STATES] = standing.state
    rows = free_coordinates(wheeled_setup.setup)
    rates = [at.COORDINATES + row for row in rows]
    # On level ground it stands without brakes; then their share is not determined, and stays zero.
    held = driving.held and driving.climb_rad != 0.0
    brakes = wheeled_setup.brakes if driving.held else (0.0, 0.0)
    delayed = any(wheels.load_delayed for wheels in wheeled_setup.wheels.values())
    slip_column = len(rows)
    if held:
        if not any(brakes):
            raise RunError("On a hill the truck must stand on its brakes first: give front.brakes and rear.brakes.")
        # Unknown: one slip of all braked treads, each brake's give. Wanted: rest along the hill and of these wheels.
        braked = [index for index in (at.FRONT, at.REAR) if brakes[index] > 0.0]
        rates += [at.COORDINATES + at.X, *(at.SPIN + index for index in braked)]
        rows += [at.SLIP + braked[0], *(at.BRAKE + index for index in braked)]

    def residual(values: Array) -> Array:
        state[rows] = values
        if held:
            state[at.SLIP : at.SLIP + 2] = [values[slip_column] if b > 0.0 else 0.0 for b in brakes]
        derivative = equations.derivative(state, 0.0, brakes)
        loads = [equations.scratch(index, at.LOAD) for index in (at.FRONT, at.REAR)]
        if delayed and not np.array_equal(loads, state[at.FELT : at.FELT + 2]):  # it has stood long on its treads
            state[at.FELT : at.FELT + 2] = loads
            derivative = equations.derivative(state, 0.0, brakes)
        return derivative[rates]

    (values,), (settled,) = newton(lambda places: np.array([[residual(one) for one in places[0]]]), state[rows][None])
    asked = [
        wheeled_setup.wheels[name].brake_rate * abs(state[at.BRAKE + i]) for i, name in enumerate(("front", "rear"))
    ]
    # A brake that would need all of its moment to hold slips.
    if not settled or (held and any(need >= brake > 0.0 for need, brake in zip(asked, brakes, strict=True))):
        raise RunError(
            f"The truck does not stand on a slope of {np.degrees(driving.climb_rad):.1f} deg of {driving.surface.name} with "
            "these brakes: it is too steep for them or for the friction."
        )
    residual(values)
    if driving.speed_m_per_s:
        state[at.COORDINATES + at.X] = driving.speed_m_per_s
        for index in (at.FRONT, at.REAR):
            state[at.SPIN + index] = driving.speed_m_per_s / equations.scratch(index, at.ROLLING_RADIUS)
        turning = [
            wheels.ratio * state[at.SPIN + index]
            for index, wheels in enumerate(wheeled_setup.wheels[name] for name in ("front", "rear"))
            if wheels.shaft_rate
        ]
        if (
            turning
        ):  # in gear: as fast as its propshafts' mean, and locked ones twist by what wheels of two sizes differ
            state[at.ENGINE] = np.mean(turning) * wheeled_setup.drive.gears
            if wheeled_setup.drive.centre_free:
                state[at.CENTRE] = 0.5 * (turning[0] - turning[1])
    return state


def driven_trace(
    wheeled_setup: Wheeled, table: Table, start: Array, duration_s: float, step_s: float, cut: int
) -> Array:
    """Run the kernel; return its trace (outputs, channels), shorter if it blew up."""
    given = driven_arguments(wheeled_setup, table, start, duration_s, step_s, cut)
    wrote, trace = run_driven(*given), given[TRACE]
    return trace[:wrote]  # type: ignore[no-any-return]


TRACE = 13
"""Which of `driven_arguments` is written to."""


def driven_arguments(
    wheeled_setup: Wheeled, table: Table, start: Array, duration_s: float, step_s: float, cut: int
) -> tuple[Any, ...]:
    """Return what `run_driven` is given for one set-up that begins in a state (ROWS,), its trace to be written among it."""
    packed = wheeled_setup.pack()
    packed.memory[: at.ROWS] = start
    steps = round(np.ceil(duration_s / step_s - 1e-9)) * cut  # a duration of whole steps must not gain one by rounding
    step = step_s / cut
    # Runge-Kutta asks for throttle and brakes in the middle of each step too.
    time: Array = np.arange(2 * steps + 1, dtype=np.float64) * (0.5 * step)
    controls = wheeled_setup.driving.controls(time, wheeled_setup.brakes)
    trace = np.empty((steps // cut + 1, channels(packed.lines.shape[0])))
    return (
        packed.memory, packed.lines, packed.lines_front, packed.kinds, packed.knots, packed.first_group, table.road,
        table.begin, ROAD_STEP_M, np.ascontiguousarray(controls), step, steps, cut, trace, packed.bush_memory(),
    )  # fmt: skip


__all__ = [
    "DrivenEquations",
    "Table",
    "Wheeled",
    "driven_arguments",
    "driven_trace",
    "road_table",
    "start_of",
    "wheeled",
]
