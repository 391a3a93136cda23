"""How far an axle winds up, pinion up and down, and which of both ways shafts and brakes wind it."""

from sim.integrate.result import Run
from sim.measure.signals import axle_of


def pinion_up(run: Run, axle: str) -> float:
    """Return the greatest wind-up, pinion upwards [rad]."""
    # pinion up is positive for both axles (docs/equations.md)
    return max(float(axle_of(run, axle).wind_up_rad.max()), 0.0)


def pinion_down(run: Run, axle: str) -> float:
    """Return the greatest wind-up, pinion downwards [rad]."""
    return max(-float(axle_of(run, axle).wind_up_rad.min()), 0.0)


WOUND: dict[str, dict[str, str]] = {
    "launch": {"front": "pinion_down", "rear": "pinion_up"},
    "stop": {"front": "pinion_up", "rear": "pinion_down"},
}
"""Which way shafts or brakes wind an axle, by kind of run. Brakes turn both housings with the wheels: a rear pinion, which points forward,
goes down, and a front one, which points back, up; under power it is the other way about (docs/equations.md)."""


def wound_up(run: Run, axle: str) -> float:
    """Return how far an axle winds up at most, the way that shafts or brakes wind it [rad]."""
    way = WOUND["launch" if run.drive is None or run.drive.in_gear else "stop"][axle]
    return pinion_up(run, axle) if way == "pinion_up" else pinion_down(run, axle)
