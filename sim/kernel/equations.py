"""The equations of motion of every lane of a block (docs/equations.md gives each by number).

Written in body axes. Gravity enters as an upward acceleration of the whole frame, so weights need no
terms of their own; springs, stops, dampers and straps act between body and axle only and so appear in
jounce and wind-up alone; tyre load and pushes are the only forces that the body coordinates see.
"""

from math import sqrt

from sim.kernel import layout as at
from sim.kernel.curves import cosine, sine
from sim.kernel.forces import contact, friction_rate, tyre
from sim.kernel.geometry import turned
from sim.kernel.jit import blocked

PATH_ROWS = at.DEGREE + 1
W_SHIFT_FREE = at.Wheels._fields.index("shift_free")
D_BACKWARDS = at.Drive._fields.index("gravity_backwards")
B_MASS, B_INERTIA, B_GRAVITY, B_FREE, B_PUSH_FORWARD, B_PUSH_UP = range(len(at.Body._fields))
(
    A_MASS, A_INERTIA, A_CG_FORWARD, A_CG_UP, A_CENTRE_UP, A_MIDDLE, A_SCALE,
    A_WIND_RATE, A_WIND_DAMPING, A_WIND_PRELOAD, A_WIND_FREE,
    A_LEAF_RATE, A_LEAF_PRELOAD, A_FRICTION, A_FRICTION_BUILD_UP,
    A_STOP_GAP, A_STOP_RATE, A_STOP_CUBIC, A_STOP_LOSS, A_STOP_FORWARD, A_STOP_UP,
    A_TYRE_RADIUS, A_TYRE_RATE, A_TYRE_RISE, A_TYRE_DAMPING, A_COUPLING,
) = range(at.AXLE_ROWS)  # fmt: skip


