"""Wheels that drive and brake, of every lane: slip, shafts, brakes and the engine."""

from math import atan, exp, sin

from sim.kernel import layout as at
from sim.kernel.layout import AXLE_AT, DRIVE_AT, WHEELS_AT
from sim.machine.jit import blocked, inlined

SHORTEST = 0.002
"""Least time [s] in which a tread takes up slip, however short its relaxation length: quicker would be stiff for nothing."""

DRAG_FADES = 0.25
"""Share of idle's speed above it over which an engine's drag comes in: at idle its governor feeds what it takes. An estimate."""

FELT_MOST = 2.0
"""A tread that answers load late answers at most so many times the load that presses it now: in the air there is no force."""


@inlined
def traction(slip, load, size, grip, bend, shape):
    """Return a tyre's force along the road [N] at a slip (ratio) and a load [N].

    D sin(C atan(B phi)), phi = (1 - E) k + (E/B) atan(B k): E. Bakker, L. Nyborg, H. B. Pacejka, SAE 870421 (1987), with
    size D/N, grip B C, bend E and shape C.
    """
    steep = grip / shape * slip
    return load * size * sin(shape * atan(steep - bend * (steep - atan(steep))))


@inlined
def relaxation(slip, length, grip, fastest, delayed):
    """Return the length [m] in which the tread takes up slip: it falls with slip, as less of the patch still adheres.

    Where load acts after the length too (delayed 1, else 0), it is the same at every slip.
    What a tread can give is then length / grip, as much as its greatest force stretches it, so that a truck that has slid to
    a stop rolls back by no more. Falling with slip: H. B. Pacejka, Tyre and Vehicle Dynamics, from memory.
    """
    more = 1.0 + (1.0 - delayed) * grip * abs(slip)
    own = length / (more * more)
    least = SHORTEST * fastest
    return own if own > least else least


@blocked
def engine_torque(m, throttle, lanes, rows):
    """Start the engine's rate with its torque; the axles take theirs from it.

    With its throttle shut it drags, but for what its idle asks of it.
    """
    for lane in range(lanes):
        d = at.DRIVE * lanes + lane
        speed = m[at.ENGINE * lanes + lane]
        idle = m[d + DRIVE_AT.idle * lanes]
        above = max(speed, idle)
        torque = m[d + DRIVE_AT.torque_idle * lanes]
        for k in range(at.ENGINE_RAMPS):
            beyond = above - m[(at.ENGINE_STARTS + k) * lanes + lane]
            torque += m[(at.ENGINE_SLOPES + k) * lanes + lane] * (beyond if beyond > 0.0 else 0.0)
        share = min((above - idle) / (DRAG_FADES * idle), 1.0)
        drag = share * (m[d + DRIVE_AT.drag * lanes] + m[d + DRIVE_AT.drag_rise * lanes] * speed)
        torque = throttle * torque - (1.0 - throttle) * drag
        m[(at.RATE + at.ENGINE) * lanes + lane] = torque / m[d + DRIVE_AT.engine_inertia * lanes]
        if rows > at.MOTION:
            m[(at.RATE + at.WORK_ENGINE) * lanes + lane] = torque * speed


@blocked
def centre_clutch(m, lanes, rows):
    """Start the rate of the centre differential with its clutch by (6.10); the axles take their torques from it.

    Like a brake it is a spring and a dashpot behind a friction face, between propshafts that turn at the mean and this more and less.
    """
    for lane in range(lanes):
        d = at.DRIVE * lanes + lane
        apart = 2.0 * m[at.CENTRE * lanes + lane]
        damping = m[d + DRIVE_AT.centre_damping * lanes]
        limit = m[d + DRIVE_AT.centre_limit * lanes]
        spring = m[d + DRIVE_AT.centre_rate * lanes] * m[at.CENTRE_GIVE * lanes + lane]
        torque = min(max(spring + damping * apart, -limit), limit)
        give_rate = (torque - spring) / damping
        free = m[d + DRIVE_AT.centre_free * lanes] / m[d + DRIVE_AT.centre_inertia * lanes]
        m[(at.RATE + at.CENTRE) * lanes + lane] = -2.0 * torque * free
        m[(at.RATE + at.CENTRE_GIVE) * lanes + lane] = give_rate
        if rows > at.MOTION:
            m[(at.RATE + at.LOSS_SHAFTS) * lanes + lane] += torque * apart - spring * give_rate


