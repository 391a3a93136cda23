"""Which way, and how far, to lean the dampers of an axle: launches through a range of leans."""

from collections.abc import Callable
from dataclasses import dataclass
from math import atan2, tan

import numpy as np
import numpy.typing as npt

from sim.describe.files.scenario import Scenario
from sim.describe.parts.vehicle import Vehicle
from sim.errors import RunError
from sim.integrate.result import Flag, Run
from sim.integrate.simulation import simulate
from sim.lower.stance import axle_stances
from sim.measure.driving import pinion_up, swing_count, swing_decay

Array = npt.NDArray[np.float64]

MEASURES: dict[str, tuple[str, str, str, Callable[[Run, str], float]]] = {
    "peak": ("Pinion swings up by", "angle", "less", pinion_up),
    "swings": ("Swings to and fro", "number", "less", swing_count),
    "decay": ("Swings die at", "rate", "more", swing_decay),
}
"""Label, quantity, better way and how it is taken of a run, by name."""


@dataclass(frozen=True)
class Leaned:
    """One set-up on one road through all leans; nan where it could not run or left its validity."""

    values: dict[str, Array]  # by name of MEASURES
    stands_at_rad: float | None  # lean as the file has it, None with several sets that lean differently
    flags: tuple[Flag, ...] = ()


@dataclass(frozen=True)
class Leans:
    """What came of all of them.

    Attributes
    ----------
    name : str
        What it is about.
    axle : str
        Whose dampers lean.
    lean_rad : (n,) array
        From upright, in side view; positive: the upper end ahead of the lower one.
    roads : dict of str to dict of str to Leaned
        By scenario name, then by set-up.
    """

    name: str
    axle: str
    lean_rad: Array
    roads: dict[str, dict[str, Leaned]]

    @property
    def runs(self) -> dict[str, Leaned]:
        """Set-ups, for the legend."""
        return next(iter(self.roads.values()))


def lean_of(vehicle: Vehicle, axle: str, name: str) -> float:
    """Return the lean of a damper set in side view at the measured ride height [rad], forward positive."""
    ahead, rise = _offset(vehicle, axle, name)
    return atan2(ahead, rise)


def _offset(vehicle: Vehicle, axle: str, name: str) -> tuple[float, float]:
    """Return how far the upper mount is ahead of and above the lower one [m]."""
    damper = getattr(vehicle, axle).dampers[name]
    lower_behind = vehicle.axle_behind_front_m(axle) - damper.axle.ahead
    lower_up = axle_stances(vehicle.reference)[axle].centre_height + damper.axle.above
    return lower_behind - damper.body.behind_front_axle, damper.body.above_ground - lower_up


def leaned(vehicle: Vehicle, axle: str, lean_rad: float) -> Vehicle:
    """Return the set-up with all dampers of an axle leaned alike: upper mounts moved along the frame, at their height.

    The dampers are taken as much longer or shorter as their places are then apart, with the stroke that they have.
    """
    changes: dict[str, object] = {}
    for name, damper in getattr(vehicle, axle).dampers.items():
        ahead, rise = _offset(vehicle, axle, name)
        if rise <= 0.05:
            raise RunError(
                f"{axle} damper set '{name}' has its upper mount hardly above its lower one; it cannot be leaned."
            )
        moved = rise * tan(lean_rad)
        path = f"{axle}.dampers.{name}"
        changes[f"{path}.body.behind_front_axle"] = f"{1e3 * (damper.body.behind_front_axle + ahead - moved):.6f} mm"
        across = damper.lean_inward
        longer = float(np.sqrt(moved**2 + rise**2 + across**2) - np.sqrt(ahead**2 + rise**2 + across**2))
        for end in ("length_collapsed", "length_extended"):
            value = getattr(damper, end)
            if value is not None:
                changes[f"{path}.{end}"] = f"{1e3 * (value + longer):.6f} mm"
    return vehicle.changed(changes) if changes else vehicle


def lean_through(
    scenarios: list[Scenario], axle: str, lean_rad: Array, tell: Callable[[str], None] | None = None
) -> Leans:
    """Run every set-up of scenarios with a launch or a brake at every lean.

    Raises
    ------
    RunError
        If a scenario does not drive or brake, or no set-up of it has dampers to lean.
    """
    roads: dict[str, dict[str, Leaned]] = {}
    if any(list(scenario.setups) != list(scenarios[0].setups) for scenario in scenarios):
        raise RunError("Scenarios that are shown side by side must have the same set-ups.")
    for scenario in scenarios:
        if scenario.run.way != "driven":
            raise RunError(
                f"'{scenario.name}' is a {scenario.run.kind} run; leans are tried in a launch or a brake run."
            )
        found = {}
        for setup, vehicle in scenario.setups.items():
            if tell:
                tell(f"{scenario.name}: {setup}")
            found[setup] = _through(vehicle, scenario, setup, axle, lean_rad)
        roads[scenario.name] = found
    return Leans(scenarios[0].name, axle, lean_rad, roads)


def _through(vehicle: Vehicle, scenario: Scenario, setup: str, axle: str, lean_rad: Array) -> Leaned:
    values = {name: np.full(lean_rad.size, np.nan) for name in MEASURES}
    dampers = getattr(vehicle, axle).dampers
    leans = {round(lean_of(vehicle, axle, name), 4) for name in dampers}
    flags: list[Flag] = []
    for place, lean in enumerate(lean_rad):
        try:
            run = simulate(leaned(vehicle, axle, float(lean)), scenario.run, setup)
        except RunError as error:
            raise RunError(f"set-up '{setup}' at a lean of {np.degrees(lean):.0f} deg: {error}") from error
        if run.flags:
            flags += [flag for flag in run.flags if flag.kind not in {known.kind for known in flags}]
            continue
        for name, (_, _, _, of) in MEASURES.items():
            values[name][place] = of(run, axle)
    return Leaned(values, leans.pop() if len(leans) == 1 else None, tuple(flags))
