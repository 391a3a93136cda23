"""Measures what a damper law claims of itself against its own force, sampled closely."""

import numpy as np

from sim.describe.parts.dampers import ramps

FASTEST = 2.5
"""Speed [m/s] up to which claims are measured, unless a law claims less."""

ROUNDING = 1e-9
MISS = 1.02
"""Between the points at which a law holds its ramps to its curve they may miss it by a little more."""


def broken(law):
    """Return the claims of a law that its force does not keep, in words; none if it keeps them all."""
    claims = law.claims
    fast = min(FASTEST, claims.fastest)
    speeds = np.linspace(-fast, fast, 20_001)
    force = law.force(speeds)
    found = []
    if not claims.source.strip():
        found.append("source")
    if law.force(0.0) != 0.0:
        found.append("nothing at rest")
    if np.any(force * speeds < 0.0):
        found.append("never drives")
    if np.max(np.abs(np.diff(force))) > 4.0:
        found.append("continuous")
    if claims.odd and not np.allclose(force, -force[::-1], rtol=1e-12, atol=ROUNDING):
        found.append("odd")
    if claims.monotone and np.any(np.diff(force) < -ROUNDING):
        found.append("monotone")
    backwards = np.array([float(law.force(v)) for v in speeds[::-400]])
    if not claims.memory and not np.allclose(backwards, force[::-400], rtol=1e-12, atol=ROUNDING):
        found.append("no memory")
    error = np.abs(ramps.force(law.lower(), speeds) - force)
    if np.any(error > MISS * claims.allowed(force) + ROUNDING):
        found.append("bound")
    if not np.allclose(law.scaled(0.5).force(speeds), 0.5 * force, rtol=1e-6, atol=1e-12):
        found.append("scaled")
    bump, rebound = (2.0, 0.5) if "split" in law.moves else (1.25, 1.25)
    wanted = np.where(speeds > 0.0, bump, rebound) * force
    if not np.allclose(law.sided(2.0, 0.5).force(speeds), wanted, rtol=1e-6, atol=1e-12):
        found.append("sided")
    return found
