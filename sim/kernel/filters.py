"""Recursive filters of sampled signals."""

import numpy as np

from sim.machine.jit import compiled


@compiled
def sum_of_second_orders(signals, numerators, denominators):
    """Return the sum (n, lanes) of second-order recursions of signals (n, lanes) side by side, at rest before them.

    numerators, denominators : (m, 3) of 1, z^-1, z^-2; the denominators begin with 1 (A. V. Oppenheim, R. W. Schafer,
    Discrete-Time Signal Processing: transposed direct form II).
    """
    count, lanes = signals.shape
    sections = numerators.shape[0]
    total = np.zeros((count, lanes))
    first, second = np.zeros((sections, lanes)), np.zeros((sections, lanes))
    for i in range(count):
        for k in range(sections):
            b0, b1, b2 = numerators[k, 0], numerators[k, 1], numerators[k, 2]
            a1, a2 = denominators[k, 1], denominators[k, 2]
            for lane in range(lanes):  # the recursion waits for itself, its neighbours need not
                u = signals[i, lane]
                y = b0 * u + first[k, lane]
                first[k, lane] = b1 * u - a1 * y + second[k, lane]
                second[k, lane] = b2 * u - a2 * y
                total[i, lane] += y
    return total
