"""The equations of motion of every lane of a block (docs/equations.md gives each by number).

Written in world axes from the body's centre of gravity. Gravity enters as an upward acceleration of the whole frame, so
weights need no terms of their own; springs, stops, dampers and straps act between body and axle only and so appear in
jounce and wind-up alone; tyre load and pushes are the only forces that the body coordinates see. What only some trucks
or runs need (`general`: the truck rolls freely, or a guide holds its housing; `driven`) is left out for all others.
"""

from math import sqrt

from sim.kernel import layout as at
from sim.kernel.axle import A_MASS, A_WIND_FREE
from sim.kernel.geometry import turned
from sim.kernel.layout import FRONT, REAR
from sim.machine.jit import blocked

V = at.COORDINATES
W_SHIFT_FREE = at.Wheels._fields.index("shift_free")
D_BACKWARDS = at.Drive._fields.index("gravity_backwards")
B_MASS, B_INERTIA, B_GRAVITY, B_FREE, B_PUSH_FORWARD, B_PUSH_UP = range(len(at.Body._fields))


@blocked
def is_general(m, lanes):
    """Return in how many lanes the truck is free to roll or a guide holds its housing."""
    count = 0.0
    for lane in range(lanes):
        count += m[(at.BODY + B_FREE) * lanes + lane] + 2.0
        for axle in range(at.AXLES):
            count -= m[(at.AXLE + axle * at.AXLE_ROWS + A_WIND_FREE) * lanes + lane]
    return count


@blocked
def wheel_force(m, s, lanes, driven):
    """Return what the road does to an axle's wheels, forwards and upwards in the world; s is the axle's scratch.

    A load on a slope of the road pushes back as well as up, and traction acts along the slope.
    """
    load = m[s + at.LOAD * lanes]
    forwards, upwards = 0.0, load
    if driven:
        slope = m[s + at.ROAD_SLOPE * lanes]
        along = m[s + at.TRACTION * lanes] / sqrt(1.0 + slope * slope)
        forwards = along - load * slope
        upwards = load + along * slope
    return forwards, upwards


