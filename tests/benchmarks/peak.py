"""The machine's own limit: fused multiply-adds a second on one core, by a loop that does nothing else."""

import time

import numba
import numpy as np

NUMBERS = 1024  # they stay in the nearest cache
CHAIN = 8
"""Long against a load and a store, short enough that the processor has several chains in flight and none waits."""


@numba.njit(fastmath={"contract"}, error_model="numpy")
def chains(x, factor, term, times):
    """Work off chains of x = x * factor + term, vectorised over x."""
    for _ in range(times):
        for i in range(x.size):
            value = x[i]
            for _ in range(CHAIN):
                value = value * factor + term
            x[i] = value


def peak(kind=np.float64):
    """Return a function that measures operations a second once; one fused multiply-add counts as two."""
    raw = np.zeros(NUMBERS + 64, kind)
    begin = (-raw.ctypes.data // raw.itemsize) % (64 // raw.itemsize)
    x = raw[begin : begin + NUMBERS]
    factor, term, times = kind(0.999), kind(0.001), 2000
    chains(x, factor, term, 1)

    def once():
        begin = time.process_time()
        chains(x, factor, term, times)
        return 2.0 * NUMBERS * CHAIN * times / (time.process_time() - begin)

    return once
