"""What is kept of a time history that nobody looks at as a whole: one pass over it as the run has written it, and sums of what people feel."""

import numpy as np

from sim.kernel.sums import HELD, section
from sim.machine.jit import FEW, compiled

AT_ONCE = 32
"""Outputs that are gone through at a time: so many fit into the nearest cache."""

SUMS = 3
"""Rows of sums after what the recursions hold: squares of the signal, squares and fourth powers of the weighted one."""


@compiled
def gather(trace, wanted, columns, least, most):
    """Put some channels of a time history (outputs, channels) one by one into columns (n, outputs), and take the extremes of all.

    wanted : (n,) numbers of the channels. least, most : (channels,), written.
    """
    count, channels = trace.shape
    for channel in range(channels):
        least[channel] = np.inf
        most[channel] = -np.inf
    for begin in range(0, count, AT_ONCE):
        end = min(begin + AT_ONCE, count)
        for i in range(begin, end):
            for channel in range(channels):
                least[channel] = min(trace[i, channel], least[channel])
                most[channel] = max(trace[i, channel], most[channel])
        for number in range(wanted.size):
            channel = wanted[number]
            for i in range(begin, end):
                columns[number, i] = trace[i, channel]


@compiled
def add_up_felt(signals, first, factors, m):
    """Take signals (n, FEW) through a sum of recursions from sample `first` on, and add up squares and fourth powers.

    factors : (SECTIONS, 5), as `sim.kernel.sums.add_up_filtered` has them. m : ((HELD + SUMS) * FEW,): what the recursions hold, from
    piece to piece, and the sums, by row.
    """
    for i in range(first, len(signals)):
        for lane in range(FEW):
            u = signals[i, lane]
            # Named one by one: in a loop over them what they hold would be looked at for overlaps at every turn.
            y = (
                section(u, factors, 0, m, lane, FEW)
                + section(u, factors, 1, m, lane, FEW)
                + section(u, factors, 2, m, lane, FEW)
                + section(u, factors, 3, m, lane, FEW)
            )
            square = y * y
            m[HELD * FEW + lane] += u * u
            m[(HELD + 1) * FEW + lane] += square
            m[(HELD + 2) * FEW + lane] += square * square