@blocked
def axle_block(m, axle, lanes, general, driven):
    """Reduce one axle to what the body feels of it, and what its own accelerations need.

    With A the acceleration of the axle's centre but for its bias, the housing turns at own - P·A / inertia and needs a
    force E A + f at the centre; jounce is eliminated from that, and before it the give along the truck of a driven axle.
    """
    for lane in range(lanes):
        sin_pitch = m[at.SINE_PITCH * lanes + lane]
        cos_pitch = m[at.COSINE_PITCH * lanes + lane]
        pitch_speed = m[(V + at.PITCH) * lanes + lane]
        s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
        mass = m[(at.AXLE + axle * at.AXLE_ROWS + A_MASS) * lanes + lane]
        jounce_speed = m[(V + at.JOUNCE + 2 * axle) * lanes + lane]
        x = m[s + at.AHEAD * lanes]
        z = m[s + at.ABOVE * lanes]
        rise_x = m[s + at.RISE_X * lanes]
        rise_z = m[s + at.RISE_Z * lanes]
        # Its static moment, turned by the housing's rotation in space; P is by how much a turn of the housing changes momentum.
        sine = m[s + at.SINE * lanes]
        cosine = m[s + at.COSINE * lanes]
        p_z, p_x = turned(
            m[s + at.STATIC_FORWARD * lanes], m[s + at.STATIC_UP * lanes],
            sine * cos_pitch + cosine * sin_pitch, cosine * cos_pitch - sine * sin_pitch,
        )  # fmt: skip
        p_z = -p_z
        by_inertia = m[s + at.BY_INERTIA * lanes]
        q_x = by_inertia * p_x
        q_z = by_inertia * p_z
        # What the centre accelerates by speeds alone, and the housing of a guide that holds it.
        speed_square = jounce_speed * jounce_speed
        across = 2.0 * pitch_speed * jounce_speed
        inwards = pitch_speed * pitch_speed
        bend = m[s + at.PLACE_2 * lanes] * speed_square
        b_x = across * rise_z - inwards * x + bend * cos_pitch
        b_z = -across * rise_x - inwards * z - bend * sin_pitch
        wind_up = m[s + at.FORCE_WIND_UP * lanes]
        on_housing = wind_up
        if driven:
            # A moment between wheels and housing turns the housing, however it is carried.
            on_housing += m[s + at.MOMENT * lanes]
            sliding = 2.0 * pitch_speed * m[(at.SHIFT_SPEED + axle) * lanes + lane]
            b_x -= sliding * sin_pitch
            b_z -= sliding * cos_pitch
        spin = pitch_speed + m[s + at.TURNING * lanes]
        spin_square = spin * spin
        own = by_inertia * on_housing - q_x * b_x - q_z * b_z
        f_x = mass * b_x + own * p_x + spin_square * p_z
        f_z = mass * b_z + own * p_z - spin_square * p_x
        e11 = mass - q_x * p_x
        e12 = -q_x * p_z
        e22 = mass - q_z * p_z
        forwards, upwards = wheel_force(m, s, lanes, driven)
        turn_1 = m[s + at.TURN_1 * lanes]
        held = h_x = h_z = h_turn = left = 0.0
        if general:  # a housing that is held turns with body and guide: P and its inertia stand in their rows instead
            held = 1.0 - m[(at.AXLE + axle * at.AXLE_ROWS + A_WIND_FREE) * lanes + lane]
            turn_bias = m[s + at.TURN_2 * lanes] * speed_square
            h_x = held * p_x
            h_z = held * p_z
            h_turn = held * m[s + at.INERTIA * lanes]
            f_x += h_x * turn_bias
            f_z += h_z * turn_bias
            left = held * on_housing - h_turn * turn_bias - h_x * b_x - h_z * b_z
        slip = slip_x = slip_z = slip_turn = 0.0
        if driven:
            v_x = e11 * cos_pitch - e12 * sin_pitch
            v_z = e12 * cos_pitch - e22 * sin_pitch
            h_along = h_x * cos_pitch - h_z * sin_pitch
            free = m[(at.WHEELS + axle * at.WHEEL_ROWS + W_SHIFT_FREE) * lanes + lane]
            give = free / (v_x * cos_pitch - v_z * sin_pitch)
            slip = give * (m[s + at.FORCE_SHIFT * lanes] + (forwards - f_x) * cos_pitch - (upwards - f_z) * sin_pitch)
            slip_x = give * v_x
            slip_z = give * v_z
            slip_turn = give * h_along
            f_x += slip * v_x
            f_z += slip * v_z
            left -= slip * h_along
            e11 -= slip_x * v_x
            e12 -= slip_x * v_z
            e22 -= slip_z * v_z
            h_x -= slip_turn * v_x
            h_z -= slip_turn * v_z
            h_turn -= slip_turn * h_along
        # Rows of jounce (rise) and pitch (z, -x): forces forwards and upwards, then along themselves and each other.
        j_x = e11 * rise_x + e12 * rise_z
        j_z = e12 * rise_x + e22 * rise_z
        t_x = e11 * z - e12 * x
        t_z = e12 * z - e22 * x
        jj = rise_x * j_x + rise_z * j_z
        jt = z * j_x - x * j_z
        tt = z * t_x - x * t_z
        rest_x = -f_x
        if driven:
            rest_x += forwards
        rest_z = upwards - f_z
        rest_j = m[s + at.FORCE_JOUNCE * lanes] + rise_x * rest_x + rise_z * rest_z
        rest_t = z * rest_x - x * rest_z - wind_up
        if general:
            h_j = h_x * rise_x + h_z * rise_z
            h_t = h_x * z - h_z * x + h_turn
            jj += turn_1 * (2.0 * h_j + h_turn * turn_1)
            jt += h_j + turn_1 * h_t
            tt += 2.0 * h_t - h_turn
            j_x += h_x * turn_1
            j_z += h_z * turn_1
            t_x += h_x
            t_z += h_z
            rest_j += turn_1 * left
            rest_t += left
        # Eliminate jounce.
        by_jj = 1.0 / jj
        k_z = j_z * by_jj
        k_t = jt * by_jj
        m[s + at.BODY_ZZ * lanes] = e22 - k_z * j_z
        m[s + at.BODY_ZT * lanes] = t_z - k_z * jt
        m[s + at.BODY_TT * lanes] = tt - k_t * jt
        m[s + at.BODY_Z * lanes] = rest_z - k_z * rest_j
        m[s + at.BODY_T * lanes] = rest_t - k_t * rest_j
        m[s + at.OWN_JOUNCE * lanes] = rest_j * by_jj
        m[s + at.JOUNCE_Z * lanes] = k_z
        m[s + at.JOUNCE_T * lanes] = k_t
        m[s + at.OWN_TURN * lanes] = own
        m[s + at.TURN_X * lanes] = q_x
        m[s + at.TURN_Z * lanes] = q_z
        if general:
            k_x = j_x * by_jj
            m[s + at.BODY_XX * lanes] = e11 - k_x * j_x
            m[s + at.BODY_XZ * lanes] = e12 - k_x * j_z
            m[s + at.BODY_XT * lanes] = t_x - k_x * jt
            m[s + at.BODY_X * lanes] = rest_x - k_x * rest_j
            m[s + at.JOUNCE_X * lanes] = k_x
        if driven:
            m[s + at.OWN_SHIFT * lanes] = slip
            m[s + at.SHIFT_X * lanes] = slip_x
            m[s + at.SHIFT_Z * lanes] = slip_z
            m[s + at.SHIFT_T * lanes] = slip_turn


