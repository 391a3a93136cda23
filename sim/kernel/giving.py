"""The equations of motion where both axles give along the truck and wind up: each axle is then a body of its own.

What body and axle do to each other is then known before any acceleration is: a force at the axle's centre and a moment on its
housing, from springs, dampers and bushes. So nothing has to be eliminated, and no division waits for another (docs/equations.md,
2, "Axles that give"). Written in body axes, forward and up. Any other truck takes `sim.kernel.equations`.
"""

from sim.kernel import layout as at
from sim.kernel.equations import wheel_force
from sim.kernel.geometry import turned
from sim.kernel.layout import AXLE_AT, BODY_AT, DRIVE_AT, FRONT, REAR
from sim.machine.jit import blocked

V = at.COORDINATES


@blocked
def all_give(m, lanes):
    """Return whether both axles of every lane give along the truck and wind up."""
    count = 0.0
    for lane in range(lanes):
        for axle in range(at.AXLES):
            a = (at.AXLE + axle * at.AXLE_ROWS) * lanes + lane
            count += m[a + AXLE_AT.shift_free * lanes] * m[a + AXLE_AT.wind_up_free * lanes]
    return count == 2.0 * lanes


@blocked
def giving_axle(m, axle, lanes, driven):
    """Work out what one axle and the body do to each other, and the accelerations of the axle's centre and housing: (2.9), (2.10)."""
    for lane in range(lanes):
        s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
        sin_pitch = m[at.SINE_PITCH * lanes + lane]
        cos_pitch = m[at.COSINE_PITCH * lanes + lane]
        along = m[s + at.FORCE_SHIFT * lanes]
        across = m[s + at.FORCE_JOUNCE * lanes] - m[s + at.PLACE_1 * lanes] * along
        on_housing = m[s + at.FORCE_WIND_UP * lanes]
        m[s + at.BODY_X * lanes] = along
        m[s + at.BODY_Z * lanes] = across
        m[s + at.BODY_T * lanes] = m[s + at.HEIGHT * lanes] * along - m[s + at.PLACE * lanes] * across + on_housing
        if driven:
            # A moment between wheels and housing turns the housing, however it is carried.
            on_housing += m[s + at.MOMENT * lanes]
        p_up, p_forward = turned(
            m[s + at.STATIC_FORWARD * lanes], m[s + at.STATIC_UP * lanes], m[s + at.SINE * lanes], m[s + at.COSINE * lanes]
        )  # fmt: skip
        p_up = -p_up
        forwards, upwards = wheel_force(m, s, lanes, driven)
        # The road pushes at the wheels' centre, the frame answers where the guide holds the housing (2.14).
        on_housing += m[s + at.HUB_Z * lanes] * forwards - m[s + at.HUB_X * lanes] * upwards
        spin = m[(V + at.PITCH) * lanes + lane] + m[s + at.TURNING * lanes]
        spin_square = spin * spin
        turn = m[s + at.BY_INERTIA * lanes] * on_housing
        force_forward = along + forwards * cos_pitch - upwards * sin_pitch - turn * p_forward - spin_square * p_up
        force_up = across + forwards * sin_pitch + upwards * cos_pitch - turn * p_up + spin_square * p_forward
        more = m[s + at.BY_TURN * lanes] * (p_forward * force_forward + p_up * force_up)
        by_mass = m[s + at.BY_MASS * lanes]
        forward = by_mass * (force_forward + more * p_forward)
        up = by_mass * (force_up + more * p_up)
        m[s + at.OWN_SHIFT * lanes] = forward
        m[s + at.OWN_JOUNCE * lanes] = up
        m[s + at.OWN_TURN * lanes] = turn - m[s + at.BY_INERTIA * lanes] * (p_forward * forward + p_up * up)


