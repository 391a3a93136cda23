"""Forces of one axle's own parts, of every lane: wind-up, leaf pack, tyres and bump stop.

A generalised force on jounce is that while the housing does not turn in space, so that a housing's moment is none.
"""

from sim.kernel import layout as at
from sim.kernel.forces import contact, friction_rate, tyre
from sim.kernel.geometry import turned
from sim.kernel.layout import AXLE_AT
from sim.machine.jit import blocked


@blocked
def constants(m, axle, lanes):
    """Work out what of an axle's inertia stays as it is."""
    for lane in range(lanes):
        a = (at.AXLE + axle * at.AXLE_ROWS) * lanes + lane
        s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
        mass = m[a + AXLE_AT.mass * lanes]
        forward = m[a + AXLE_AT.gravity_forward * lanes]
        up = m[a + AXLE_AT.gravity_up * lanes]
        own = m[a + AXLE_AT.pitch_inertia * lanes]
        inertia = own + mass * (forward * forward + up * up)
        free = m[a + AXLE_AT.wind_up_free * lanes]
        m[s + at.STATIC_FORWARD * lanes] = mass * forward
        m[s + at.STATIC_UP * lanes] = mass * up
        m[s + at.INERTIA * lanes] = inertia
        m[s + at.BY_INERTIA * lanes] = free / inertia
        m[s + at.BY_MASS * lanes] = 1.0 / mass
        m[s + at.BY_TURN * lanes] = free / (mass * own)


@blocked
def spring_forces(m, a, axle, lane, lanes):
    """Return the guide's moment on the housing, what of it is damping, and the leaf pack's support at its seat.

    "Wind-up" and "Leaf pack" in docs/equations.md, 3; coupled where the halves of a pack differ ("Leaves under torque", 6).
    """
    jounce = m[(at.JOUNCE + 2 * axle) * lanes + lane]
    wind_up = m[(at.WIND_UP + 2 * axle) * lanes + lane]
    damping_moment = m[a + AXLE_AT.wind_up_damping * lanes] * m[(at.COORDINATES + at.WIND_UP + 2 * axle) * lanes + lane]
    coupling = m[a + AXLE_AT.leaf_coupling * lanes]
    moment = m[a + AXLE_AT.wind_up_preload * lanes] - m[a + AXLE_AT.wind_up_rate * lanes] * wind_up - damping_moment
    moment -= coupling * jounce
    support = (
        m[a + AXLE_AT.leaf_preload * lanes]
        + m[a + AXLE_AT.leaf_rate * lanes] * jounce
        + m[(at.FRICTION + axle) * lanes + lane]
        + coupling * wind_up
    )
    return moment, damping_moment, support


@blocked
def stop_squeeze(m, a, s, axle, lane, lanes):
    """Return how far the bump stop is pressed in, below zero while it is free, and how far ahead of the centre it is met."""
    stop_up = m[a + AXLE_AT.stop_up * lanes]
    forward, up = turned(m[a + AXLE_AT.stop_forward * lanes], stop_up, m[s + at.SINE * lanes], m[s + at.COSINE * lanes])
    return m[(at.JOUNCE + 2 * axle) * lanes + lane] + up - stop_up - m[a + AXLE_AT.stop_gap * lanes], forward


@blocked
def give_forces(m, a, axle, lane, lanes):
    """Return the force along the truck of an axle's eyes and bushes, and what of it is damping."""
    damping = m[a + AXLE_AT.shift_damping * lanes] * m[(at.COORDINATES + at.SHIFT + axle) * lanes + lane]
    elastic = m[a + AXLE_AT.shift_rate * lanes] * m[(at.SHIFT + axle) * lanes + lane]
    return m[a + AXLE_AT.shift_preload * lanes] - elastic - damping, damping


@blocked
def tyre_load(m, a, s, axle, lane, lanes):
    """Return the tyres' load and its elastic part, and how fast they are pressed in.

    "Tyre" in docs/equations.md, 3, at the axle's centre, whose speed is that of (2.1) and (2.13). The road where the wheels are stands in
    rows of its own (`sim.kernel.road`), since each lane is somewhere else on it.
    """
    jounce_speed = m[(at.COORDINATES + at.JOUNCE + 2 * axle) * lanes + lane]
    pitch_speed = m[(at.COORDINATES + at.PITCH) * lanes + lane]
    shift_speed = m[(at.COORDINATES + at.SHIFT + axle) * lanes + lane]
    spin = pitch_speed + m[s + at.TURNING * lanes]
    centre = m[at.Z * lanes + lane] + m[s + at.ABOVE * lanes] + m[s + at.HUB_Z * lanes]
    centre_speed = (
        m[(at.COORDINATES + at.Z) * lanes + lane]
        + m[s + at.RISE_Z * lanes] * jounce_speed
        - m[s + at.AHEAD * lanes] * pitch_speed
        - shift_speed * m[at.SINE_PITCH * lanes + lane]
        - m[s + at.HUB_X * lanes] * spin
    )
    centre_forwards = (
        m[(at.COORDINATES + at.X) * lanes + lane]
        + m[s + at.RISE_X * lanes] * jounce_speed
        + m[s + at.ABOVE * lanes] * pitch_speed
        + shift_speed * m[at.COSINE_PITCH * lanes + lane]
        + m[s + at.HUB_Z * lanes] * spin
    )
    ground_rate = m[s + at.ROAD_RATE * lanes] + m[s + at.ROAD_SLOPE * lanes] * centre_forwards
    pressed_speed = ground_rate - centre_speed
    load, elastic = tyre(
        m[s + at.ROAD * lanes] + m[a + AXLE_AT.tyre_radius * lanes] - centre, pressed_speed,
        m[a + AXLE_AT.tyre_rate * lanes], m[a + AXLE_AT.tyre_rate_rise * lanes], m[a + AXLE_AT.tyre_damping * lanes],
    )  # fmt: skip
    return load, elastic, pressed_speed


