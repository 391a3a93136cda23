"""What a run is given: its step, and roads and push at the steps of the integrator."""

from collections import OrderedDict
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import lru_cache
from math import ceil

import numpy as np
import numpy.typing as npt

from sim.describe.parts.vehicle import Vehicle
from sim.describe.roads.course import Course
from sim.describe.runs.plan import Plan
from sim.kernel import layout as at
from sim.lower.packed import Precision
from sim.lower.road.contact import contact_profile, grid_spacing_m
from sim.lower.road.profile import Profile
from sim.lower.road.samples import BEFORE, cubics
from sim.lower.road.sampling import sample
from sim.machine.memory import give_back

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
    road : (2, n + 2, ROAD_ROWS) array
        Road as the kernel takes it, at the places that the front and the rear axle then pass, from the first step to the last; before
        and past its samples it stays level.
    push : (steps + 1,) array
        Upward force [N].
    speed_m_per_s : float
        At which they are passed: the road is read where the wheels really are. 0: it moves up and down under them,
        wherever they are, and its loads stay upright.
    first : int
        Which of the samples that were given is of the first step.
    """

    step_s: float
    steps: int
    every: int
    road: Array
    push: Array
    speed_m_per_s: float = 0.0
    first: int = 0

    @classmethod
    def of(
        cls, step_s: float, steps: int, every: int, heights: Array, rates: Array, push: Array,
        speed_m_per_s: float = 0.0, first: int = 0,
    ) -> "Input":  # fmt: skip
        """Return what a run is given, of heights and rates (2, n) of the road [m], [m/s]."""
        # They are not kept: of a long course they are as much as the road itself.
        return cls(step_s, steps, every, cubics(heights, rates * step_s), push, speed_m_per_s, first)

    @property
    def heights(self) -> Array:
        """Heights (2, n) of the samples that were given [m]."""
        return self.road[:, BEFORE:-1, at.ROAD_HEIGHT]

    @property
    def kind(self) -> Precision:
        """Precision in which the run takes it: float64 or float32."""
        return np.float32 if self.road.dtype == np.float32 else np.float64

    def without_road(self) -> "Input":
        """Return the same without its road, which nobody needs once the run is done: of a long run it is a fifth of all memory."""
        return replace(self, road=self.road[:, :2].copy())

    def narrowed(self) -> "Input":
        """Return the same in single precision."""
        return replace(self, road=self.road.astype(np.float32), push=self.push.astype(np.float32))

    @property
    def nominal(self) -> int:
        """Number of the sample of `road` at the first step."""
        return self.first + BEFORE


class _Profiles:
    """Profiles of the roads that were asked for last, as many as fit into so many bytes; the last one always."""

    MOST_BYTES = 128e6

    def __init__(self) -> None:
        self._kept: OrderedDict[tuple[Course, float, float], Profile] = OrderedDict()

    def get(self, course: Course, radius_m: float, contact_length_m: float) -> Profile:
        """Return a profile, kept or worked out."""
        key = course, radius_m, contact_length_m
        known = self._kept.get(key)
        if known is None:
            self._make_room(_bytes_of(course))
            known = self._kept[key] = contact_profile(*key)
        # A page may work two previews at once, and one of them may have let it go meanwhile.
        with suppress(KeyError):
            self._kept.move_to_end(key)
        return known

    def _make_room(self, wanted: float) -> None:
        # Before the new one is worked out, which takes several times its size on the way.
        while self._kept and wanted + sum(_bytes_of(course) for course, *_ in list(self._kept)) > self.MOST_BYTES:
            with suppress(KeyError):
                self._kept.popitem(last=False)

    def clear(self) -> None:
        """Forget all."""
        self._kept.clear()


def _bytes_of(course: Course) -> float:
    # Places, heights, slopes and spans of its grid.
    return 32.0 * course.length_m / grid_spacing_m(course.length_m)


_profiles = _Profiles()


def road_profile(course: Course, radius_m: float, contact_length_m: float) -> Profile:
    """Return a course as a tyre feels it, kept for the next set-up on the same tyres."""
    return _profiles.get(course, radius_m, contact_length_m)


MOST_KEPT = 500_000
"""Steps of a run whose road is kept for the next one: eight roads of a longer one would fill memory."""


def _felt(
    course: Course, radius_m: float, contact_length_m: float, speed_m_per_s: float, offset_m: float, step_s: float, steps: int
) -> tuple[Array, Array]:  # fmt: skip
    """Sample one wheel's road: heights and rates (steps + 1,) [m], [m/s]."""
    return sample(road_profile(course, radius_m, contact_length_m), speed_m_per_s, offset_m, step_s, steps)


_felt_before = lru_cache(maxsize=8)(_felt)
"""The same, kept for the next set-up that meets it: most differ in their dampers alone."""


def sampled(vehicle: Vehicle, plan: Plan, step_s: float, cut: int) -> Input:
    """Sample roads and push for a run, `cut` integrator steps an output step of `step_s` [s]."""
    # Sub-steps are parts of an output step, so no output lies between two of them.
    step = step_s / cut
    steps = ceil(plan.duration_s / step_s - 1e-9) * cut  # a duration of whole steps must not gain one by rounding
    # Past its samples a road stays level: of level ground two are enough, however long the run is.
    samples = 2 if plan.course is None else steps + 1
    heights, rates = np.zeros((2, samples)), np.zeros((2, samples))
    if plan.course is not None:
        felt = _felt_before if steps <= MOST_KEPT else _felt
        for index, (name, axle) in enumerate(vehicle.axles):
            offset = plan.lead_m + vehicle.axle_behind_front_m(name)
            heights[index], rates[index] = felt(
                plan.course, axle.tyre.radius, axle.tyre.contact_length_driven, plan.speed_m_per_s, offset, step, steps
            )
    push = plan.push.at(np.arange(steps + 1, dtype=np.float64) * step) if plan.push else np.zeros(steps + 1)
    given = Input.of(step, steps, cut, heights, rates, push, plan.speed_m_per_s if plan.pushes_back else 0.0)
    if steps > MOST_KEPT:
        del heights, rates
        give_back()  # what the road took on the way: the run needs as much again
    return given
