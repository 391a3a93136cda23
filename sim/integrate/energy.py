"""Energy that a set-up holds in one state: the other half of every run's balance.

Written from the parts' potentials, apart from the kernel, so that the balance checks the kernel's forces.
"""

from math import cos, sin, sqrt

import numpy as np
import numpy.typing as npt

from sim.describe.lowered import Lowered, NamedLine
from sim.integrate.given import Input
from sim.integrate.traces import Energy
from sim.kernel import layout as at

Array = npt.NDArray[np.float64]


def stored(
    setup: Lowered, state: Array, road: tuple[float, float], backwards: float = 0.0, ground_speed: float = 0.0
) -> float:
    """Return kinetic and potential energy [J] of a state (STATES,) with the road under both axles [m].

    backwards : gravity along a hill [m/s²]. ground_speed : of the frame in which the state counts [m/s].
    """
    body = setup.body
    if ground_speed:
        state = state.copy()
        state[at.COORDINATES + at.X] += ground_speed
    speed = state[at.COORDINATES : 2 * at.COORDINATES]
    total = 0.5 * body.mass * (speed[at.X] ** 2 + speed[at.Z] ** 2) + 0.5 * body.pitch_inertia * speed[at.PITCH] ** 2
    total += body.mass * body.gravity * state[at.Z]
    total += body.mass * backwards * state[at.X]  # x points uphill
    for index, name in enumerate(("front", "rear")):
        total += _axle(setup, name, index, state, road[index], backwards)
    return float(total)


def _axle(setup: Lowered, name: str, index: int, state: Array, road: float, backwards: float) -> float:
    axle, path, gravity = setup.axles[name], setup.paths[name], setup.body.gravity
    jounce, wind_up = state[at.JOUNCE + 2 * index], state[at.WIND_UP + 2 * index]
    jounce_speed, wind_up_speed = (
        state[at.COORDINATES + at.JOUNCE + 2 * index],
        state[at.COORDINATES + at.WIND_UP + 2 * index],
    )
    pitch, pitch_speed = state[at.PITCH], state[at.COORDINATES + at.PITCH]
    (place, turn), (place_1, turn_1) = path.at(float(jounce)), path.slopes(float(jounce))
    shift, shift_speed = state[at.SHIFT + index], state[at.COORDINATES + at.SHIFT + index]
    forward, up = place + shift, axle.seat_up + jounce
    rotation = turn + wind_up  # the guide's part and the elastic part, relative to the body
    rotation_speed = turn_1 * jounce_speed + wind_up_speed
    # Turned nose down: forward becomes down.
    gx = axle.gravity_forward * cos(rotation) + axle.gravity_up * sin(rotation)
    gz = axle.gravity_up * cos(rotation) - axle.gravity_forward * sin(rotation)
    # Velocity of the axle's centre of gravity: relative in body axes, then turned and carried.
    vx = place_1 * jounce_speed + gz * rotation_speed + (up + gz) * pitch_speed + shift_speed
    vz = jounce_speed - gx * rotation_speed - (forward + gx) * pitch_speed
    world_x = state[at.COORDINATES + at.X] + vx * cos(pitch) + vz * sin(pitch)
    world_z = state[at.COORDINATES + at.Z] - vx * sin(pitch) + vz * cos(pitch)
    total = 0.5 * axle.mass * (world_x**2 + world_z**2) + 0.5 * axle.pitch_inertia * (rotation_speed + pitch_speed) ** 2
    seat = state[at.Z] - forward * sin(pitch) + up * cos(pitch)
    centre = seat - axle.seat_above * cos(rotation + pitch)
    total += axle.mass * gravity * (seat - gx * sin(pitch) + gz * cos(pitch))
    total += axle.mass * backwards * (state[at.X] + (forward + gx) * cos(pitch) + (up + gz) * sin(pitch))
    give = max(road + axle.tyre_radius - centre, 0.0)
    # The integral of k d + k' d².
    total += 0.5 * axle.tyre_rate * give**2 + axle.tyre_rate_rise * give**3 / 3.0
    # Springs push the axle down: lifting it stores energy.
    total += axle.leaf_preload * jounce + 0.5 * axle.leaf_rate * jounce**2
    total += 0.5 * axle.wind_up_rate * wind_up**2 - axle.wind_up_preload * wind_up
    total += axle.leaf_coupling * jounce * wind_up
    total += 0.5 * axle.shift_rate * shift**2 - axle.shift_preload * shift
    # A stop ahead of or behind the centre meets the frame sooner or later as the housing turns.
    stop_up = axle.stop_up * cos(rotation) - axle.stop_forward * sin(rotation)
    squeeze = max(jounce + stop_up - axle.stop_up - axle.stop_gap, 0.0)
    total += 0.5 * axle.stop_rate * squeeze**2 + 0.25 * axle.stop_cubic * squeeze**4
    for line in setup.lines:
        if line.axle == name:
            total += line.line.number * _line(line, forward, up, rotation)
    return float(total)