@blocked
def giving_relative(m, axle, lane, lanes, forward, up, pitch):
    """Write an axle's accelerations relative to the body, whose own are given in body axes, with gravity: (2.12)."""
    s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
    pitch_speed = m[(V + at.PITCH) * lanes + lane]
    jounce_speed = m[(V + at.JOUNCE + 2 * axle) * lanes + lane]
    place = m[s + at.PLACE * lanes]
    height = m[s + at.HEIGHT * lanes]
    place_1 = m[s + at.PLACE_1 * lanes]
    jounce_square = jounce_speed * jounce_speed
    sliding = place_1 * jounce_speed + m[(V + at.SHIFT + axle) * lanes + lane]
    jounce = m[s + at.OWN_JOUNCE * lanes] - up + place * pitch + pitch_speed * (2.0 * sliding + height * pitch_speed)
    shift = m[s + at.OWN_SHIFT * lanes] - forward - height * pitch
    shift -= pitch_speed * (2.0 * jounce_speed - place * pitch_speed)
    shift -= m[s + at.PLACE_2 * lanes] * jounce_square + place_1 * jounce
    m[(at.RATE + V + at.JOUNCE + 2 * axle) * lanes + lane] = jounce
    m[(at.RATE + V + at.SHIFT + axle) * lanes + lane] = shift
    wind_up = m[s + at.OWN_TURN * lanes] - pitch - m[s + at.TURN_1 * lanes] * jounce
    m[(at.RATE + V + at.WIND_UP + 2 * axle) * lanes + lane] = wind_up - m[s + at.TURN_2 * lanes] * jounce_square


@blocked
def giving_accelerations(m, lanes, rows, driven, push, ground_speed):
    """Solve the accelerations of every lane where both axles give; arguments as of `sim.kernel.equations.accelerations`."""
    giving_axle(m, FRONT, lanes, driven)
    giving_axle(m, REAR, lanes, driven)
    for lane in range(lanes):
        b = at.BODY * lanes + lane
        f = at.SCRATCH * lanes + lane
        r = (at.SCRATCH + at.SCRATCH_ROWS) * lanes + lane
        sin_pitch = m[at.SINE_PITCH * lanes + lane]
        cos_pitch = m[at.COSINE_PITCH * lanes + lane]
        along = m[f + at.BODY_X * lanes] + m[r + at.BODY_X * lanes]
        across = m[f + at.BODY_Z * lanes] + m[r + at.BODY_Z * lanes]
        push_ahead = m[b + BODY_AT.push_forward * lanes] * cos_pitch + m[b + BODY_AT.push_up * lanes] * sin_pitch
        by_mass = 1.0 / m[b + BODY_AT.mass * lanes]
        free = m[b + BODY_AT.free_to_roll * lanes]
        running = m[(V + at.X) * lanes + lane]
        kept = m[b + BODY_AT.keeper_gain * lanes] * running
        backwards = along * cos_pitch + across * sin_pitch
        forward = -free * by_mass * (backwards + kept)
        lifted = by_mass * (push + along * sin_pitch - across * cos_pitch)
        moment = m[f + at.BODY_T * lanes] + m[r + at.BODY_T * lanes] + push * push_ahead
        pitch = -moment / m[b + BODY_AT.pitch_inertia * lanes]
        if driven:
            forward += (1.0 - free) * m[(at.DRIVE + DRIVE_AT.gravity_backwards) * lanes + lane]
        if rows > at.MOTION:
            # What the row of x still misses is what an ideal driver gives; a keeper's is in it.
            held = m[b + BODY_AT.mass * lanes] * forward + backwards
            m[at.DRIVER * lanes + lane] = held
            m[(at.RATE + at.WORK_DRIVER) * lanes + lane] = held * (ground_speed + running)
            push_speed = m[(V + at.Z) * lanes + lane] - m[(V + at.PITCH) * lanes + lane] * push_ahead
            m[(at.RATE + at.WORK_PUSH) * lanes + lane] = push * push_speed
        body_forward = forward * cos_pitch - lifted * sin_pitch
        body_up = forward * sin_pitch + lifted * cos_pitch
        giving_relative(m, FRONT, lane, lanes, body_forward, body_up, pitch)
        giving_relative(m, REAR, lane, lanes, body_forward, body_up, pitch)
        d = (at.RATE + V) * lanes + lane
        m[d + at.X * lanes] = forward
        if driven:
            m[d + at.X * lanes] -= m[(at.DRIVE + DRIVE_AT.gravity_backwards) * lanes + lane]
        m[d + at.Z * lanes] = lifted - m[b + BODY_AT.gravity * lanes]
        m[d + at.PITCH * lanes] = pitch
