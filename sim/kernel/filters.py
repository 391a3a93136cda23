"""Recursive filters of sampled signals."""

import numpy as np

from sim.kernel.jit import compiled


@compiled
def sum_of_second_orders(signal, numerators, denominators):
    """Return the sum (n,) of second-order recursions of a signal (n,), at rest before it.

    numerators, denominators : (m, 3) of 1, z^-1, z^-2; the denominators begin with 1 (A. V. Oppenheim, R. W. Schafer,
    Discrete-Time Signal Processing: transposed direct form II).
    """
    total = np.zeros(signal.size)
    for k in range(numerators.shape[0]):
        b0, b1, b2 = numerators[k, 0], numerators[k, 1], numerators[k, 2]
        a1, a2 = denominators[k, 1], denominators[k, 2]
        first = second = 0.0
        for i in range(signal.size):
            u = signal[i]
            y = b0 * u + first
            first = b1 * u - a1 * y + second
            second = b2 * u - a2 * y
            total[i] += y
    return total