@blocked
def axle_forces(m, axle, lanes, rows):
    """Sum the forces of wind-up, give along the truck, leaf pack and tyres of one axle, and their losses.

    Returns whether the bump stop touches in any lane: seldom, and if in none its force is left out.
    """
    touching = False
    for lane in range(lanes):
        a = (at.AXLE + axle * at.AXLE_ROWS) * lanes + lane
        s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
        jounce_speed = m[(at.COORDINATES + at.JOUNCE + 2 * axle) * lanes + lane]
        friction = m[(at.FRICTION + axle) * lanes + lane]
        moment, damping_moment, support = spring_forces(m, a, axle, lane, lanes)
        squeeze, _ = stop_squeeze(m, a, s, axle, lane, lanes)
        touching |= squeeze > 0.0
        along, shift_damping = give_forces(m, a, axle, lane, lanes)
        m[s + at.FORCE_JOUNCE * lanes] = -support - m[s + at.TURN_1 * lanes] * moment
        m[s + at.FORCE_WIND_UP * lanes] = moment
        m[s + at.FORCE_SHIFT * lanes] = along
        m[s + at.STOP * lanes] = 0.0
        m[(at.RATE + at.FRICTION + axle) * lanes + lane] = friction_rate(
            jounce_speed, friction, m[a + AXLE_AT.friction * lanes], m[a + AXLE_AT.friction_build_up * lanes]
        )
        if rows > at.MOTION:
            energy = at.RATE * lanes + lane
            m[energy + at.LOSS_FRICTION * lanes] += friction * jounce_speed
            wind_up_speed = m[(at.COORDINATES + at.WIND_UP + 2 * axle) * lanes + lane]
            m[energy + at.LOSS_WIND_UP * lanes] += damping_moment * wind_up_speed
            m[energy + at.LOSS_SHIFT * lanes] += shift_damping * m[(at.COORDINATES + at.SHIFT + axle) * lanes + lane]
    return touching


@blocked
def wheel_loads(m, axle, lanes, rows):
    """Work out the load of one axle's tyres, and their losses; the road where they are is known."""
    for lane in range(lanes):
        a = (at.AXLE + axle * at.AXLE_ROWS) * lanes + lane
        s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
        load, tyre_elastic, pressed_speed = tyre_load(m, a, s, axle, lane, lanes)
        m[s + at.LOAD * lanes] = load
        if rows > at.MOTION:
            energy = at.RATE * lanes + lane
            # In the frame that moves at the run's speed it is the road that moves; none is left where that frame stands still.
            m[energy + at.WORK_ROAD * lanes] += load * m[s + at.ROAD_RATE * lanes]
            m[energy + at.LOSS_TYRES * lanes] += (load - tyre_elastic) * pressed_speed


@blocked
def stop_forces(m, axle, lanes, rows):
    """Add the bump stop's force ("Stop" in docs/equations.md, 3): it meets a point of the axle and acts along body z."""
    for lane in range(lanes):
        a = (at.AXLE + axle * at.AXLE_ROWS) * lanes + lane
        s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
        squeeze, forward = stop_squeeze(m, a, s, axle, lane, lanes)
        squeeze_speed = m[(at.COORDINATES + at.JOUNCE + 2 * axle) * lanes + lane] - forward * m[s + at.TURNING * lanes]
        stop, elastic = contact(
            squeeze,
            squeeze_speed,
            m[a + AXLE_AT.stop_rate * lanes],
            m[a + AXLE_AT.stop_cubic * lanes],
            m[a + AXLE_AT.stop_loss * lanes],
        )
        m[s + at.FORCE_JOUNCE * lanes] -= stop
        m[s + at.FORCE_WIND_UP * lanes] += stop * forward
        m[s + at.STOP * lanes] = stop
        if rows > at.MOTION:
            m[(at.RATE + at.LOSS_CONTACTS) * lanes + lane] += (stop - elastic) * squeeze_speed
