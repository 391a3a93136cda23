"""Curves that the kernel evaluates without a library call in its inner loop.

Each states its range and its error; tests/kernel/test_curves.py measures them.
"""

from sim.kernel.jit import inlined


@inlined
def sine(angle):
    """Return sin(angle) for |angle| <= 0.8 rad, error below 1e-12 (Taylor series to the 13th power)."""
    # In pairs, not one inside the other: a single run waits for each result, so short chains count.
    q = angle * angle
    q2 = q * q
    low = (1.0 - q / 6.0) + q2 * (1.0 / 120.0 - q / 5040.0)
    high = (1.0 / 362880.0 - q / 39916800.0) + q2 / 6227020800.0
    return angle * (low + q2 * q2 * high)


@inlined
def cosine(angle):
    """Return cos(angle) for |angle| <= 0.8 rad, error below 1e-12 (Taylor series to the 14th power)."""
    q = angle * angle
    q2 = q * q
    low = (1.0 - q / 2.0) + q2 * (1.0 / 24.0 - q / 720.0)
    high = (1.0 / 40320.0 - q / 3628800.0) + q2 * (1.0 / 479001600.0 - q / 87178291200.0)
    return low + q2 * q2 * high


@inlined
def decay(ratio):
    """Return about exp(-1/ratio) for ratio >= 0, between 0 and 1, exact to 4th order for large ratio.

    One over the fourth-order series of exp(1/ratio), so it dies out for small ratio without a division
    by zero; the largest error is 0.0115, near ratio 0.3.
    """
    r2 = ratio * ratio
    r4 = r2 * r2
    return r4 / (r4 + r2 * ratio + r2 / 2.0 + ratio / 6.0 + 1.0 / 24.0)
