"""The equations of motion of every lane of a block (docs/equations.md gives each by number).

Written in world axes from the body's centre of gravity. Gravity enters as an upward acceleration of the whole frame, so
weights need no terms of their own; springs, stops, dampers and straps act between body and axle only and so appear in
jounce, wind-up and give along the truck alone; what the road does to the wheels, pushes and what holds the speed are the
only forces that the body coordinates see. What only some trucks or runs need (`general`: the truck rolls freely, a guide
holds its housing, or the force that holds the speed is wanted; `driven`) is left out for all others.
"""

from math import sqrt

from sim.kernel import layout as at
from sim.kernel.geometry import turned
from sim.kernel.layout import AXLE_AT, BODY_AT, DRIVE_AT, FRONT, REAR
from sim.machine.jit import blocked

V = at.COORDINATES


@blocked
def is_general(m, lanes):
    """Return in how many lanes the truck is free to roll or a guide holds its housing."""
    count = 0.0
    for lane in range(lanes):
        count += m[(at.BODY + BODY_AT.free_to_roll) * lanes + lane] + 2.0
        for axle in range(at.AXLES):
            count -= m[(at.AXLE + axle * at.AXLE_ROWS + AXLE_AT.wind_up_free) * lanes + lane]
    return count


@blocked
def wheel_force(m, s, lanes, driven):
    """Return what the road does to an axle's wheels, forwards and upwards in the world; s is the axle's scratch.

    A load on a slope of the road pushes back as well as up, and traction acts along the slope.
    """
    load = m[s + at.LOAD * lanes]
    slope = m[s + at.ROAD_SLOPE * lanes]
    forwards, upwards = -load * slope, load
    if driven:
        along = m[s + at.TRACTION * lanes] / sqrt(1.0 + slope * slope)
        forwards += along
        upwards += along * slope
    return forwards, upwards


@blocked
def static_moment(m, s, lane, lanes):
    """Return P of (2.2), by how much a turn of the housing changes momentum: its static moment, turned as it is in space."""
    sin_pitch = m[at.SINE_PITCH * lanes + lane]
    cos_pitch = m[at.COSINE_PITCH * lanes + lane]
    sine = m[s + at.SINE * lanes]
    cosine = m[s + at.COSINE * lanes]
    p_z, p_x = turned(
        m[s + at.STATIC_FORWARD * lanes], m[s + at.STATIC_UP * lanes],
        sine * cos_pitch + cosine * sin_pitch, cosine * cos_pitch - sine * sin_pitch,
    )  # fmt: skip
    p_z = -p_z
    return p_x, p_z


@blocked
def centre_bias(m, s, axle, lane, lanes):
    """Return b of (2.1): what an axle's centre accelerates by speeds alone."""
    sin_pitch = m[at.SINE_PITCH * lanes + lane]
    cos_pitch = m[at.COSINE_PITCH * lanes + lane]
    pitch_speed = m[(V + at.PITCH) * lanes + lane]
    jounce_speed = m[(V + at.JOUNCE + 2 * axle) * lanes + lane]
    x = m[s + at.AHEAD * lanes]
    z = m[s + at.ABOVE * lanes]
    across = 2.0 * pitch_speed * jounce_speed
    sliding = 2.0 * pitch_speed * m[(V + at.SHIFT + axle) * lanes + lane]
    inwards = pitch_speed * pitch_speed
    bend = m[s + at.PLACE_2 * lanes] * (jounce_speed * jounce_speed)
    b_x = across * m[s + at.RISE_Z * lanes] - inwards * x + bend * cos_pitch - sliding * sin_pitch
    b_z = -across * m[s + at.RISE_X * lanes] - inwards * z - bend * sin_pitch - sliding * cos_pitch
    return b_x, b_z


