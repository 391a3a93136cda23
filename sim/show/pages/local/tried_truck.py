"""A truck that is tried, beside its runs: damping ratios, how many times its force a damper has, signals of its drive."""

import numpy as np
import numpy.typing as npt

from sim.describe.parts.vehicle import Vehicle
from sim.errors import JounceError
from sim.integrate.result import Run
from sim.linear.standing import axles_at_rest
from sim.lower.lowering import lower
from sim.lower.rest import rest
from sim.measure.signals import AXLES

CURVE_M_PER_S = np.linspace(-1.0, 1.0, 81)
"""Damper speeds at which a force-speed curve is drawn, to 1 m/s (39 in/s) each way."""


def damping_ratios(vehicle: Vehicle) -> dict[str, str]:
    """Return each axle's damping ratio as the set-up stands, as it is shown; none of what cannot stand."""
    try:
        # Its axles alone: how the whole truck swings takes as long again, at each move of a slider.
        setup = lower(vehicle)
        return {axle: f"{own.damping_ratio:.2f}" for axle, own in axles_at_rest(setup, rest(setup)).items()}
    except JounceError:  # said where it is run
        return {}


def times_of(vehicle: Vehicle, axle: str, name: str) -> str:
    """Return how many times the force of the truck as it is typed a damper has, `0.5`; empty where its curve has another shape, or there was none."""
    before = dict(vehicle.reference.axles)[axle].dampers.get(name)
    if before is None:
        return ""
    now, was = (
        np.asarray(one.valving.force(CURVE_M_PER_S)) for one in (dict(vehicle.axles)[axle].dampers[name], before)
    )
    moving = np.abs(was) > 1e-6 * np.max(np.abs(was))
    shares = now[moving] / was[moving]
    # What is written in four digits differs by less than this.
    alike = shares.size > 0 and float(np.ptp(shares)) <= 0.005 * abs(float(np.mean(shares)))
    return f"{float(np.mean(shares)):.3g}" if alike else ""


def driven_signals(run: Run) -> dict[str, npt.NDArray[np.float64]]:
    """Return what is drawn of a run that drives beside what is drawn of every run: road speed, and slip of each axle's wheels."""
    if run.drive is None:
        return {}
    return {
        "speed_m_per_s": run.drive.speed_m_per_s,
        **{f"{axle}.slip": getattr(run.drive, axle).slip for axle in AXLES},
    }


def driven_axle(vehicle: Vehicle) -> str:
    """Return the axle that pulls away first of all: the front one where that alone is driven."""
    line = vehicle.driveline
    return "front" if line is not None and line.drive == "front" else "rear"
