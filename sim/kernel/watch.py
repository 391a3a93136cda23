"""What a block tells of its lanes while it runs: some rows of its memory over time, and how far its lines went."""

from sim.kernel import layout as at
from sim.kernel.curves import cosine, sine
from sim.kernel.jit import BLOCK, blocked, compiled

ROWS = len(at.WATCHED)
W_PITCH, W_PITCHING, W_RISING, W_TURNING = (
    at.WATCHED.index(row)
    for row in (at.PITCH, at.COORDINATES + at.PITCH, at.RATE + at.COORDINATES + at.Z, at.RATE + at.COORDINATES + at.PITCH)
)  # fmt: skip


@blocked
def watch(m, out, wrote, lanes):
    """Write the watched rows of every lane as one row of out (outputs, ROWS * lanes)."""
    for k in range(ROWS):
        row = at.WATCHED[k] * lanes
        for lane in range(lanes):
            out[wrote, k * lanes + lane] = m[row + lane]


@blocked
def reach(m, memory, number, lanes):
    """Keep a line's least and greatest length and closing speed."""
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
def upward(out, forward, up, made):
    """Work out the upward acceleration [m/s²] of a point of the body for every lane of a block, in double precision.

    out : (outputs, ROWS * BLOCK) as watched, of either precision. forward, up : (BLOCK,) the point of each lane, from the
    centre of gravity in body axes [m]. made : (outputs, BLOCK), written.
    """
    for i in range(out.shape[0]):
        for lane in range(BLOCK):
            pitch = 1.0 * out[i, W_PITCH * BLOCK + lane]
            speed = 1.0 * out[i, W_PITCHING * BLOCK + lane]
            turning = 1.0 * out[i, W_TURNING * BLOCK + lane]
            s, c = sine(pitch), cosine(pitch)
            away = turning * c - speed * speed * s
            lifted = turning * s + speed * speed * c
            made[i, lane] = out[i, W_RISING * BLOCK + lane] - forward[lane] * away - up[lane] * lifted