@blocked
def without_turn(m, s, axle, lane, lanes, on_housing, p_x, p_z, b_x, b_z):
    """Take the housing's own turn out of (2.2); return f and E of (2.3), a force of E A + f being needed at the centre.

    A is the acceleration of the centre but for its bias b; what the housing's turn is by it stands in rows OWN_TURN (at
    A = 0), TURN_X and TURN_Z (per A). A housing that is held by its guide has 1 / inertia = 0 there.
    """
    mass = m[(at.AXLE + axle * at.AXLE_ROWS + AXLE_AT.mass) * lanes + lane]
    by_inertia = m[s + at.BY_INERTIA * lanes]
    q_x = by_inertia * p_x
    q_z = by_inertia * p_z
    spin = m[(V + at.PITCH) * lanes + lane] + m[s + at.TURNING * lanes]
    spin_square = spin * spin
    own = by_inertia * on_housing - q_x * b_x - q_z * b_z
    m[s + at.OWN_TURN * lanes] = own
    m[s + at.TURN_X * lanes] = q_x
    m[s + at.TURN_Z * lanes] = q_z
    f_x = mass * b_x + own * p_x + spin_square * p_z
    f_z = mass * b_z + own * p_z - spin_square * p_x
    return f_x, f_z, mass - q_x * p_x, -q_x * p_z, mass - q_z * p_z


@blocked
def held_housing(m, s, axle, lane, lanes, on_housing, p_x, p_z, b_x, b_z):
    """Return P, inertia and right-hand side of (2.4), of a housing that turns with body and guide; zeros if it winds up."""
    held = 1.0 - m[(at.AXLE + axle * at.AXLE_ROWS + AXLE_AT.wind_up_free) * lanes + lane]
    jounce_speed = m[(V + at.JOUNCE + 2 * axle) * lanes + lane]
    turn_bias = m[s + at.TURN_2 * lanes] * (jounce_speed * jounce_speed)
    h_x = held * p_x
    h_z = held * p_z
    h_turn = held * m[s + at.INERTIA * lanes]
    left = held * on_housing - h_turn * turn_bias - h_x * b_x - h_z * b_z
    return h_x, h_z, h_turn, left, h_x * turn_bias, h_z * turn_bias


@blocked
def give_along(m, s, axle, lane, lanes, forwards, upwards, f_x, f_z, e11, e12, e22):
    """Solve an axle's give along the truck by (2.5); return 1 / (v e_x) or 0 if it is held, the give at rest, and v.

    The give itself stands in rows OWN_SHIFT (at rest) and SHIFT_X, SHIFT_Z, SHIFT_T (by accelerations of centre and housing).
    """
    sin_pitch = m[at.SINE_PITCH * lanes + lane]
    cos_pitch = m[at.COSINE_PITCH * lanes + lane]
    v_x = e11 * cos_pitch - e12 * sin_pitch
    v_z = e12 * cos_pitch - e22 * sin_pitch
    free = m[(at.AXLE + axle * at.AXLE_ROWS + AXLE_AT.shift_free) * lanes + lane]
    give = free / (v_x * cos_pitch - v_z * sin_pitch)
    slip = give * (m[s + at.FORCE_SHIFT * lanes] + (forwards - f_x) * cos_pitch - (upwards - f_z) * sin_pitch)
    m[s + at.OWN_SHIFT * lanes] = slip
    m[s + at.SHIFT_X * lanes] = give * v_x
    m[s + at.SHIFT_Z * lanes] = give * v_z
    return give, slip, v_x, v_z


@blocked
def without_jounce(
    m, s, lanes, general, e11, e12, e22, jj, jt, tt, j_x, j_z, t_x, t_z, rest_x, rest_z, rest_j, rest_t
):  # fmt: skip
    """Eliminate jounce from an axle's rows (2.6) by (2.7), and write what is left of them for the body."""
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
    if general:
        k_x = j_x * by_jj
        m[s + at.BODY_XX * lanes] = e11 - k_x * j_x
        m[s + at.BODY_XZ * lanes] = e12 - k_x * j_z
        m[s + at.BODY_XT * lanes] = t_x - k_x * jt
        m[s + at.BODY_X * lanes] = rest_x - k_x * rest_j
        m[s + at.JOUNCE_X * lanes] = k_x


