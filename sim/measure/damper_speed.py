"""Measures: how fast and how hard each damper set works, and the heat it makes."""

from collections.abc import Callable
from functools import partial
from math import nan

from sim.integrate.result import Run
from sim.integrate.traces import DamperTrace
from sim.measure.measure import UNSHOWN, Better, Measure, Shown
from sim.measure.signals import axle_of, least, most, positive, time_mean
from sim.measure.speed_shares import time_below_knees


def damper_of(run: Run, axle: str, name: str) -> DamperTrace | None:
    """Return a damper set's trace, None if this set-up has no such set."""
    return axle_of(run, axle).dampers.get(name)


def compression_speed(run: Run, axle: str, name: str) -> float:
    """Return the fastest closing speed of a set [m/s]."""
    damper = damper_of(run, axle, name)
    return nan if damper is None else positive(most(damper.speed_m_per_s))


def rebound_speed(run: Run, axle: str, name: str) -> float:
    """Return the fastest opening speed of a set [m/s], as a positive number."""
    damper = damper_of(run, axle, name)
    # Closing is positive in all traces; people read rebound as a speed of its own.
    return nan if damper is None else positive(-least(damper.speed_m_per_s))


def compression_force(run: Run, axle: str, name: str) -> float:
    """Return the largest push of one damper of a set on its mounts [N]."""
    damper = damper_of(run, axle, name)
    return nan if damper is None else max(float(damper.force_n.max()), 0.0)


def rebound_force(run: Run, axle: str, name: str) -> float:
    """Return the largest pull of one damper of a set on its mounts [N], as a positive number."""
    damper = damper_of(run, axle, name)
    return nan if damper is None else max(-float(damper.force_n.min()), 0.0)


def power(run: Run, axle: str, name: str) -> float:
    """Return the mean power that one damper of a set takes up [W].

    The mean of force times closing speed over the run: what becomes heat, but for what its gas,
    bushes and ends hold more at the end of the run than at its beginning.
    """
    damper = damper_of(run, axle, name)
    # Push while closing and pull while opening both give plus: power taken up.
    return nan if damper is None else time_mean(damper.force_n * damper.speed_m_per_s, run.time_s)


def past_knees(run: Run, axle: str, name: str) -> float:
    """Return the share of the run that a set spends past its knees; nan if its law has none."""
    damper = damper_of(run, axle, name)
    return nan if damper is None else 1.0 - time_below_knees(damper)


Of = Callable[..., float]

KINDS: tuple[tuple[str, str, str, Better, Of, str], ...] = (
    ("compression_speed", "fastest compression", "speed", None, compression_speed,
     "Closing speed of its ends."),
    ("rebound_speed", "fastest rebound", "speed", None, rebound_speed,
     "Opening speed of its ends."),
    ("compression_force", "largest push", "force", "less", compression_force,
     "Of one damper on its mounts; gas and hard ends count."),
    ("rebound_force", "largest pull", "force", "less", rebound_force,
     "Of one damper on its mounts; gas and hard ends count."),
    ("power", "mean power", "power", None, power,
     "Heat of one damper, over the whole run. Compare it only between runs of the same length."),
    ("time_past_knees", "time past its knees", "percent", None, past_knees,
     "Share of the whole run; the rest is on its low-speed valving, or still. A valving without a knee has none."),
)  # fmt: skip


def measures(run: Run) -> tuple[Measure, ...]:
    """Return the measures of this family for a run: six a damper set."""
    return tuple(
        Measure(
            f"{axle}_{name}_{key}",
            f"{axle.capitalize()} damper '{name}': {label}",
            quantity,
            better,
            partial(of, axle=axle, name=name),
            note,
            "lanes" if quantity == "speed" else "no",  # of a block's dampers only the extremes are kept
            UNSHOWN if key == "time_past_knees" else Shown(table=210),
        )
        for axle, trace in run.axles
        for name in trace.dampers
        for key, label, quantity, better, of, note in KINDS
    )