def _line(named: NamedLine, forward: float, up: float, rotation: float) -> float:
    line = named.line
    dx = forward + line.axle_forward * cos(rotation) + line.axle_up * sin(rotation) - line.body_forward
    dz = up + line.axle_up * cos(rotation) - line.axle_forward * sin(rotation) - line.body_up
    length = sqrt(dx * dx + dz * dz + line.sideways**2)
    pressed = line.length_free - length
    if line.rate > 0.0 and line.force_least < 0.0:  # held both ways, as a link is; a coil comes loose
        spring = 0.5 * line.rate * pressed**2
    else:
        spring = 0.5 * line.rate * max(pressed, 0.0) ** 2
    # Gas pushes F + k (L0 - L): its potential by length.
    gas = -line.force_constant * length + 0.5 * line.force_rate * (line.force_length - length) ** 2
    ends = max(line.length_collapsed - length, 0.0) ** 2 + max(length - line.length_extended, 0.0) ** 2
    return spring + gas + 0.5 * line.end_rate * ends


def road_at(trace: Array, output: int) -> tuple[float, float]:
    """Return the heights of the road under both axles at one output of a trace [m]."""
    return float(trace[output, at.TRACE_ROAD]), float(trace[output, at.TRACE_ROAD + 1])


def balance(setup: Lowered, trace: Array, given: Input) -> Energy:
    """Balance the energy of a run: work in = stored + dissipated, and what is left over.

    Over a road that pushes back it is seen from the ground: the road stands still and does no work, what holds the speed does.
    A road that moves up and down under the wheels does work itself.
    """
    first, last = trace[0, : at.STATES], trace[-1, : at.STATES]
    speed = given.speed_m_per_s
    change = stored(setup, last, road_at(trace, -1), ground_speed=speed)
    change -= stored(setup, first, road_at(trace, 0), ground_speed=speed)
    bushes = bush_energy(setup, trace)
    dissipated = {
        "tyres": float(last[at.LOSS_TYRES]),
        "dampers": float(last[at.LOSS_DAMPERS]) - bushes,
        "stops and ends": float(last[at.LOSS_CONTACTS]),
        "leaf friction": float(last[at.LOSS_FRICTION]),
        "wind-up": float(last[at.LOSS_WIND_UP]),
        "bushes along the truck": float(last[at.LOSS_SHIFT]),
    }
    work = float(last[at.WORK_PUSH] + last[at.WORK_DRIVER if speed > 0.0 else at.WORK_ROAD])
    # The dampers' work was counted with their bushes: what those still hold is stored, not lost.
    change += bushes
    up, pitching = trace[:, at.COORDINATES + at.Z], trace[:, at.COORDINATES + at.PITCH]
    # Without it a run that loses next to nothing would divide its error by next to nothing.
    swing = float(np.max(0.5 * setup.body.mass * up**2 + 0.5 * setup.body.pitch_inertia * pitching**2))
    return Energy(work, change, dissipated, work - change - sum(dissipated.values()), swing)


def bush_energy(setup: Lowered, trace: Array) -> float:
    """Return by how much the energy that end bushes hold has grown from the first output of a trace to the last [J]."""
    total = 0.0
    for number, named_line in enumerate(setup.lines):
        # A bush in series carries the law's force: f² / 2k.
        forces = trace[[0, -1], at.TRACE_LINES + number * at.LINE_CHANNELS + at.LINE_LAW]
        total += 0.5 * named_line.line.number * named_line.line.bush_give * float(forces[1] ** 2 - forces[0] ** 2)
    return total