@blocked
def speed_along(m, s, axle, lane, lanes):
    """Return the speed of an axle's centre along the road: the v of (6.7)."""
    sin_pitch = m[at.SINE_PITCH * lanes + lane]
    cos_pitch = m[at.COSINE_PITCH * lanes + lane]
    pitch_speed = m[(at.COORDINATES + at.PITCH) * lanes + lane]
    jounce_speed = m[(at.COORDINATES + at.JOUNCE + 2 * axle) * lanes + lane]
    shift_speed = m[(at.COORDINATES + at.SHIFT + axle) * lanes + lane]
    along = m[s + at.PLACE_1 * lanes] * jounce_speed + m[s + at.HEIGHT * lanes] * pitch_speed + shift_speed
    across = jounce_speed - m[s + at.PLACE * lanes] * pitch_speed
    spin = pitch_speed + m[s + at.TURNING * lanes]
    forwards = (
        m[(at.COORDINATES + at.X) * lanes + lane]
        + along * cos_pitch
        + across * sin_pitch
        + m[s + at.HUB_Z * lanes] * spin
    )
    upwards = (
        m[(at.COORDINATES + at.Z) * lanes + lane]
        - along * sin_pitch
        + across * cos_pitch
        - m[s + at.HUB_X * lanes] * spin
    )
    slope = m[s + at.ROAD_SLOPE * lanes]
    return (forwards + slope * upwards) / (1.0 + slope * slope) ** 0.5


@blocked
def rolling_radius(m, s, w, axle, lane, lanes):
    """Return the rolling radius (6.6): where the wheel's centre is tells how far the tyre is pressed in."""
    sin_pitch = m[at.SINE_PITCH * lanes + lane]
    cos_pitch = m[at.COSINE_PITCH * lanes + lane]
    centre = (
        m[at.Z * lanes + lane]
        - m[s + at.PLACE * lanes] * sin_pitch
        + m[s + at.HEIGHT * lanes] * cos_pitch
        + m[s + at.HUB_Z * lanes]
    )
    radius = m[(at.AXLE + axle * at.AXLE_ROWS + AXLE_AT.tyre_radius) * lanes + lane]
    pressed = m[s + at.ROAD * lanes] + radius - centre
    return radius - m[w + WHEELS_AT.rolling_share * lanes] * (pressed if pressed > 0.0 else 0.0)


@blocked
def tread(m, s, w, axle, lane, lanes, sliding, fastest):
    """Return the tyres' force along the road (6.8), the rate of slip (6.7) and that of the load that the tread feels (6.9).

    A transient slip stands for the tread behind its relaxation length, so that a wheel that spins on the spot has slip 1 and
    a locked one -1, and at rest the tread is a spring.
    """
    slip = m[(at.SLIP + axle) * lanes + lane]
    delayed = m[w + WHEELS_AT.load_delayed * lanes]
    pressing = m[s + at.LOAD * lanes]
    felt = m[(at.FELT + axle) * lanes + lane]
    load = pressing + delayed * (min(felt, FELT_MOST * pressing) - pressing)
    size = m[w + WHEELS_AT.peak * lanes] + m[w + WHEELS_AT.peak_rise * lanes] * load
    stiffness = m[w + WHEELS_AT.stiffness * lanes] + m[w + WHEELS_AT.stiffness_rise * lanes] * load
    grip = stiffness * exp(-m[w + WHEELS_AT.stiffness_fade * lanes] * load) / size
    bend = m[w + WHEELS_AT.curvature * lanes] + (
        m[w + WHEELS_AT.curvature_rise * lanes] + m[w + WHEELS_AT.curvature_bend * lanes] * load
    ) * load  # fmt: skip
    length = relaxation(slip, m[w + WHEELS_AT.relaxation_length * lanes], grip, fastest, delayed)
    slip_rate = (sliding - fastest * slip) / length
    ahead = slip + m[w + WHEELS_AT.carcass_time * lanes] * slip_rate
    force = traction(ahead, load, size, grip, bend, m[w + WHEELS_AT.shape * lanes])
    return force, slip_rate, delayed * fastest * (pressing - felt) / length


