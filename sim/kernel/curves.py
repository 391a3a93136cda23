"""Curves that the kernel evaluates without a library call in its inner loop.

Each states its range and its error; tests/kernel/test_curves.py measures them.
"""

from sim.machine.jit import inlined

# Polynomials through sine and cosine at the Chebyshev nodes of (0.8 rad)², with the first coefficient left exact: two terms
# less than a Taylor series of that error. In pairs, not one inside the other: a single run waits for each result.


@inlined
def sine(angle):
    """Return sin(angle) for |angle| <= 0.8 rad, error below 1e-13."""
    q = angle * angle
    q2 = q * q
    high = (0.0083333333307220303 - 1.9841266576094697e-4 * q) + q2 * (2.755588969740718e-6 - 2.4796432150735248e-8 * q)
    return angle * ((1.0 - 0.16666666666663324 * q) + q2 * high)


@inlined
def cosine(angle):
    """Return cos(angle) for |angle| <= 0.8 rad, error below 1e-12."""
    q = angle * angle
    q2 = q * q
    high = (0.041666666632759198 - 1.3888884648886996e-3 * q) + q2 * (2.4799730783183533e-5 - 2.7225193009756945e-7 * q)
    return (1.0 - 0.49999999999956601 * q) + q2 * high


@inlined
def decay(ratio):
    """Return about exp(-1/ratio) for ratio >= 0, between 0 and 1, exact to 4th order for large ratio.

    One over the fourth-order series of exp(1/ratio), so it dies out for small ratio without a division
    by zero; the largest error is 0.0115, near ratio 0.3.
    """
    r2 = ratio * ratio
    r4 = r2 * r2
    return r4 / (r4 + r2 * ratio + r2 / 2.0 + ratio / 6.0 + 1.0 / 24.0)