@blocked
def axle_accelerations(m, axle, lane, lanes, forward, lifted, pitch, general, driven):
    """Write the accelerations of one axle from those of the body (lifted: with gravity)."""
    s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
    turn_1 = m[s + at.TURN_1 * lanes]
    jounce_speed = m[(V + at.JOUNCE + 2 * axle) * lanes + lane]
    jounce = m[s + at.OWN_JOUNCE * lanes] - m[s + at.JOUNCE_Z * lanes] * lifted - m[s + at.JOUNCE_T * lanes] * pitch
    if general:
        jounce -= m[s + at.JOUNCE_X * lanes] * forward
    x = pitch * m[s + at.ABOVE * lanes] + jounce * m[s + at.RISE_X * lanes]
    z = lifted - pitch * m[s + at.AHEAD * lanes] + jounce * m[s + at.RISE_Z * lanes]
    turned_with = pitch + turn_1 * jounce
    if general:
        x += forward
    if driven:
        shift = m[s + at.OWN_SHIFT * lanes] - m[s + at.SHIFT_X * lanes] * x - m[s + at.SHIFT_Z * lanes] * z
        shift -= m[s + at.SHIFT_T * lanes] * turned_with
        x += shift * m[at.COSINE_PITCH * lanes + lane]
        z -= shift * m[at.SINE_PITCH * lanes + lane]
        m[(at.RATE + at.SHIFT_SPEED + axle) * lanes + lane] = shift
    wind_up = m[s + at.OWN_TURN * lanes] - m[s + at.TURN_X * lanes] * x - m[s + at.TURN_Z * lanes] * z
    wind_up -= turned_with + m[s + at.TURN_2 * lanes] * jounce_speed * jounce_speed
    if general:
        wind_up *= m[(at.AXLE + axle * at.AXLE_ROWS + A_WIND_FREE) * lanes + lane]
    m[(at.RATE + V + at.JOUNCE + 2 * axle) * lanes + lane] = jounce
    m[(at.RATE + V + at.WIND_UP + 2 * axle) * lanes + lane] = wind_up


@blocked
def accelerations(m, lanes, rows, general, driven, push):
    """Solve the accelerations of every lane: what is left of two axles into the body's, and back.

    Forward is eliminated last, so that a held speed (free = 0) simply leaves it at zero, or at what gravity has of it
    on a hill.
    """
    axle_block(m, FRONT, lanes, general, driven)
    axle_block(m, REAR, lanes, general, driven)
    for lane in range(lanes):
        b = at.BODY * lanes + lane
        f = at.SCRATCH * lanes + lane
        r = (at.SCRATCH + at.SCRATCH_ROWS) * lanes + lane
        sin_pitch = m[at.SINE_PITCH * lanes + lane]
        cos_pitch = m[at.COSINE_PITCH * lanes + lane]
        mass = m[b + B_MASS * lanes]
        push_ahead = m[b + B_PUSH_FORWARD * lanes] * cos_pitch + m[b + B_PUSH_UP * lanes] * sin_pitch
        w22 = mass + m[f + at.BODY_ZZ * lanes] + m[r + at.BODY_ZZ * lanes]
        w23 = m[f + at.BODY_ZT * lanes] + m[r + at.BODY_ZT * lanes]
        w33 = m[b + B_INERTIA * lanes] + m[f + at.BODY_TT * lanes] + m[r + at.BODY_TT * lanes]
        g2 = push + m[f + at.BODY_Z * lanes] + m[r + at.BODY_Z * lanes]
        g3 = m[f + at.BODY_T * lanes] + m[r + at.BODY_T * lanes] - push * push_ahead
        by_det = 1.0 / (w22 * w33 - w23 * w23)
        lifted = (w33 * g2 - w23 * g3) * by_det
        pitch = (w22 * g3 - w23 * g2) * by_det
        forward = 0.0
        if general:
            w11 = mass + m[f + at.BODY_XX * lanes] + m[r + at.BODY_XX * lanes]
            w12 = m[f + at.BODY_XZ * lanes] + m[r + at.BODY_XZ * lanes]
            w13 = m[f + at.BODY_XT * lanes] + m[r + at.BODY_XT * lanes]
            g1 = m[f + at.BODY_X * lanes] + m[r + at.BODY_X * lanes]
            up_x = (w33 * w12 - w23 * w13) * by_det
            pitch_x = (w22 * w13 - w23 * w12) * by_det
            free = m[b + B_FREE * lanes]
            forward = (free / (w11 - w12 * up_x - w13 * pitch_x)) * (g1 - up_x * g2 - pitch_x * g3)
            if driven:
                forward += (1.0 - free) * m[(at.DRIVE + D_BACKWARDS) * lanes + lane]
            lifted -= up_x * forward
            pitch -= pitch_x * forward
        axle_accelerations(m, FRONT, lane, lanes, forward, lifted, pitch, general, driven)
        axle_accelerations(m, REAR, lane, lanes, forward, lifted, pitch, general, driven)
        d = (at.RATE + V) * lanes + lane
        m[d + at.X * lanes] = forward
        if driven:
            m[d + at.X * lanes] -= m[(at.DRIVE + D_BACKWARDS) * lanes + lane]
        m[d + at.Z * lanes] = lifted - m[b + B_GRAVITY * lanes]
        m[d + at.PITCH * lanes] = pitch
        if rows > at.MOTION:
            push_speed = m[(V + at.Z) * lanes + lane] - m[(V + at.PITCH) * lanes + lane] * push_ahead
            m[(at.RATE + at.WORK_PUSH) * lanes + lane] = push * push_speed
