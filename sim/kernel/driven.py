"""The same equations for a truck that drives or brakes by its own wheels, one set-up at a time.

Where it is on the road is part of the state, so the road comes as a table of places, not of times.
Every step is by Runge-Kutta: locking wheels and brakes that let go leave little of what was before.
"""

from sim.kernel import layout as at
from sim.kernel.axle import axle_forces, constants, stop_forces, wheel_loads
from sim.kernel.equations import accelerations
from sim.kernel.giving import all_give, giving_accelerations
from sim.kernel.guides import guide, way_of
from sim.kernel.integrate import STEADY, all_lines, begin, is_lost, named, write_traces
from sim.kernel.layout import DRIVE_AT, DRIVEN_MOTION, FRONT, RATE, REAR, ROWS, SPIN, STATES, WHEELS_AT
from sim.kernel.road import road_ahead, road_cell, road_here
from sim.kernel.stepping import advance, advance_rows, sum_rows
from sim.kernel.wheels import centre_clutch, engine_torque, wheel_moments
from sim.machine.jit import DRIVEN, blocked, compiled


@blocked
def driven_stage(
    m, lines, lines_front, kinds, knots, first_group, memory, road, road_begin, by_spacing, throttle, front_brakes,
    rear_brakes, front_way, rear_way, giving, since, settled, keep, out, wrote, write,
):  # fmt: skip
    """Evaluate the equations once."""
    rows = STATES
    begin(m, 1, rows)
    for i in range(at.DRIVEN_MOTION, at.ROWS):
        m[at.RATE + i] = 0.0
    guide(m, FRONT, 1, front_way)
    guide(m, REAR, 1, rear_way)
    road_ahead(m, FRONT, road_begin[FRONT], by_spacing, 1)
    road_ahead(m, REAR, road_begin[REAR], by_spacing, 1)
    road_cell(m, road, FRONT, 0, 1, 1)
    road_cell(m, road, REAR, 0, 1, 1)
    road_here(m, FRONT, by_spacing, 0.0, 1)
    road_here(m, REAR, by_spacing, 0.0, 1)
    if axle_forces(m, FRONT, 1, rows):
        stop_forces(m, FRONT, 1, rows)
    if axle_forces(m, REAR, 1, rows):
        stop_forces(m, REAR, 1, rows)
    wheel_loads(m, FRONT, 1, rows)
    wheel_loads(m, REAR, 1, rows)
    engine_torque(m, throttle, 1, rows)
    centre_clutch(m, 1, rows)
    wheel_moments(m, front_brakes, FRONT, 1, rows)
    wheel_moments(m, rear_brakes, REAR, 1, rows)
    all_lines(
        m, lines, kinds, knots, first_group, memory, 0, lines_front, FRONT, 1, rows, since, settled, keep, out, wrote,
        write,
    )  # fmt: skip
    all_lines(
        m, lines, kinds, knots, first_group, memory, lines_front, kinds.size, REAR, 1, rows, since, settled, keep, out,
        wrote, write,
    )  # fmt: skip
    if giving:
        giving_accelerations(m, 1, rows, True, 0.0, 0.0)
    else:
        accelerations(m, 1, rows, True, True, 0.0, 0.0)


@blocked
def write_driven(m, out, wrote, first):
    """Write one output of a driven run: as any run's, and what only it has."""
    write_traces(m, out, wrote, 1)
    for i in range(at.STATES, at.ROWS):
        out[wrote, first + i - at.STATES] = m[i]
    for axle in range(at.AXLES):
        row = at.SCRATCH + axle * at.SCRATCH_ROWS
        channel = first + at.DRIVEN_AXLE + axle * at.DRIVEN_AXLE_CHANNELS
        out[wrote, channel + at.DRIVEN_TRACTION] = m[row + at.TRACTION]
        out[wrote, channel + at.DRIVEN_AXLE_TORQUE] = m[row + at.AXLE_TORQUE]
        out[wrote, channel + at.DRIVEN_BRAKE_TORQUE] = m[row + at.BRAKE_TORQUE]
        out[wrote, channel + at.DRIVEN_ROLLING_RADIUS] = m[row + at.ROLLING_RADIUS]
    torque = m[at.RATE + at.ENGINE] * m[at.DRIVE + DRIVE_AT.engine_inertia]
    for axle in range(at.AXLES):
        ratio = m[at.WHEELS + axle * at.WHEEL_ROWS + WHEELS_AT.ratio]
        row = at.SCRATCH + axle * at.SCRATCH_ROWS
        torque += m[row + at.AXLE_TORQUE] / ratio / m[at.DRIVE + DRIVE_AT.gears]
    out[wrote, first + at.DRIVEN_TORQUE] = torque


def _run(
    m, lines, lines_front, kinds, knots, first_group, road, road_begin, road_step, controls, step, steps, every, out,
    memory,
):  # fmt: skip
    """Run one set-up; return how many outputs are finite.

    road : (2, samples, ROAD_ROWS) under the front and the rear tyres, a sample every road_step [m]; road_begin : (2,) samples
    from its first one to where each axle's centre as measured is while the truck has not moved. controls : (3, 2 steps + 1) throttle as a share, moments of front and rear brakes [N m].
    The rest as in `sim.kernel.integrate`.
    """
    wrote = 0
    first = at.TRACE_LINES + kinds.size * at.LINE_CHANNELS
    front_way, rear_way = way_of(m, FRONT, 1), way_of(m, REAR, 1)
    giving = all_give(m, 1)
    constants(m, FRONT, 1)
    constants(m, REAR, 1)
    for i in range(at.ROWS):
        m[at.START + i] = m[at.POINT + i]
    for index in range(steps + 1):
        for stage in range(4):
            sample = 2 * index + (stage + 1) // 2
            since = step if stage == 0 or stage == 3 else 0.5 * step
            if index == 0 and stage == 0:
                since = STEADY
            settled = 1.0 if index == 0 and stage == 0 else 0.0
            write = stage == 0 and index % every == 0
            driven_stage(
                m, lines, lines_front, kinds, knots, first_group, memory, road, road_begin, 1.0 / road_step,
                controls[0, sample], controls[1, sample], controls[2, sample], front_way, rear_way, giving, since, settled,
                stage == 0, out, wrote, write,
            )  # fmt: skip
            if write:
                write_driven(m, out, wrote, first)
                if is_lost(m, at.ROWS):
                    return wrote
                wrote += 1
            if index == steps:
                return wrote
            advance(m, 1, STATES, stage, step)
            advance_rows(m, 1, SPIN, DRIVEN_MOTION, RATE, stage, step)
            sum_rows(m, 1, DRIVEN_MOTION, ROWS, stage, step)
    return wrote


run_driven = compiled(named(_run, DRIVEN))
