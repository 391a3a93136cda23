"""Lines between a body point and an axle point, of every lane of a block: coils, dampers and straps.

Each stage works out a line's length and levers, puts its speed to its law, and adds its force to the axle's.
"""

from sim.kernel import layout as at
from sim.kernel.curves import decay
from sim.kernel.forces import contact, ramps, ramps_slope
from sim.kernel.geometry import line, turned
from sim.kernel.layout import LINE_AT
from sim.machine.jit import blocked


@blocked
def line_motion(m, lines, number, axle, lanes):
    """Work out one line's length, levers and closing speed.

    Returns whether it is at one of its hard ends in any lane: seldom, and if in none their forces are left out.
    """
    touching = False
    for lane in range(lanes):
        s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
        forward, up = turned(
            lines[number, LINE_AT.axle_forward * lanes + lane],
            lines[number, LINE_AT.axle_up * lanes + lane],
            m[s + at.SINE * lanes],
            m[s + at.COSINE * lanes],
        )
        dx = m[s + at.PLACE * lanes] + forward - lines[number, LINE_AT.body_forward * lanes + lane]
        dz = m[s + at.HEIGHT * lanes] + up - lines[number, LINE_AT.body_up * lanes + lane]
        length, by_length, by_jounce, by_wind_up = line(
            dx,
            dz,
            lines[number, LINE_AT.sideways * lanes + lane],
            forward,
            up,
            m[s + at.PLACE_1 * lanes],
        )
        jounce_speed = m[(at.COORDINATES + at.JOUNCE + 2 * axle) * lanes + lane]
        by_shift = dx * by_length
        m[at.LENGTH * lanes + lane] = length
        m[at.BY_JOUNCE * lanes + lane] = by_jounce
        m[at.BY_WIND_UP * lanes + lane] = by_wind_up
        m[at.BY_SHIFT * lanes + lane] = by_shift
        closing = -(by_jounce * jounce_speed + by_wind_up * m[s + at.TURNING * lanes])
        closing -= by_shift * m[(at.COORDINATES + at.SHIFT + axle) * lanes + lane]
        m[at.CLOSING * lanes + lane] = closing
        m[at.LAW * lanes + lane] = 0.0
        short = lines[number, LINE_AT.length_collapsed * lanes + lane] - length
        long = length - lines[number, LINE_AT.length_extended * lanes + lane]
        touching |= (short if short > long else long) > 0.0
    return touching


@blocked
def taut(m, lines, number, axle, lanes):
    """Return whether a strap is taut in any lane, without its length's root: mostly in none, and then it does nothing."""
    touching = False
    for lane in range(lanes):
        s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
        forward, up = turned(
            lines[number, LINE_AT.axle_forward * lanes + lane],
            lines[number, LINE_AT.axle_up * lanes + lane],
            m[s + at.SINE * lanes],
            m[s + at.COSINE * lanes],
        )
        dx = m[s + at.PLACE * lanes] + forward - lines[number, LINE_AT.body_forward * lanes + lane]
        dz = m[s + at.HEIGHT * lanes] + up - lines[number, LINE_AT.body_up * lanes + lane]
        side = lines[number, LINE_AT.sideways * lanes + lane]
        longest = lines[number, LINE_AT.length_extended * lanes + lane]
        touching |= dx * dx + dz * dz + side * side > longest * longest
    return touching


@blocked
def line_law(m, knots, group, speed, lanes):
    """Add one group of ramps to the line's curve, at the line's own speed or at that behind end bushes (a row)."""
    for lane in range(lanes):
        closing = m[speed * lanes + lane]
        force = knots[group, at.OFFSET * lanes + lane]
        for k in range(at.GROUP):
            r = k * at.PAIR_ROWS * lanes + lane
            force += ramps(
                closing,
                knots[group, r + at.COMPRESSION_START * lanes],
                knots[group, r + at.COMPRESSION_SLOPE * lanes],
                knots[group, r + at.EXTENSION_START * lanes],
                knots[group, r + at.EXTENSION_SLOPE * lanes],
            )
        m[at.LAW * lanes + lane] += force


@blocked
def line_slope(m, knots, group, lanes):
    """Add one group of ramps to the slope of the line's curve: end bushes need it."""
    for lane in range(lanes):
        closing = m[at.DRIVEN * lanes + lane]
        slope = 0.0
        for k in range(at.GROUP):
            r = k * at.PAIR_ROWS * lanes + lane
            slope += ramps_slope(
                closing,
                knots[group, r + at.COMPRESSION_START * lanes],
                knots[group, r + at.COMPRESSION_SLOPE * lanes],
                knots[group, r + at.EXTENSION_START * lanes],
                knots[group, r + at.EXTENSION_SLOPE * lanes],
            )
        m[at.SLOPE * lanes + lane] += slope


