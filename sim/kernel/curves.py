"""Curves that the kernel evaluates without a library call in its inner loop.

Each states its range and its error; tests/kernel/test_curves.py measures them.
"""

from sim.kernel.jit import inlined


@inlined
def sine(angle):
    """Return sin(angle) for |angle| <= 0.8 rad, error below 1e-12 (Taylor series to the 13th power)."""
    q = angle * angle
    return angle * (
        1.0 - q / 6.0 * (1.0 - q / 20.0 * (1.0 - q / 42.0 * (1.0 - q / 72.0 * (1.0 - q / 110.0 * (1.0 - q / 156.0)))))
    )


@inlined
def cosine(angle):
    """Return cos(angle) for |angle| <= 0.8 rad, error below 1e-12 (Taylor series to the 14th power)."""
    q = angle * angle
    return 1.0 - q / 2.0 * (
        1.0 - q / 12.0 * (1.0 - q / 30.0 * (1.0 - q / 56.0 * (1.0 - q / 90.0 * (1.0 - q / 132.0 * (1.0 - q / 182.0)))))
    )


@inlined
def decay(ratio):
    """Return about exp(-1/ratio) for ratio >= 0, between 0 and 1, exact to 4th order for large ratio.

    One over the fourth-order series of exp(1/ratio), so it dies out for small ratio without a division
    by zero; the largest error is 0.0115, near ratio 0.3.
    """
    r2 = ratio * ratio
    r4 = r2 * r2
    return r4 / (r4 + r2 * ratio + r2 / 2.0 + ratio / 6.0 + 1.0 / 24.0)