@blocked
def shafts(m, s, w, axle, lane, lanes):
    """Return the shafts' torque on the wheels and what of it is damping, the rate of their twist (6.2), and spin against housing.

    The gear mesh sees wheels against housing.
    """
    housing = (
        m[(at.COORDINATES + at.PITCH) * lanes + lane]
        + m[s + at.TURN_1 * lanes] * m[(at.COORDINATES + at.JOUNCE + 2 * axle) * lanes + lane]
        + m[(at.COORDINATES + at.WIND_UP + 2 * axle) * lanes + lane]
    )
    against = m[(at.SPIN + axle) * lanes + lane] - housing
    by_ratio = 1.0 / m[w + WHEELS_AT.ratio * lanes]
    propshaft = m[at.ENGINE * lanes + lane] / m[(at.DRIVE + DRIVE_AT.gears) * lanes + lane]
    propshaft += (1.0 - 2.0 * axle) * m[at.CENTRE * lanes + lane]
    twist_rate = propshaft * by_ratio - against
    damping = m[w + WHEELS_AT.shaft_damping * lanes] * twist_rate
    torque = m[w + WHEELS_AT.shaft_rate * lanes] * m[(at.TWIST + axle) * lanes + lane] + damping
    return torque, damping, twist_rate, against


@blocked
def wheel_moments(m, brakes, axle, lanes, rows):
    """Work out traction, shafts and brakes of one axle by (6.1) to (6.10), after its load; the road's place and slope are known.

    A brake is a spring and a dashpot behind a friction face: it gives a little as it holds, and slips at the pedal's moment
    whichever way it turns. So wheels lock without a jump, and a parked truck does not creep.
    """
    for lane in range(lanes):
        s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
        w = (at.WHEELS + axle * at.WHEEL_ROWS) * lanes + lane
        speed = speed_along(m, s, axle, lane, lanes)
        rolling = rolling_radius(m, s, w, axle, lane, lanes)
        spin = m[(at.SPIN + axle) * lanes + lane]
        sliding = rolling * spin - speed
        fastest = max(abs(speed), abs(rolling * spin))
        force, slip_rate, felt_rate = tread(m, s, w, axle, lane, lanes, sliding, fastest)
        torque, damping, twist_rate, against = shafts(m, s, w, axle, lane, lanes)
        spring = m[w + WHEELS_AT.brake_rate * lanes] * m[(at.BRAKE + axle) * lanes + lane]
        brake = min(max(spring + m[w + WHEELS_AT.brake_damping * lanes] * against, -brakes), brakes)
        # As the wheel turns while the brake holds; where it slips, what is left of its moment moves the dashpot.
        give_rate = (brake - spring) / m[w + WHEELS_AT.brake_damping * lanes]
        m[s + at.TRACTION * lanes] = force
        m[s + at.MOMENT * lanes] = brake - torque
        r = (at.RATE + axle) * lanes + lane
        m[r + at.SPIN * lanes] = (torque - brake - force * rolling) / m[w + WHEELS_AT.spin_inertia * lanes]
        m[r + at.SLIP * lanes] = slip_rate
        m[r + at.FELT * lanes] = felt_rate
        m[r + at.BRAKE * lanes] = give_rate
        m[r + at.TWIST * lanes] = twist_rate
        by_ratio = 1.0 / m[w + WHEELS_AT.ratio * lanes]
        m[(at.RATE + at.ENGINE) * lanes + lane] -= (
            torque
            * by_ratio
            / (m[(at.DRIVE + DRIVE_AT.gears) * lanes + lane] * m[(at.DRIVE + DRIVE_AT.engine_inertia) * lanes + lane])
        )
        m[(at.RATE + at.CENTRE) * lanes + lane] -= (
            (1.0 - 2.0 * axle)
            * torque
            * by_ratio
            * m[(at.DRIVE + DRIVE_AT.centre_free) * lanes + lane]
            / m[(at.DRIVE + DRIVE_AT.centre_inertia) * lanes + lane]
        )
        if rows > at.MOTION:
            m[s + at.AXLE_TORQUE * lanes] = torque
            m[s + at.BRAKE_TORQUE * lanes] = brake
            m[s + at.ROLLING_RADIUS * lanes] = rolling
            energy = at.RATE * lanes + lane
            m[energy + at.LOSS_SLIP * lanes] += force * sliding
            m[energy + at.LOSS_BRAKES * lanes] += brake * against - spring * give_rate
            m[energy + at.LOSS_SHAFTS * lanes] += damping * twist_rate
