"""Measures: how often an axle ran into its stops, its straps and the ends of its dampers."""

from functools import partial
from math import nan
from typing import Any

import numpy as np
import numpy.typing as npt

from sim.integrate.result import Run
from sim.integrate.traces import DamperTrace
from sim.measure.measure import Carries, Measure, Shown, placed
from sim.measure.signals import AXLES, axle_of, contacts


def stop_hits(run: Run, axle: str) -> float:
    """Return how often an axle ran into its stops; nan without any."""
    trace = axle_of(run, axle)
    # Without a stop there is nothing to hit: 0 would look like a good answer.
    if trace.jounce_at_stop_m is None:
        return nan
    hit = trace.stop_force_n > 0.0
    if hit.ndim == 1:
        return float(contacts(hit, run.time_s))
    each: Any = np.array([contacts(lane, run.time_s) for lane in hit.T], float)
    hits: float = each  # an array (lanes,) of many: `float` is what the type checker is given for both
    return hits


def strap_hits(run: Run, axle: str) -> float:
    """Return how often an axle's straps were drawn taut; nan without any that can be."""
    trace = axle_of(run, axle)
    if trace.jounce_at_strap_m is None:
        return nan
    return float(contacts(trace.strap_force_n > 0.0, run.time_s))


def collapsed(damper: DamperTrace) -> npt.NDArray[np.bool_]:
    """Return whether a damper is against its collapsed end, a sample each (n,)."""
    # an end that nobody knows is never reached
    least = -np.inf if damper.length_collapsed_m is None else damper.length_collapsed_m
    return np.asarray(damper.length_m < least)


def extended(damper: DamperTrace) -> npt.NDArray[np.bool_]:
    """Return whether a damper is against its extended end, a sample each (n,)."""
    most = np.inf if damper.length_extended_m is None else damper.length_extended_m
    return np.asarray(damper.length_m > most)


def damper_end_hits(run: Run, axle: str) -> float:
    """Return how often the damper sets of an axle reached an end, each set counted for itself.

    nan if no damper's lengths are known.
    """
    known = [
        damper
        for damper in axle_of(run, axle).dampers.values()
        if damper.length_collapsed_m is not None or damper.length_extended_m is not None
    ]
    if not known:
        return nan
    # Either end counts by itself, so a damper that goes from one to the other has two hits.
    ends = [end(damper) for damper in known for end in (collapsed, extended)]
    return float(sum(contacts(touching, run.time_s) for touching in ends))


SHOWN = {
    "front_stop_hits": Shown(key=30, table=170),
    "front_damper_end_hits": Shown(key=120, table=190),
    "front_strap_hits": Shown(key=100),
    "rear_stop_hits": Shown(key=40, table=180, table_driven=260),
    "rear_damper_end_hits": Shown(key=130, table=200, table_driven=270),
    "rear_strap_hits": Shown(key=110),
}


CARRIED = {
    f"{axle}_stop_hits": Carries(
        "travel", place, ("course",),
        f"meets its {axle} bump stops {{to}} times, not {{of}}", f"meets its {axle} bump stops {{to}} times, not {{of}}",
        called=f"{axle} bump stop hits",
    )
    for place, axle in ((20, "front"), (21, "rear"))
}  # fmt: skip


def _of(axle: str) -> tuple[Measure, ...]:
    label = axle.capitalize()
    separate = "Separate contacts that began in the run; parted for less than 20 ms is one."
    return (
        Measure(
            f"{axle}_stop_hits", f"{label} bump stop hits", "count", "less",
            partial(stop_hits, axle=axle), separate, "lanes",
        ),
        Measure(
            f"{axle}_strap_hits", f"{label} limit strap hits", "count", "less",
            partial(strap_hits, axle=axle), separate,
        ),
        Measure(
            f"{axle}_damper_end_hits", f"{label} damper-end hits", "count", "less",
            partial(damper_end_hits, axle=axle),
            # Bump stops are made to be hit; a damper's end is metal on metal, so one is too many.
            f"{separate} Either end of each set; on the truck it breaks mounts or seals.", limit=0.0,
            beyond="runs {axle} dampers to their ends",
        ),
    )  # fmt: skip


def measures(run: Run) -> tuple[Measure, ...]:
    """Return the measures of this family for a run."""
    return placed((measure for axle in AXLES for measure in _of(axle)), SHOWN, CARRIED)
