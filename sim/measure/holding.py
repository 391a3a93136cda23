"""Measures: what it takes to hold the speed over a course whose bumps push back, or what the truck loses of it."""

import numpy as np

from sim.integrate.result import Run
from sim.measure.measure import Measure, Shown, placed
from sim.measure.signals import time_mean


def mean_force(run: Run) -> float:
    """Return the mean force forwards of the driver [N]."""
    return time_mean(run.driver_force_n, run.time_s)


def largest_force(run: Run) -> float:
    """Return the greatest force of the driver either way [N]."""
    return float(np.max(np.abs(run.driver_force_n)))


def mean_power(run: Run) -> float:
    """Return the mean power of the driver [W]: what the bumps cost."""
    return time_mean(run.driver_force_n * (run.speed_m_per_s + run.gained_m_per_s), run.time_s)


def lost(run: Run) -> float:
    """Return how much slower the truck is at the end than at the start [m/s]."""
    return -float(run.gained_m_per_s[-1])


def behind(run: Run) -> float:
    """Return how far at the end the truck is behind one that had held its speed [m]."""
    return -float(run.gained_m[-1])


DRIVEN: tuple[Measure, ...] = (
    Measure(
        "driver_force_mean", "Force that holds the speed: mean", "force", None, mean_force,
        "At the body's centre of gravity, over the whole run: the rolling resistance of the bumps. That of tyres on smooth "
        "ground is not in it.",
    ),
    Measure(
        "driver_force_most", "Force that holds the speed: greatest", "force", None, largest_force,
        "Either way. An ideal driver's is what it takes to keep the body from surging at all.",
    ),
    Measure(
        "driver_power", "Power that holds the speed", "power", None, mean_power,
        "Mean over the run; what dampers, tyres and friction turn into heat, and what the truck has stored at the end.",
    ),
)  # fmt: skip

COASTING: tuple[Measure, ...] = (
    Measure(
        "speed_lost", "Speed lost over the run", "road_speed", None, lost,
        "At the end of the run against its start: what the bumps have taken.",
    ),
    Measure(
        "behind", "Way lost over the run", "distance", None, behind,
        "How far at the end it is behind a truck that had held its speed.",
    ),
)  # fmt: skip

SHOWN = {"driver_power": Shown(table=204), "speed_lost": Shown(table=206)}


def measures(run: Run) -> tuple[Measure, ...]:
    """Return the measures of this family for a run: of one that goes over bumps which push back."""
    if not run.pushes_back or run.drive is not None:
        return ()
    # Nothing holds the speed of a truck that coasts; one whose speed is held ideally loses none.
    return placed((*(() if run.coasts else DRIVEN), *(COASTING if run.surges else ())), SHOWN)
