"""How a damper's time and work are shared out over its speeds."""

import numpy as np

from sim.integrate.traces import Array, DamperTrace


def work(damper: DamperTrace) -> Array:
    """Return what one damper's law takes up at each sample [W]."""
    speed = np.nan_to_num(damper.speed_m_per_s)  # nan, of a run that blew up, counts as rest
    # The law's force alone: gas and hard ends push back and take nothing up.
    power: Array = np.asarray(damper.valving.force(speed) * speed, np.float64)
    return power


def shares(damper: DamperTrace, edges: Array) -> tuple[Array, Array]:
    """Return the shares of time and of work in each bin of speed between `edges` (n + 1,) [m/s], each (n,)."""
    speed = np.nan_to_num(damper.speed_m_per_s)
    time = np.histogram(speed, edges)[0] / max(speed.size, 1)
    taken = np.histogram(speed, edges, weights=work(damper))[0]
    whole = float(np.sum(taken))
    # a damper that never moved has no shares to give
    return time, taken / whole if whole > 0.0 else np.zeros(len(edges) - 1)


def knees(damper: DamperTrace) -> tuple[float, ...]:
    """Return the speeds of the law's knees [m/s], compression positive; none where it has no knee."""
    bump, rebound = damper.valving.opens_at()
    return (bump[0], -rebound[0]) if bump and rebound else ()  # rebound is opening, which is negative here


def work_past_knees(damper: DamperTrace) -> float:
    """Return the share of its work that a damper does past its knees; nan without a knee or any work."""
    at = knees(damper)
    power = work(damper)
    whole = float(np.sum(power))
    if not at or whole <= 0.0:
        return float("nan")
    # Past either knee, each on its own side: each way has a valve of its own.
    speed = np.nan_to_num(damper.speed_m_per_s)
    return float(np.sum(power[(speed > at[0]) | (speed < at[1])]) / whole)


def time_below_knees(damper: DamperTrace) -> float:
    """Return the share of its time that a damper spends between its knees, on its low-speed valving; nan without a knee."""
    at = knees(damper)
    if not at or not damper.speed_m_per_s.size:
        return float("nan")
    speed = np.nan_to_num(damper.speed_m_per_s)
    return float(np.mean((speed <= at[0]) & (speed >= at[1])))


def middle_speed(damper: DamperTrace) -> float:
    """Return the speed, either way, below which a damper does half of its work [m/s]; nan if it does none."""
    power = work(damper)
    whole = float(np.sum(power))
    if whole <= 0.0:
        return float("nan")
    speed = np.abs(np.nan_to_num(damper.speed_m_per_s))
    # Sorted by speed, work adds up from the slowest sample on.
    order = np.argsort(speed)
    return float(speed[order][int(np.searchsorted(np.cumsum(power[order]), 0.5 * whole))])
