"""What a run gives back: named channels in SI with their signs, energy, and its status.

A result never comes without its status: `flags` says where a run left what the model is valid for.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    from sim.parts.dampers.laws import Law
    from sim.parts.vehicle import Vehicle
    from sim.runs import AnyRun

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Flag:
    """Where and when a run left the model's validity, and what that means."""

    kind: str  # damper_end, coil_bind, pitch_range, jounce_range, not_finite, numerical
    time_s: float | None
    part: str
    sentence: str


@dataclass(frozen=True)
class DamperTrace:
    """One damper of a set of `count`; speed and force are positive in compression."""

    axle: str
    name: str
    count: int
    length_m: Array
    speed_m_per_s: Array
    force_n: Array
    length_rest_m: float
    length_collapsed_m: float | None
    length_extended_m: float | None
    law: "Law"


@dataclass(frozen=True)
class AxleTrace:
    """One axle: jounce is upward travel from the measured ride height, wind-up is positive pinion-up."""

    jounce_m: Array
    wind_up_rad: Array
    tyre_load_n: Array
    wheel_height_m: Array
    road_height_m: Array
    stop_force_n: Array
    strap_force_n: Array
    spring_force_n: Array
    jounce_rest_m: float
    jounce_at_stop_m: float | None
    jounce_full_m: float | None
    jounce_at_strap_m: float | None
    tyre_load_rest_n: float
    dampers: dict[str, DamperTrace]


@dataclass(frozen=True)
class Energy:
    """Balance of a run: work in = stored change + dissipated + residual [J]."""

    work_in_j: float
    stored_change_j: float
    dissipated_j: dict[str, float]
    residual_j: float

    @property
    def residual_share(self) -> float:
        """Residual as a share of the energy that went through the run."""
        scale = max(abs(self.work_in_j), abs(self.stored_change_j), sum(map(abs, self.dissipated_j.values())))
        return abs(self.residual_j) / scale if scale > 1e-9 else 0.0


@dataclass(frozen=True)
class Run:
    """One set-up over one run; all arrays share `time_s` (n,)."""

    setup: str
    vehicle: "Vehicle"
    run: "AnyRun"
    time_s: Array
    heave_m: Array  # centre of gravity above where it stood
    pitch_nose_up_rad: Array  # from where it stood
    acceleration_m_per_s2: dict[str, Array]  # vertical, upward, at named points
    front: AxleTrace
    rear: AxleTrace
    energy: Energy
    flags: tuple[Flag, ...]
    released_s: float  # from here on nothing disturbs the truck
    speed_m_per_s: float
    fine: "Run | None" = None  # the same run at half the step, same samples

    @property
    def axles(self) -> tuple[tuple[str, AxleTrace], tuple[str, AxleTrace]]:
        """Both axles with their names."""
        return ("front", self.front), ("rear", self.rear)