@blocked
def axle_block(m, axle, lanes, general, driven):
    """Reduce one axle to what the body feels of it, and what its own accelerations need: (2.2) to (2.7)."""
    for lane in range(lanes):
        s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
        wind_up = m[s + at.FORCE_WIND_UP * lanes]
        on_housing = wind_up
        if driven:
            # A moment between wheels and housing turns the housing, however it is carried.
            on_housing += m[s + at.MOMENT * lanes]
        forwards, upwards = wheel_force(m, s, lanes, driven)
        # The road pushes at the wheels' centre, the frame answers where the guide holds the housing (2.14).
        on_housing += m[s + at.HUB_Z * lanes] * forwards - m[s + at.HUB_X * lanes] * upwards
        p_x, p_z = static_moment(m, s, lane, lanes)
        b_x, b_z = centre_bias(m, s, axle, lane, lanes)
        f_x, f_z, e11, e12, e22 = without_turn(m, s, axle, lane, lanes, on_housing, p_x, p_z, b_x, b_z)
        h_x = h_z = h_turn = left = 0.0
        if general:
            h_x, h_z, h_turn, left, more_x, more_z = held_housing(
                m, s, axle, lane, lanes, on_housing, p_x, p_z, b_x, b_z
            )
            f_x += more_x
            f_z += more_z
        give, slip, v_x, v_z = give_along(m, s, axle, lane, lanes, forwards, upwards, f_x, f_z, e11, e12, e22)
        f_x += slip * v_x
        f_z += slip * v_z
        e11 -= give * v_x * v_x
        e12 -= give * v_x * v_z
        e22 -= give * v_z * v_z
        if general:
            h_along = h_x * m[at.COSINE_PITCH * lanes + lane] - h_z * m[at.SINE_PITCH * lanes + lane]
            slip_turn = give * h_along
            m[s + at.SHIFT_T * lanes] = slip_turn
            left -= slip * h_along
            h_x -= slip_turn * v_x
            h_z -= slip_turn * v_z
            h_turn -= slip_turn * h_along
        # Rows of jounce (rise) and pitch (z, -x) by (2.6): forces forwards and upwards, then along themselves and each other.
        x = m[s + at.AHEAD * lanes]
        z = m[s + at.ABOVE * lanes]
        rise_x = m[s + at.RISE_X * lanes]
        rise_z = m[s + at.RISE_Z * lanes]
        turn_1 = m[s + at.TURN_1 * lanes]
        j_x = e11 * rise_x + e12 * rise_z
        j_z = e12 * rise_x + e22 * rise_z
        t_x = e11 * z - e12 * x
        t_z = e12 * z - e22 * x
        jj = rise_x * j_x + rise_z * j_z
        jt = z * j_x - x * j_z
        tt = z * t_x - x * t_z
        rest_x = forwards - f_x
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
        without_jounce(
            m, s, lanes, general, e11, e12, e22, jj, jt, tt, j_x, j_z, t_x, t_z, rest_x, rest_z, rest_j, rest_t
        )


@blocked
def axle_accelerations(m, axle, lane, lanes, forward, lifted, pitch, general):
    """Write the accelerations of one axle from those of the body (lifted: with gravity): (2.7), (2.5) and (2.2) backwards."""
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
    shift = m[s + at.OWN_SHIFT * lanes] - m[s + at.SHIFT_X * lanes] * x - m[s + at.SHIFT_Z * lanes] * z
    if general:
        shift -= m[s + at.SHIFT_T * lanes] * turned_with
    x += shift * m[at.COSINE_PITCH * lanes + lane]
    z -= shift * m[at.SINE_PITCH * lanes + lane]
    m[(at.RATE + V + at.SHIFT + axle) * lanes + lane] = shift
    wind_up = m[s + at.OWN_TURN * lanes] - m[s + at.TURN_X * lanes] * x - m[s + at.TURN_Z * lanes] * z
    wind_up -= turned_with + m[s + at.TURN_2 * lanes] * jounce_speed * jounce_speed
    if general:
        wind_up *= m[(at.AXLE + axle * at.AXLE_ROWS + AXLE_AT.wind_up_free) * lanes + lane]
    m[(at.RATE + V + at.JOUNCE + 2 * axle) * lanes + lane] = jounce
    m[(at.RATE + V + at.WIND_UP + 2 * axle) * lanes + lane] = wind_up