@blocked
def bush_predict(m, lines, memory, number, lanes, since):
    """Find the damper's own speed behind its end bushes: the series pair, solved so that it stays unstiff.

    With bush rate k and the law's slope s, the damper's speed u lags the line's v: (s/k) du/dt = v - u. Solved
    exactly for a slope kept from the start of the step and a v that runs straight (docs/equations.md, "End bushes").
    """
    for lane in range(lanes):
        closing = m[at.CLOSING * lanes + lane]
        u = memory[number, at.BUSH_DAMPER_SPEED * lanes + lane]
        v = memory[number, at.BUSH_LINE_SPEED * lanes + lane]
        slope = memory[number, at.BUSH_SLOPE * lanes + lane]
        lag = slope * lines[number, LINE_AT.bush_give * lanes + lane] / since
        left = decay(lag)
        driven = closing - lag * (1.0 - left) * (closing - v) + left * (u - v)
        m[at.SLOPE * lanes + lane] = 0.0
        m[at.DRIVEN * lanes + lane] = driven
        m[at.FORECAST * lanes + lane] = memory[number, at.BUSH_FORCE * lanes + lane] + slope * (driven - u)


@blocked
def bush_correct(m, lines, number, lanes, since, settled):
    """Move the damper's speed towards where its law gives the forecast force; differs only past a knee.

    Force runs on smoothly through a knee while the damper's speed does not, so it is the force that is forecast.
    What the forecast misses dies out on the new stretch with its own lag r (in steps): averaged over where in the
    step the knee was passed, r (1 - exp(-1/r)) of it is left, nothing for stiff bushes and all for soft ones.
    """
    for lane in range(lanes):
        slope = m[at.SLOPE * lanes + lane]
        miss = m[at.FORECAST * lanes + lane] - m[at.LAW * lanes + lane]
        lag = slope * lines[number, LINE_AT.bush_give * lanes + lane] / since
        soft = lag * (1.0 - decay(lag)) * (1.0 - settled)
        m[at.DRIVEN * lanes + lane] += soft * miss * slope / (slope * slope + 1e-9)
        m[at.LAW * lanes + lane] = 0.0
        m[at.SLOPE * lanes + lane] = 0.0


@blocked
def bush_keep(m, memory, number, lanes):
    """Remember the pair at the start of a step."""
    for lane in range(lanes):
        memory[number, at.BUSH_DAMPER_SPEED * lanes + lane] = m[at.DRIVEN * lanes + lane]
        memory[number, at.BUSH_LINE_SPEED * lanes + lane] = m[at.CLOSING * lanes + lane]
        memory[number, at.BUSH_SLOPE * lanes + lane] = m[at.SLOPE * lanes + lane]
        memory[number, at.BUSH_FORCE * lanes + lane] = m[at.LAW * lanes + lane]


@blocked
def line_forces(m, lines, number, axle, lanes, rows, spring, damper):
    """Sum one line's spring, gas and law into the axle's generalised forces."""
    for lane in range(lanes):
        s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
        count = lines[number, LINE_AT.number * lanes + lane]
        length = m[at.LENGTH * lanes + lane]
        force = 0.0
        if spring:
            force = lines[number, LINE_AT.rate * lanes + lane] * (
                lines[number, LINE_AT.length_free * lanes + lane] - length
            )
            least = lines[number, LINE_AT.force_least * lanes + lane]
            force = force if force > least else least
        if damper:
            gas = lines[number, LINE_AT.force_constant * lanes + lane] + lines[
                number, LINE_AT.force_rate * lanes + lane
            ] * (lines[number, LINE_AT.force_length * lanes + lane] - length)
            force += gas + m[at.LAW * lanes + lane]
        if rows > at.MOTION:  # only a traced run tells it
            m[at.WHOLE * lanes + lane] = force
        m[s + at.FORCE_JOUNCE * lanes] += count * force * m[at.BY_JOUNCE * lanes + lane]
        m[s + at.FORCE_WIND_UP * lanes] += count * force * m[at.BY_WIND_UP * lanes + lane]
        m[s + at.FORCE_SHIFT * lanes] += count * force * m[at.BY_SHIFT * lanes + lane]
        if damper and rows > at.MOTION:
            power = m[at.LAW * lanes + lane] * m[at.CLOSING * lanes + lane]
            m[(at.RATE + at.LOSS_DAMPERS) * lanes + lane] += count * power


@blocked
def line_ends(m, lines, number, axle, lanes, rows):
    """Add the forces of one line's hard ends: a damper's, a coil's solid length, a strap's taut one."""
    for lane in range(lanes):
        s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
        count = lines[number, LINE_AT.number * lanes + lane]
        length = m[at.LENGTH * lanes + lane]
        closing = m[at.CLOSING * lanes + lane]
        end_rate = lines[number, LINE_AT.end_rate * lanes + lane]
        end_loss = lines[number, LINE_AT.end_loss * lanes + lane]
        pushed, push_elastic = contact(
            lines[number, LINE_AT.length_collapsed * lanes + lane] - length, closing, end_rate, 0.0, end_loss
        )
        pulled, pull_elastic = contact(
            length - lines[number, LINE_AT.length_extended * lanes + lane], -closing, end_rate, 0.0, end_loss
        )
        force = pushed - pulled
        if rows > at.MOTION:
            m[at.WHOLE * lanes + lane] += force
        m[s + at.FORCE_JOUNCE * lanes] += count * force * m[at.BY_JOUNCE * lanes + lane]
        m[s + at.FORCE_WIND_UP * lanes] += count * force * m[at.BY_WIND_UP * lanes + lane]
        m[s + at.FORCE_SHIFT * lanes] += count * force * m[at.BY_SHIFT * lanes + lane]
        if rows > at.MOTION:
            m[(at.RATE + at.LOSS_CONTACTS) * lanes + lane] += (
                count * closing * (pushed - push_elastic - pulled + pull_elastic)
            )
