"""Where each axle's guide holds it and how it turns the housing, of every lane: exact arcs, or polynomials.

That place is the axle's centre, or the seat of its leaf packs where that lies above or below the centre (docs/equations.md, 2, "A seat").
"""

from math import sqrt

from sim.kernel import layout as at
from sim.kernel.curves import cosine, sine
from sim.kernel.geometry import turned
from sim.kernel.layout import ARC_AT, ARC_LEAST, AXLE_AT
from sim.machine.jit import blocked

PATH_ROWS = at.DEGREE + 1

POLYNOMIAL = 0  # ways of an axle's path: neither an arc nor without a turn
STILL_POLYNOMIAL = 1  # the housing is not turned
STILL_ARC = 2
ARM = 3  # an arc with which the housing turns


@blocked
def way_of(m, axle, lanes):
    """Return the way of an axle's path that suits all lanes: a block of one structure has one (sim/integrate/many/blocks.py)."""
    arcs = arms = turns = 0.0
    for lane in range(lanes):
        c = (at.ARC + axle * at.ARC_ROWS) * lanes + lane
        arcs += 1.0 if m[c + ARC_AT.radius_square * lanes] > 0.0 else 0.0
        arms += m[c + ARC_AT.turns * lanes]
        turns += m[(at.TURNS + axle) * lanes + lane]
    if arcs == lanes and (arms == 0.0 or arms == lanes):
        return ARM if arms > 0.0 else STILL_ARC
    return POLYNOMIAL if turns > 0.0 else STILL_POLYNOMIAL


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
def polynomial_path(m, axle, lanes):
    """Place the centre by its polynomial."""
    for lane in range(lanes):
        a = (at.AXLE + axle * at.AXLE_ROWS) * lanes + lane
        s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
        scale = m[a + AXLE_AT.jounce_scale * lanes]
        t = (m[(at.JOUNCE + 2 * axle) * lanes + lane] - m[a + AXLE_AT.jounce_middle * lanes]) * scale
        place, place_1, place_2 = polynomial(m, (at.PATH + axle * PATH_ROWS) * lanes + lane, t, lanes)
        m[s + at.PLACE * lanes] = place
        m[s + at.PLACE_1 * lanes] = place_1 * scale
        m[s + at.PLACE_2 * lanes] = place_2 * scale * scale


@blocked
def polynomial_turn(m, axle, lanes):
    """Turn the housing by its polynomial and its wind-up."""
    for lane in range(lanes):
        a = (at.AXLE + axle * at.AXLE_ROWS) * lanes + lane
        s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
        scale = m[a + AXLE_AT.jounce_scale * lanes]
        t = (m[(at.JOUNCE + 2 * axle) * lanes + lane] - m[a + AXLE_AT.jounce_middle * lanes]) * scale
        rotation, turn_1, turn_2 = polynomial(m, (at.TURN + axle * PATH_ROWS) * lanes + lane, t, lanes)
        m[s + at.TURN_1 * lanes] = turn_1 * scale
        m[s + at.TURN_2 * lanes] = turn_2 * scale * scale
        angle = m[(at.WIND_UP + 2 * axle) * lanes + lane] + rotation
        m[s + at.SINE * lanes] = sine(angle)
        m[s + at.COSINE * lanes] = cosine(angle)


@blocked
def wind_up_alone(m, axle, lanes):
    """Turn the housing by its wind-up alone."""
    for lane in range(lanes):
        s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
        angle = m[(at.WIND_UP + 2 * axle) * lanes + lane]
        m[s + at.TURN_1 * lanes] = 0.0
        m[s + at.TURN_2 * lanes] = 0.0
        m[s + at.SINE * lanes] = sine(angle)
        m[s + at.COSINE * lanes] = cosine(angle)


