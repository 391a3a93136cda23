"""The machine's own limit: fused multiply-adds a second on one core, by a loop that does nothing else."""

import time

import numba
import numpy as np

SIDE_BY_SIDE = 10  # chains in flight: more than latency times units, fewer than registers
LENGTH = 32
NUMBERS = 128  # of each; all stay in the nearest cache


@numba.njit(fastmath={"contract"}, error_model="numpy")
def chains(x, factor, term, times):
    """Ten chains of x = x * factor + term side by side, so that none waits for another; the loop over i is vectorised."""
    for _ in range(times):
        for i in range(NUMBERS):
            a, b, c, d, e = x[0, i], x[1, i], x[2, i], x[3, i], x[4, i]
            f, g, h, j, k = x[5, i], x[6, i], x[7, i], x[8, i], x[9, i]
            for _ in range(LENGTH):
                a = a * factor + term
                b = b * factor + term
                c = c * factor + term
                d = d * factor + term
                e = e * factor + term
                f = f * factor + term
                g = g * factor + term
                h = h * factor + term
                j = j * factor + term
                k = k * factor + term
            x[0, i], x[1, i], x[2, i], x[3, i], x[4, i] = a, b, c, d, e
            x[5, i], x[6, i], x[7, i], x[8, i], x[9, i] = f, g, h, j, k


def peak(kind=np.float64):
    """Return a function that measures operations a second once; one fused multiply-add counts as two."""
    x = np.linspace(0.0, 1.0, SIDE_BY_SIDE * NUMBERS).astype(kind).reshape(SIDE_BY_SIDE, NUMBERS)
    factor, term, times = kind(0.999), kind(0.001), 400
    chains(x, factor, term, 1)

    def once():
        begin = time.perf_counter()
        chains(x, factor, term, times)
        return 2.0 * x.size * LENGTH * times / (time.perf_counter() - begin)

    return once
