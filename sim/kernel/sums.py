"""Sums over time of what all lanes of a block did, in one pass each and with nothing kept of it.

All take signals (outputs, BLOCK) in double precision and the share of the time that each output stands for, weights (outputs,), and add to
sums of a lane in the order of the outputs: a lane has the same digits whatever its neighbours did.
"""

from sim.machine.jit import BLOCK, compiled, inlined

SECTIONS = 4
"""Recursions of second order that a signal goes through side by side, at most; fewer are filled up with noughts."""

HELD = 2 * SECTIONS
"""Rows of what the recursions hold; the row after them is the sum."""


@compiled
def add_up(signals, weights, sums):
    """Add weights x signals to sums (BLOCK,)."""
    count = len(signals)
    # Four at a time, in their order: a sum that is written at each output waits for itself.
    for quarter in range(count // 4):
        i = 4 * quarter
        for lane in range(BLOCK):
            sums[lane] = (
                sums[lane]
                + weights[i] * signals[i, lane]
                + weights[i + 1] * signals[i + 1, lane]
                + weights[i + 2] * signals[i + 2, lane]
                + weights[i + 3] * signals[i + 3, lane]
            )
    for i in range(count - count % 4, count):
        for lane in range(BLOCK):
            sums[lane] += weights[i] * signals[i, lane]


@compiled
def add_up_squares(signals, about, weights, sums):
    """Add weights x (signals - about)^2 to sums (BLOCK,); about (BLOCK,)."""
    count = len(signals)
    for quarter in range(count // 4):
        i = 4 * quarter
        for lane in range(BLOCK):
            a = signals[i, lane] - about[lane]
            b = signals[i + 1, lane] - about[lane]
            c = signals[i + 2, lane] - about[lane]
            d = signals[i + 3, lane] - about[lane]
            sums[lane] = (
                sums[lane]
                + weights[i] * a * a
                + weights[i + 1] * b * b
                + weights[i + 2] * c * c
                + weights[i + 3] * d * d
            )
    for i in range(count - count % 4, count):
        for lane in range(BLOCK):
            off = signals[i, lane] - about[lane]
            sums[lane] += weights[i] * off * off


@inlined
def section(u, factors, number, m, lane, lanes):
    """Take one lane's signal through one of the recursions (A. V. Oppenheim, R. W. Schafer, Discrete-Time Signal Processing: transposed direct form II)."""
    held = 2 * number * lanes + lane
    y = factors[number, 0] * u + m[held]
    m[held] = factors[number, 1] * u - factors[number, 3] * y + m[held + lanes]
    m[held + lanes] = factors[number, 2] * u - factors[number, 4] * y
    return y


@compiled
def add_up_filtered(signals, factors, weights, m):
    """Add weights x squares of filtered signals to the row HELD of m.

    factors : (SECTIONS, 5) of recursions of second order that add up, at rest before the first output: 1, z^-1, z^-2 of the numerator,
    z^-1, z^-2 of the denominator. m : ((HELD + 1) * BLOCK,) of noughts.
    """
    for i in range(len(signals)):
        weight = weights[i]
        for lane in range(BLOCK):
            u = signals[i, lane]
            # Named one by one: in a loop over them what they hold would be looked at for overlaps at every turn.
            y = (
                section(u, factors, 0, m, lane, BLOCK)
                + section(u, factors, 1, m, lane, BLOCK)
                + section(u, factors, 2, m, lane, BLOCK)
                + section(u, factors, 3, m, lane, BLOCK)
            )
            m[HELD * BLOCK + lane] += weight * y * y