@blocked
def arc_path(m, axle, lanes, arm):
    """Place the centre on its arc; of an arm, also turn the housing, by the arm's turn and its wind-up."""
    for lane in range(lanes):
        c = (at.ARC + axle * at.ARC_ROWS) * lanes + lane
        s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
        square = m[c + ARC_AT.radius_square * lanes]
        z = m[(at.JOUNCE + 2 * axle) * lanes + lane] - m[c + ARC_AT.level * lanes]
        q = square - z * z
        q = q if q > ARC_LEAST * square else ARC_LEAST * square
        x = m[c + ARC_AT.side * lanes] * sqrt(q)
        by_square = 1.0 / q  # beside the root, where 1 / x would wait for it
        by_x = x * by_square
        place_1 = -z * by_x
        m[s + at.PLACE * lanes] = m[c + ARC_AT.forward * lanes] + x
        m[s + at.PLACE_1 * lanes] = place_1
        m[s + at.PLACE_2 * lanes] = -square * by_x * by_square
        if arm:
            angle = m[(at.WIND_UP + 2 * axle) * lanes + lane]
            ahead, above = m[c + ARC_AT.ahead * lanes], m[c + ARC_AT.above * lanes]
            # Of the radius against where it stands at zero jounce, then of both turns.
            cos_arm, sin_arm = turned(x, z, above, ahead)
            sin_wind, cos_wind = sine(angle), cosine(angle)
            m[s + at.TURN_1 * lanes] = -by_x
            m[s + at.TURN_2 * lanes] = place_1 * by_square
            m[s + at.SINE * lanes] = sin_wind * cos_arm - cos_wind * sin_arm
            m[s + at.COSINE * lanes] = cos_wind * cos_arm + sin_wind * sin_arm


@blocked
def guide(m, axle, lanes, way):
    """Place the axle and turn its housing, in body axes, with derivatives by jounce; where it is in the world."""
    if way == ARM:
        arc_path(m, axle, lanes, True)
    elif way == STILL_ARC:
        arc_path(m, axle, lanes, False)
    else:
        polynomial_path(m, axle, lanes)
    if way == POLYNOMIAL:
        polynomial_turn(m, axle, lanes)
    elif way != ARM:
        wind_up_alone(m, axle, lanes)
    for lane in range(lanes):
        s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
        sin_pitch = m[at.SINE_PITCH * lanes + lane]
        cos_pitch = m[at.COSINE_PITCH * lanes + lane]
        jounce = m[(at.JOUNCE + 2 * axle) * lanes + lane]
        jounce_speed = m[(at.COORDINATES + at.JOUNCE + 2 * axle) * lanes + lane]
        place = m[s + at.PLACE * lanes] + m[(at.SHIFT + axle) * lanes + lane]
        m[s + at.PLACE * lanes] = place
        height = m[(at.AXLE + axle * at.AXLE_ROWS + AXLE_AT.seat_up) * lanes + lane] + jounce
        m[s + at.HEIGHT * lanes] = height
        m[s + at.AHEAD * lanes], m[s + at.ABOVE * lanes] = turned(place, height, sin_pitch, cos_pitch)
        m[s + at.RISE_X * lanes], m[s + at.RISE_Z * lanes] = turned(
            m[s + at.PLACE_1 * lanes], 1.0, sin_pitch, cos_pitch
        )
        m[s + at.TURNING * lanes] = (
            m[s + at.TURN_1 * lanes] * jounce_speed + m[(at.COORDINATES + at.WIND_UP + 2 * axle) * lanes + lane]
        )
        below = -m[(at.AXLE + axle * at.AXLE_ROWS + AXLE_AT.seat_above) * lanes + lane]
        sin_turn, cos_turn = m[s + at.SINE * lanes], m[s + at.COSINE * lanes]
        m[s + at.HUB_X * lanes] = below * (sin_turn * cos_pitch + cos_turn * sin_pitch)
        m[s + at.HUB_Z * lanes] = below * (cos_turn * cos_pitch - sin_turn * sin_pitch)
