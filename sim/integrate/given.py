"""What a run is given: its step, and roads and push at the steps of the integrator."""

from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import ceil

import numpy as np
import numpy.typing as npt

from sim.describe.parts.vehicle import Vehicle
from sim.describe.roads.course import Course
from sim.describe.runs.plan import Plan
from sim.lower.packed import Precision
from sim.lower.road.contact import contact_profile
from sim.lower.road.profile import Profile
from sim.lower.road.samples import BEFORE, cubics
from sim.lower.road.sampling import sample

Array = npt.NDArray[np.float64]

STEP_S = 1e-3
"""Step of the integrator and of the output [s]."""


@dataclass(frozen=True)
class Input:
    """Roads and push at the steps of the integrator.

    Attributes
    ----------
    step_s : float
    steps, every : int
        How many there are, and how many of them make an output.
    heights, rates : (2, n) arrays
        Of the road at the places that the front and the rear axle then pass [m], [m/s], from the first step to the last; before and past
        its samples it stays level.
    push : (steps + 1,) array
        Upward force [N].
    speed_m_per_s : float
        At which they are passed: the road is read where the wheels really are. 0: it moves up and down under them,
        wherever they are, and its loads stay upright.
    first : int
        Which of the heights is of the first step.
    kind : float64 or float32
        Precision in which the run takes it.
    """

    step_s: float
    steps: int
    every: int
    heights: Array
    rates: Array
    push: Array
    speed_m_per_s: float = 0.0
    first: int = 0
    kind: Precision = np.float64

    @cached_property
    def road(self) -> Array:
        """Road (2, n + 2, ROAD_ROWS) as the kernel takes it."""
        return cubics(self.heights, self.rates * self.step_s).astype(self.kind, copy=False)

    @property
    def nominal(self) -> int:
        """Number of the sample of `road` at the first step."""
        return self.first + BEFORE


@lru_cache(maxsize=32)
def _profile(course: Course, radius_m: float, contact_length_m: float) -> Profile:
    return contact_profile(course, radius_m, contact_length_m)


def road_profile(course: Course, radius_m: float, contact_length_m: float) -> Profile:
    """Return a course as a tyre feels it, kept for the next set-up on the same tyres."""
    return _profile(course, radius_m, contact_length_m)


@lru_cache(maxsize=8)
def _felt(
    course: Course,
    radius_m: float,
    contact_length_m: float,
    speed_m_per_s: float,
    offset_m: float,
    step_s: float,
    steps: int,
) -> tuple[Array, Array]:
    """Sample one wheel's road, kept for the next set-up that meets the same: most differ in their dampers alone."""
    return sample(road_profile(course, radius_m, contact_length_m), speed_m_per_s, offset_m, step_s, steps)


def sampled(vehicle: Vehicle, plan: Plan, step_s: float, cut: int) -> Input:
    """Sample roads and push for a run, `cut` integrator steps an output step of `step_s` [s]."""
    # Sub-steps are parts of an output step, so no output lies between two of them.
    step = step_s / cut
    steps = ceil(plan.duration_s / step_s - 1e-9) * cut  # a duration of whole steps must not gain one by rounding
    # Past its samples a road stays level: of level ground two are enough, however long the run is.
    samples = 2 if plan.course is None else steps + 1
    heights, rates = np.zeros((2, samples)), np.zeros((2, samples))
    if plan.course is not None:
        for index, (name, axle) in enumerate(vehicle.axles):
            offset = plan.lead_m + vehicle.axle_behind_front_m(name)
            heights[index], rates[index] = _felt(
                plan.course, axle.tyre.radius, axle.tyre.contact_length_driven, plan.speed_m_per_s, offset, step, steps
            )
    time: Array = np.arange(steps + 1, dtype=np.float64) * step
    push = plan.push.at(time) if plan.push else np.zeros(steps + 1)
    return Input(step, steps, cut, heights, rates, push, plan.speed_m_per_s if plan.pushes_back else 0.0)
