"""What a block tells of its lanes while it runs: rows of its memory over time, and how far its motion and its lines went."""

from sim.kernel import layout as at
from sim.kernel.curves import cosine, sine
from sim.machine.jit import BLOCK, blocked, compiled


@blocked
def watch(m, out, watched, wrote, lanes):
    """Write the watched rows of every lane as one output of out (watched rows, outputs, lanes)."""
    for k in range(watched.size):
        row = watched[k] * lanes
        for lane in range(lanes):
            out[k, wrote, lane] = m[row + lane]


@blocked
def farthest(m, lanes):
    """Keep the greatest and the least jounce and pitch of every lane."""
    for lane in range(lanes):
        for axle in range(at.AXLES):
            jounce = m[(at.JOUNCE + 2 * axle) * lanes + lane]
            most = m[(at.JOUNCE_MOST + axle) * lanes + lane]
            least = m[(at.JOUNCE_LEAST + axle) * lanes + lane]
            m[(at.JOUNCE_MOST + axle) * lanes + lane] = jounce if jounce > most else most
            m[(at.JOUNCE_LEAST + axle) * lanes + lane] = jounce if jounce < least else least
        pitch = m[at.PITCH * lanes + lane]
        most, least = m[at.PITCH_MOST * lanes + lane], m[at.PITCH_LEAST * lanes + lane]
        m[at.PITCH_MOST * lanes + lane] = pitch if pitch > most else most
        m[at.PITCH_LEAST * lanes + lane] = pitch if pitch < least else least


@blocked
def reach(m, memory, number, lanes):
    """Keep a line's least and greatest length and closing speed; seldom does any lane pass its own, and else none is written."""
    passed = False
    for lane in range(lanes):
        length = m[at.LENGTH * lanes + lane]
        closing = m[at.CLOSING * lanes + lane]
        passed |= (
            (length < memory[number, at.LEAST_LENGTH * lanes + lane])
            | (length > memory[number, at.MOST_LENGTH * lanes + lane])
            | (closing > memory[number, at.FASTEST_CLOSING * lanes + lane])
            | (closing < memory[number, at.FASTEST_OPENING * lanes + lane])
        )
    if passed:
        for lane in range(lanes):
            length = m[at.LENGTH * lanes + lane]
            closing = m[at.CLOSING * lanes + lane]
            least, most = memory[number, at.LEAST_LENGTH * lanes + lane], memory[number, at.MOST_LENGTH * lanes + lane]
            fast, back = (
                memory[number, at.FASTEST_CLOSING * lanes + lane],
                memory[number, at.FASTEST_OPENING * lanes + lane],
            )
            memory[number, at.LEAST_LENGTH * lanes + lane] = length if length < least else least
            memory[number, at.MOST_LENGTH * lanes + lane] = length if length > most else most
            memory[number, at.FASTEST_CLOSING * lanes + lane] = closing if closing > fast else fast
            memory[number, at.FASTEST_OPENING * lanes + lane] = closing if closing < back else back


@compiled
def upward(pitches, pitching, rising, turning, forward, up, made):
    """Work out the upward acceleration [m/s²] of a point of the body for every lane of a block, in double precision.

    pitches, pitching, rising, turning : (outputs, BLOCK) as watched, of either precision: the body's pitch and its speed,
    accelerations of the centre of gravity and of pitch. forward, up : (BLOCK,) the point of each lane, from the centre of
    gravity in body axes [m]. made : (outputs, BLOCK), written.
    """
    for i in range(len(made)):
        for lane in range(BLOCK):
            pitch = 1.0 * pitches[i, lane]
            speed = 1.0 * pitching[i, lane]
            faster = 1.0 * turning[i, lane]
            s, c = sine(pitch), cosine(pitch)
            away = faster * c - speed * speed * s
            lifted = faster * s + speed * speed * c
            made[i, lane] = rising[i, lane] - forward[lane] * away - up[lane] * lifted