@blocked
def accelerations(m, lanes, rows, general, driven, push, ground_speed):
    """Solve the accelerations of every lane: what is left of two axles into the body's (2.8), and back.

    Forward is eliminated last, so that a held speed (free = 0) simply leaves it at zero, or at what gravity has of it
    on a hill. ground_speed : of the frame in which x counts, over the ground [m/s].
    """
    axle_block(m, FRONT, lanes, general, driven)
    axle_block(m, REAR, lanes, general, driven)
    for lane in range(lanes):
        b = at.BODY * lanes + lane
        f = at.SCRATCH * lanes + lane
        r = (at.SCRATCH + at.SCRATCH_ROWS) * lanes + lane
        sin_pitch = m[at.SINE_PITCH * lanes + lane]
        cos_pitch = m[at.COSINE_PITCH * lanes + lane]
        mass = m[b + BODY_AT.mass * lanes]
        push_ahead = m[b + BODY_AT.push_forward * lanes] * cos_pitch + m[b + BODY_AT.push_up * lanes] * sin_pitch
        w22 = mass + m[f + at.BODY_ZZ * lanes] + m[r + at.BODY_ZZ * lanes]
        w23 = m[f + at.BODY_ZT * lanes] + m[r + at.BODY_ZT * lanes]
        w33 = m[b + BODY_AT.pitch_inertia * lanes] + m[f + at.BODY_TT * lanes] + m[r + at.BODY_TT * lanes]
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
            free = m[b + BODY_AT.free_to_roll * lanes]
            running = m[(V + at.X) * lanes + lane]
            g1 -= m[b + BODY_AT.keeper_gain * lanes] * running
            forward = (free / (w11 - w12 * up_x - w13 * pitch_x)) * (g1 - up_x * g2 - pitch_x * g3)
            if driven:
                forward += (1.0 - free) * m[(at.DRIVE + DRIVE_AT.gravity_backwards) * lanes + lane]
            lifted -= up_x * forward
            pitch -= pitch_x * forward
            if rows > at.MOTION:
                # What the row of x still misses is what an ideal driver gives; a keeper's is in it.
                missing = w11 * forward + w12 * lifted + w13 * pitch - g1
                held = missing - m[b + BODY_AT.keeper_gain * lanes] * running
                m[at.DRIVER * lanes + lane] = held
                m[(at.RATE + at.WORK_DRIVER) * lanes + lane] = held * (ground_speed + running)
        axle_accelerations(m, FRONT, lane, lanes, forward, lifted, pitch, general)
        axle_accelerations(m, REAR, lane, lanes, forward, lifted, pitch, general)
        d = (at.RATE + V) * lanes + lane
        m[d + at.X * lanes] = forward
        if driven:
            m[d + at.X * lanes] -= m[(at.DRIVE + DRIVE_AT.gravity_backwards) * lanes + lane]
        m[d + at.Z * lanes] = lifted - m[b + BODY_AT.gravity * lanes]
        m[d + at.PITCH * lanes] = pitch
        if rows > at.MOTION:
            push_speed = m[(V + at.Z) * lanes + lane] - m[(V + at.PITCH) * lanes + lane] * push_ahead
            m[(at.RATE + at.WORK_PUSH) * lanes + lane] = push * push_speed