@blocked
def polynomial(m, row, t, lanes):
    """Return a polynomial of rows of m and its first two derivatives by t.

    Even and odd powers apart, each by Horner's scheme with derivatives: half as long a chain for a single run, which
    waits for each result.
    """
    u = t * t
    even = even_1 = even_2 = odd = odd_1 = odd_2 = 0.0
    for k in range(at.DEGREE // 2, -1, -1):
        even_2 = even_2 * u + even_1
        even_1 = even_1 * u + even
        even = even * u + m[row + 2 * k * lanes]
    for k in range((at.DEGREE - 1) // 2, -1, -1):
        odd_2 = odd_2 * u + odd_1
        odd_1 = odd_1 * u + odd
        odd = odd * u + m[row + (2 * k + 1) * lanes]
    # Of E(t²) + t O(t²); even_2 and odd_2 are half of the second derivatives by t².
    first = 2.0 * t * (even_1 + t * odd_1) + odd
    second = 2.0 * even_1 + 6.0 * t * odd_1 + 8.0 * u * (even_2 + t * odd_2)
    return even + t * odd, first, second


@blocked
def turning(m, axle, lanes):
    """Return in how many lanes the guide turns its housing at all: leaves and straight guides do not."""
    count = 0.0
    for lane in range(lanes):
        count += m[(at.TURNS + axle) * lanes + lane]
    return count


@blocked
def guide(m, axle, lanes, turns, driven):
    """Place the axle's centre and turn its housing: the guide's polynomials and their derivatives."""
    for lane in range(lanes):
        a = (at.AXLE + axle * at.AXLE_ROWS) * lanes + lane
        s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
        path = (at.PATH + axle * PATH_ROWS) * lanes + lane
        scale = m[a + A_SCALE * lanes]
        t = (m[(at.JOUNCE + 2 * axle) * lanes + lane] - m[a + A_MIDDLE * lanes]) * scale
        place, place_1, place_2 = polynomial(m, path, t, lanes)
        if driven:
            place += m[(at.SHIFT + axle) * lanes + lane]
        m[s + at.PLACE * lanes] = place
        m[s + at.HEIGHT * lanes] = (
            m[(at.AXLE + axle * at.AXLE_ROWS + A_CENTRE_UP) * lanes + lane] + m[(at.JOUNCE + 2 * axle) * lanes + lane]
        )
        m[s + at.PLACE_1 * lanes] = place_1 * scale
        m[s + at.PLACE_2 * lanes] = place_2 * scale * scale
        m[s + at.TURN_1 * lanes] = 0.0
        m[s + at.TURN_2 * lanes] = 0.0
        m[s + at.ANGLE * lanes] = m[(at.WIND_UP + 2 * axle) * lanes + lane]
    if turns > 0.0:
        for lane in range(lanes):
            a = (at.AXLE + axle * at.AXLE_ROWS) * lanes + lane
            s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
            scale = m[a + A_SCALE * lanes]
            t = (m[(at.JOUNCE + 2 * axle) * lanes + lane] - m[a + A_MIDDLE * lanes]) * scale
            rotation, turn_1, turn_2 = polynomial(m, (at.TURN + axle * PATH_ROWS) * lanes + lane, t, lanes)
            m[s + at.TURN_1 * lanes] = turn_1 * scale
            m[s + at.TURN_2 * lanes] = turn_2 * scale * scale
            m[s + at.ANGLE * lanes] += rotation
    for lane in range(lanes):
        s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
        angle = m[s + at.ANGLE * lanes]
        m[s + at.SINE * lanes] = sine(angle)
        m[s + at.COSINE * lanes] = cosine(angle)


@blocked
def axle_forces(m, axle, lanes, rows, driven, road, road_rate):
    """Sum the forces of wind-up, leaf pack and tyres of one axle, and their losses.

    In a driven run the road's height and slope stand in rows of their own, since each lane is somewhere else on it.

    Returns in how many lanes the bump stop touches: seldom in any, so its force is left out if in none.
    """
    touching = 0.0
    for lane in range(lanes):
        a = (at.AXLE + axle * at.AXLE_ROWS) * lanes + lane
        s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
        jounce = m[(at.JOUNCE + 2 * axle) * lanes + lane]
        wind_up = m[(at.WIND_UP + 2 * axle) * lanes + lane]
        jounce_speed = m[(at.COORDINATES + at.JOUNCE + 2 * axle) * lanes + lane]
        wind_up_speed = m[(at.COORDINATES + at.WIND_UP + 2 * axle) * lanes + lane]
        friction = m[(at.FRICTION + axle) * lanes + lane]

        # Housing against its guide.
        damping_moment = m[a + A_WIND_DAMPING * lanes] * wind_up_speed
        coupling = m[a + A_COUPLING * lanes]
        moment = m[a + A_WIND_PRELOAD * lanes] - m[a + A_WIND_RATE * lanes] * wind_up - damping_moment
        moment -= coupling * jounce
        # Leaf pack at its seat: rate, and friction that follows travel.
        support = m[a + A_LEAF_PRELOAD * lanes] + m[a + A_LEAF_RATE * lanes] * jounce + friction + coupling * wind_up
        # Bump stop: meets a point of the axle, acts along body z.
        stop_up = m[a + A_STOP_UP * lanes]
        _, up = turned(m[a + A_STOP_FORWARD * lanes], stop_up, m[s + at.SINE * lanes], m[s + at.COSINE * lanes])
        touching += 1.0 if jounce + up - stop_up - m[a + A_STOP_GAP * lanes] > 0.0 else 0.0
        # Tyres: vertical, at the centre.
        sin_pitch = m[at.SINE_PITCH * lanes + lane]
        cos_pitch = m[at.COSINE_PITCH * lanes + lane]
        pitch_speed = m[(at.COORDINATES + at.PITCH) * lanes + lane]
        place = m[s + at.PLACE * lanes]
        height = m[s + at.HEIGHT * lanes]
        centre = m[at.Z * lanes + lane] - place * sin_pitch + height * cos_pitch
        along = m[s + at.PLACE_1 * lanes] * jounce_speed + height * pitch_speed
        across = jounce_speed - place * pitch_speed
        ground, ground_rate = road, road_rate
        if driven:
            along += m[(at.SHIFT_SPEED + axle) * lanes + lane]
            centre_forwards = m[(at.COORDINATES + at.X) * lanes + lane] + along * cos_pitch + across * sin_pitch
            ground = m[s + at.ROAD * lanes]
            ground_rate = m[s + at.ROAD_SLOPE * lanes] * centre_forwards
        centre_speed = m[(at.COORDINATES + at.Z) * lanes + lane] - along * sin_pitch + across * cos_pitch
        deflection_speed = ground_rate - centre_speed
        load, tyre_elastic = tyre(
            ground + m[a + A_TYRE_RADIUS * lanes] - centre, deflection_speed,
            m[a + A_TYRE_RATE * lanes], m[a + A_TYRE_RISE * lanes], m[a + A_TYRE_DAMPING * lanes],
        )  # fmt: skip

        m[s + at.FORCE_JOUNCE * lanes] = -support
        m[s + at.FORCE_WIND_UP * lanes] = moment
        m[s + at.LOAD * lanes] = load
        m[s + at.STOP * lanes] = 0.0
        m[(at.RATE + at.FRICTION + axle) * lanes + lane] = friction_rate(
            jounce_speed, friction, m[a + A_FRICTION * lanes], m[a + A_FRICTION_BUILD_UP * lanes]
        )
        if rows > at.MOTION:
            energy = at.RATE * lanes + lane
            if not driven:  # a wheel that drives climbs the road by itself
                m[energy + at.WORK_ROAD * lanes] += load * ground_rate
            m[energy + at.LOSS_TYRES * lanes] += (load - tyre_elastic) * deflection_speed
            m[energy + at.LOSS_FRICTION * lanes] += friction * jounce_speed
            m[energy + at.LOSS_WIND_UP * lanes] += damping_moment * wind_up_speed
    return touching


@blocked
def stop_forces(m, axle, lanes, rows):
    """Add the bump stop's force: it meets a point of the axle and acts along body z."""
    for lane in range(lanes):
        a = (at.AXLE + axle * at.AXLE_ROWS) * lanes + lane
        s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
        stop_up = m[a + A_STOP_UP * lanes]
        forward, up = turned(m[a + A_STOP_FORWARD * lanes], stop_up, m[s + at.SINE * lanes], m[s + at.COSINE * lanes])
        by_jounce = 1.0 - forward * m[s + at.TURN_1 * lanes]
        squeeze_speed = by_jounce * m[(at.COORDINATES + at.JOUNCE + 2 * axle) * lanes + lane] - (
            forward * m[(at.COORDINATES + at.WIND_UP + 2 * axle) * lanes + lane]
        )
        squeeze = m[(at.JOUNCE + 2 * axle) * lanes + lane] + up - stop_up - m[a + A_STOP_GAP * lanes]
        stop, elastic = contact(
            squeeze, squeeze_speed, m[a + A_STOP_RATE * lanes], m[a + A_STOP_CUBIC * lanes], m[a + A_STOP_LOSS * lanes]
        )
        m[s + at.FORCE_JOUNCE * lanes] -= stop * by_jounce
        m[s + at.FORCE_WIND_UP * lanes] += stop * forward
        m[s + at.STOP * lanes] = stop
        if rows > at.MOTION:
            m[(at.RATE + at.LOSS_CONTACTS) * lanes + lane] += (stop - elastic) * squeeze_speed


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
def axle_block(
    mass, inertia, cg_x, cg_z, place, height, place_1, place_2, turn_1, turn_2, wind_up_free,
    jounce_speed, wind_up_speed, pitch_speed, force_jounce, force_wind_up, load_x, load_z,
    driven, shift_free, shift_speed, force_shift, moment,
):  # fmt: skip
    """Reduce one axle to what the body feels of it, and what its own accelerations need.

    Returns the 3 x 3 (six numbers) and the right-hand side that remain for the body, then the solved rows
    of the axle: (jounce, wind-up) acceleration = own - response x body acceleration. In a driven run the axle may also
    give along the truck: its acceleration is the last one returned, which the others are to be put into.
    """
    x = place + cg_x
    z = height + cg_z
    turn_speed = turn_1 * jounce_speed + wind_up_speed
    jx = place_1 + cg_z * turn_1
    jz = 1.0 - cg_x * turn_1
    v2 = jounce_speed * jounce_speed
    x_speed = place_1 * jounce_speed + cg_z * turn_speed
    if driven:
        x_speed += shift_speed
    z_speed = jounce_speed - cg_x * turn_speed
    turn_bias = turn_2 * v2
    bx = (place_2 * v2 + cg_z * turn_bias - cg_x * turn_speed * turn_speed
          + 2.0 * pitch_speed * z_speed - pitch_speed * pitch_speed * x)  # fmt: skip
    bz = (-cg_x * turn_bias - cg_z * turn_speed * turn_speed
          - 2.0 * pitch_speed * x_speed - pitch_speed * pitch_speed * z)  # fmt: skip
    # The axle's own 2 x 2.
    a11 = mass * (jx * jx + jz * jz) + inertia * turn_1 * turn_1
    a12 = (mass * (jx * cg_z - jz * cg_x) + inertia * turn_1) * wind_up_free
    a22 = mass * (cg_z * cg_z + cg_x * cg_x) + inertia
    # Its coupling with the body's forward, up and pitch accelerations.
    c11 = mass * jx
    c12 = mass * jz
    c13 = mass * (jx * z - jz * x) + inertia * turn_1
    c21 = mass * cg_z * wind_up_free
    c22 = -mass * cg_x * wind_up_free
    c23 = (mass * (cg_z * z + cg_x * x) + inertia) * wind_up_free
    r1 = force_jounce + load_x * place_1 + load_z - mass * (jx * bx + jz * bz) - inertia * turn_1 * turn_bias
    r2 = (force_wind_up - mass * (cg_z * bx - cg_x * bz) - inertia * turn_bias) * wind_up_free
    # The body's own share of the axle.
    b11, b12, b13 = mass, 0.0, mass * z
    b22, b23, b33 = mass, -mass * x, mass * (x * x + z * z) + inertia
    h1 = load_x - mass * bx
    h2 = load_z - mass * bz
    h3 = load_x * height - load_z * place - mass * (bx * z - bz * x) - inertia * turn_bias
    t1 = t2 = t3 = t4 = t5 = 0.0
    if driven:
        # A moment between wheels and housing turns the housing, however it is carried.
        r1 += moment * turn_1
        r2 += moment * wind_up_free
        h3 += moment
        # Give along the truck: Jacobian (1, 0), so its own mass is the axle's; eliminated before the others.
        rs = force_shift + load_x - mass * bx
        give = shift_free / mass
        d1, d2 = mass * jx, mass * cg_z * wind_up_free
        t1, t2, t3, t4, t5 = give * d1, give * d2, shift_free, shift_free * z, give * rs
        a11 -= t1 * d1
        a12 -= t1 * d2
        a22 -= t2 * d2
        c11 -= t1 * mass
        c13 -= t1 * mass * z
        c21 -= t2 * mass
        c23 -= t2 * mass * z
        r1 -= t1 * rs
        r2 -= t2 * rs
        b11 -= shift_free * mass
        b13 -= shift_free * mass * z
        b33 -= shift_free * mass * z * z
        h1 -= shift_free * rs
        h3 -= shift_free * z * rs
    # Solve it for the coupling columns and the right-hand side.
    by_det = 1.0 / (a11 * a22 - a12 * a12)
    i11 = a22 * by_det
    i12 = -a12 * by_det
    i22 = a11 * by_det
    s11 = i11 * c11 + i12 * c21
    s12 = i11 * c12 + i12 * c22
    s13 = i11 * c13 + i12 * c23
    s21 = i12 * c11 + i22 * c21
    s22 = i12 * c12 + i22 * c22
    s23 = i12 * c13 + i22 * c23
    # What is left for the body.
    m11 = b11 - c11 * s11 - c21 * s21
    m12 = b12 - c11 * s12 - c21 * s22
    m13 = b13 - c11 * s13 - c21 * s23
    m22 = b22 - c12 * s12 - c22 * s22
    m23 = b23 - c12 * s13 - c22 * s23
    m33 = b33 - c13 * s13 - c23 * s23
    f1 = h1 - s11 * r1 - s21 * r2
    f2 = h2 - s12 * r1 - s22 * r2
    f3 = h3 - s13 * r1 - s23 * r2
    return (
        m11, m12, m13, m22, m23, m33, f1, f2, f3,
        i11 * r1 + i12 * r2, i12 * r1 + i22 * r2, s11, s12, s13, s21, s22, s23, t1, t2, t3, t4, t5,
    )  # fmt: skip


@blocked
def body_solve(m11, m12, m13, m22, m23, m33, f1, f2, f3, sin_pitch, cos_pitch, free, backwards, driven):
    """Solve the body's 3 x 3 for world accelerations (forward and up with gravity added, pitch).

    Forward is eliminated last, so that a held speed (free = 0) simply leaves it at zero, or at what gravity has of it
    on a hill.
    """
    c, s = cos_pitch, sin_pitch
    # Turn from body to world axes.
    w11 = c * c * m11 + 2.0 * c * s * m12 + s * s * m22
    w12 = c * s * (m22 - m11) + (c * c - s * s) * m12
    w22 = s * s * m11 - 2.0 * c * s * m12 + c * c * m22
    w13 = c * m13 + s * m23
    w23 = c * m23 - s * m13
    g1 = c * f1 + s * f2
    g2 = c * f2 - s * f1
    # Eliminate up and pitch.
    by_det = 1.0 / (w22 * m33 - w23 * w23)
    up_x = (m33 * w12 - w23 * w13) * by_det
    pitch_x = (w22 * w13 - w23 * w12) * by_det
    up_0 = (m33 * g2 - w23 * f3) * by_det
    pitch_0 = (w22 * f3 - w23 * g2) * by_det
    forward = (free / (w11 - w12 * up_x - w13 * pitch_x)) * (g1 - up_x * g2 - pitch_x * f3)
    if driven:
        forward += (1.0 - free) * backwards
    return forward, up_0 - up_x * forward, pitch_0 - pitch_x * forward


@blocked
def accelerations(m, lanes, rows, driven, push):
    """Solve the accelerations of every lane: two blocks of an axle each into a 3 x 3 and back."""
    v = at.COORDINATES
    for lane in range(lanes):
        b = at.BODY * lanes + lane
        sin_pitch = m[at.SINE_PITCH * lanes + lane]
        cos_pitch = m[at.COSINE_PITCH * lanes + lane]
        pitch_speed = m[(v + at.PITCH) * lanes + lane]
        s = at.SCRATCH * lanes + lane
        a = at.AXLE * lanes + lane
        w = at.WHEELS * lanes + lane
        cg_x, cg_z = turned(
            m[a + A_CG_FORWARD * lanes], m[a + A_CG_UP * lanes], m[s + at.SINE * lanes], m[s + at.COSINE * lanes]
        )
        forwards, upwards = wheel_force(m, s, lanes, driven)
        m11, m12, m13, m22, m23, m33, f1, f2, f3, fo1, fo2, fs11, fs12, fs13, fs21, fs22, fs23, ft1, ft2, ft3, ft4, ft5 = axle_block(
            m[a + A_MASS * lanes], m[a + A_INERTIA * lanes], cg_x, cg_z, m[s + at.PLACE * lanes],
            m[s + at.HEIGHT * lanes],
            m[s + at.PLACE_1 * lanes], m[s + at.PLACE_2 * lanes], m[s + at.TURN_1 * lanes], m[s + at.TURN_2 * lanes],
            m[a + A_WIND_FREE * lanes], m[(v + at.JOUNCE) * lanes + lane], m[(v + at.WIND_UP) * lanes + lane],
            pitch_speed, m[s + at.FORCE_JOUNCE * lanes], m[s + at.FORCE_WIND_UP * lanes],
            forwards * cos_pitch - upwards * sin_pitch, upwards * cos_pitch + forwards * sin_pitch,
            driven, m[w + W_SHIFT_FREE * lanes], m[at.SHIFT_SPEED * lanes + lane],
            m[s + at.FORCE_SHIFT * lanes], m[s + at.MOMENT * lanes],
        )  # fmt: skip
        s += at.SCRATCH_ROWS * lanes
        a += at.AXLE_ROWS * lanes
        w += at.WHEEL_ROWS * lanes
        cg_x, cg_z = turned(
            m[a + A_CG_FORWARD * lanes], m[a + A_CG_UP * lanes], m[s + at.SINE * lanes], m[s + at.COSINE * lanes]
        )
        forwards, upwards = wheel_force(m, s, lanes, driven)
        n11, n12, n13, n22, n23, n33, g1, g2, g3, ro1, ro2, rs11, rs12, rs13, rs21, rs22, rs23, rt1, rt2, rt3, rt4, rt5 = axle_block(
            m[a + A_MASS * lanes], m[a + A_INERTIA * lanes], cg_x, cg_z, m[s + at.PLACE * lanes],
            m[s + at.HEIGHT * lanes],
            m[s + at.PLACE_1 * lanes], m[s + at.PLACE_2 * lanes], m[s + at.TURN_1 * lanes], m[s + at.TURN_2 * lanes],
            m[a + A_WIND_FREE * lanes], m[(v + at.JOUNCE + 2) * lanes + lane],
            m[(v + at.WIND_UP + 2) * lanes + lane],
            pitch_speed, m[s + at.FORCE_JOUNCE * lanes], m[s + at.FORCE_WIND_UP * lanes],
            forwards * cos_pitch - upwards * sin_pitch, upwards * cos_pitch + forwards * sin_pitch,
            driven, m[w + W_SHIFT_FREE * lanes], m[(at.SHIFT_SPEED + at.REAR) * lanes + lane],
            m[s + at.FORCE_SHIFT * lanes], m[s + at.MOMENT * lanes],
        )  # fmt: skip
        mass = m[b + B_MASS * lanes]
        push_x = -push * sin_pitch
        push_z = push * cos_pitch
        push_forward = m[b + B_PUSH_FORWARD * lanes]
        push_up = m[b + B_PUSH_UP * lanes]
        backwards = 0.0
        if driven:
            backwards = m[(at.DRIVE + D_BACKWARDS) * lanes + lane]
        forward, lifted, pitch = body_solve(
            mass + m11 + n11, m12 + n12, m13 + n13, mass + m22 + n22, m23 + n23,
            m[b + B_INERTIA * lanes] + m33 + n33,
            push_x + f1 + g1, push_z + f2 + g2, push_x * push_up - push_z * push_forward + f3 + g3,
            sin_pitch, cos_pitch, m[b + B_FREE * lanes], backwards, driven,
        )  # fmt: skip
        along = cos_pitch * forward - sin_pitch * lifted
        upward = sin_pitch * forward + cos_pitch * lifted
        d = (at.RATE + v) * lanes + lane
        m[d + at.X * lanes] = forward
        m[d + at.Z * lanes] = lifted - m[b + B_GRAVITY * lanes]
        m[d + at.PITCH * lanes] = pitch
        front_jounce = fo1 - fs11 * along - fs12 * upward - fs13 * pitch
        front_wind_up = fo2 - fs21 * along - fs22 * upward - fs23 * pitch
        rear_jounce = ro1 - rs11 * along - rs12 * upward - rs13 * pitch
        rear_wind_up = ro2 - rs21 * along - rs22 * upward - rs23 * pitch
        m[d + at.JOUNCE * lanes] = front_jounce
        m[d + at.WIND_UP * lanes] = front_wind_up
        m[d + (at.JOUNCE + 2) * lanes] = rear_jounce
        m[d + (at.WIND_UP + 2) * lanes] = rear_wind_up
        if driven:
            m[d + at.X * lanes] = forward - backwards
            d = (at.RATE + at.SHIFT_SPEED) * lanes + lane
            m[d] = ft5 - ft1 * front_jounce - ft2 * front_wind_up - ft3 * along - ft4 * pitch
            m[d + lanes] = rt5 - rt1 * rear_jounce - rt2 * rear_wind_up - rt3 * along - rt4 * pitch
        if rows > at.MOTION:
            push_speed = m[(v + at.Z) * lanes + lane] - pitch_speed * (push_forward * cos_pitch + push_up * sin_pitch)
            m[(at.RATE + at.WORK_PUSH) * lanes + lane] = push * push_speed
