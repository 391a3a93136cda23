"""What a block tells of its lanes while it runs: some rows of its memory over time, and how far its lines went."""

from sim.kernel import layout as at
from sim.kernel.jit import blocked

ROWS = len(at.WATCHED)


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
