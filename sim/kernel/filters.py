"""Recursive filters of sampled signals."""

from sim.machine.jit import compiled


@compiled
def sum_of_second_orders(signals, numerators, denominators, memory, total):
    """Add the sum (n, lanes) of second-order recursions of signals (n, lanes) side by side, at rest before them.

    numerators, denominators : (m, 3) of 1, z^-1, z^-2; the denominators begin with 1 (A. V. Oppenheim, R. W. Schafer,
    Discrete-Time Signal Processing: transposed direct form II). memory : (2, m, lanes) of noughts, what the recursions hold.
    total : (n, lanes), added to.
    """
    count, lanes = signals.shape
    sections = numerators.shape[0]
    for i in range(count):
        for k in range(sections):
            b0, b1, b2 = numerators[k, 0], numerators[k, 1], numerators[k, 2]
            a1, a2 = denominators[k, 1], denominators[k, 2]
            for lane in range(lanes):  # the recursion waits for itself, its neighbours need not
                u = signals[i, lane]
                y = b0 * u + memory[0, k, lane]
                memory[0, k, lane] = b1 * u - a1 * y + memory[1, k, lane]
                memory[1, k, lane] = b2 * u - a2 * y
                total[i, lane] += y
