"""Lap: a course that is driven over and over, and its road under both axles in time, kept for one lap.

However long the drive, only one lap is held in memory.
"""

from dataclasses import dataclass
from math import ceil, floor

import numpy as np

from sim.describe.roads.array import Array
from sim.describe.roads.course import Course
from sim.errors import RunError
from sim.lower.road.contact import contact_profile
from sim.lower.road.sampling import sample

LONGEST_S = 900.0
"""Longest lap that is held in memory [s]: some 60 megabytes."""

FADE_S = 1.0
"""Time in which the road rises from level under a truck that sets off [s]: wheels do not start on a bump."""

PIECE = 20_000
"""Steps that are sampled at once; what is needed on the way is then a few megabytes."""

SPARE = 2
"""Steps sampled past both ends of a piece: only there are the windows of the rates halves."""


class Lap:
    """A course again and again, without beginning or end; the first lap begins at x = 0.

    Parameters
    ----------
    course : Course
        What is repeated; where it ends higher than it began, the next lap begins there.
    period_m : float
        Length of a lap [m], not shorter than the course; what is longer is level.
    """

    def __init__(self, course: Course, period_m: float) -> None:
        self.course, self.period_m = course, period_m
        # Past its end it is level: how much higher than it began.
        self.rise_m = float(course.height(np.array([course.length_m + 1.0]))[0])
        # Both ends too: a course may begin or end with a step.
        self._edges = np.unique(np.array([0.0, *course.edges(), course.length_m]))

    def height(self, x: Array) -> Array:
        """Return heights [m] at places `x` [m]."""
        places = np.asarray(x, dtype=np.float64)
        laps = np.floor(places / self.period_m)
        return self.course.height(places - laps * self.period_m) + laps * self.rise_m

    def edges_between(self, start_m: float, end_m: float) -> Array:
        """Return the places [m] of jumps and kinks between two places, rising; where one lap meets the next is one."""
        laps = range(floor(start_m / self.period_m), floor(end_m / self.period_m) + 1)
        places = np.unique(np.concatenate([n * self.period_m + self._edges for n in laps]))
        inside: Array = places[(places > start_m) & (places < end_m)]
        return inside


@dataclass(frozen=True)
class Stretch:
    """A part of a lapped road, as a road of its own that begins at x = 0."""

    lap: Lap
    begins_m: float
    length_m: float

    def height(self, x: Array) -> Array:
        """Return heights [m] at places `x` [m]; true past its ends too."""
        return self.lap.height(np.asarray(x, dtype=np.float64) + self.begins_m)

    def edges(self) -> tuple[float, ...]:
        """Return the places [m] of jumps and kinks, rising."""
        places = self.lap.edges_between(self.begins_m, self.begins_m + self.length_m) - self.begins_m
        return tuple(map(float, places))


@dataclass(frozen=True)
class Circuit:
    """One lap of road under both axles at every step; drives are cut out of it.

    Attributes
    ----------
    heights, rates : (2, steps) arrays
        Of one lap, front axle first [m], [m/s].
    rise_m : float
        How much higher each lap is than the one before [m].
    """

    heights: Array
    rates: Array
    step_s: float
    rise_m: float

    @property
    def steps(self) -> int:
        """Steps in a lap."""
        return int(self.heights.shape[1])

    def cut(self, first_step: int, steps: int, beside: int = 0) -> tuple[Array, Array]:
        """Return heights and rates (2, steps + 1) from a step of the drive on; the road fades in at its beginning.

        beside : how many more there are on both sides, for wheels that are not quite where the step would have them.
        """
        number = first_step - beside + np.arange(steps + 1 + 2 * beside)
        laps, places = np.divmod(number, self.steps)
        heights = self.heights[:, places] + self.rise_m * laps
        rates = self.rates[:, places]
        time = number * self.step_s
        # Only at the beginning of a drive; its rate is that of the product, or tyre damping would miss it.
        if time[0] < FADE_S:
            turn = np.pi * np.clip(time / FADE_S, 0.0, 1.0)
            share, change = 0.5 - 0.5 * np.cos(turn), 0.5 * np.pi / FADE_S * np.sin(turn)
            heights, rates = share * heights, share * rates + np.where(time < FADE_S, change, 0.0) * heights
        return np.ascontiguousarray(heights), np.ascontiguousarray(rates)


def circuit(
    course: Course, speed_m_per_s: float, step_s: float, wheelbase_m: float, tyres: tuple[tuple[float, float], ...]
) -> Circuit:
    """Return one lap of a course at a held speed.

    Parameters
    ----------
    course : Course
    speed_m_per_s : float
        Held speed [m/s].
    step_s : float
        Step of the integrator [s]. The lap is drawn out, by level ground shorter than a step, to a whole number of them.
    wheelbase_m : float
        How far the second axle is behind the first [m].
    tyres : two pairs
        Radius and contact length of each axle's tyres [m].

    Raises
    ------
    RunError
        If the lap is too long to be held, or the road too steep for a wheel.
    """
    # A lap of whole steps must not gain one by rounding.
    steps = ceil(course.length_m / (speed_m_per_s * step_s) - 1e-9)
    period = steps * step_s * speed_m_per_s
    if steps * step_s > LONGEST_S:
        raise RunError(
            f"A lap of '{course.name}' takes {steps * step_s / 60.0:.0f} minutes at this speed; at most {LONGEST_S / 60.0:.0f} are "
            "allowed. Make the course shorter: it is driven over and over."
        )
    if steps < 2:
        raise RunError(f"The course '{course.name}' is over in less than two steps; make it longer.")
    lap = Lap(course, period)
    heights, rates = np.empty((2, steps)), np.empty((2, steps))
    for index, (tyre, behind) in enumerate(zip(tyres, (0.0, wheelbase_m), strict=True)):
        # More than a tyre feels of what is ahead and behind, so that neighbouring pieces agree.
        reach = 2.0 * sum(tyre) + 0.1
        for first in range(0, steps, PIECE):
            count = min(PIECE, steps - first)
            # The rear axle is a wheelbase back on the lap at every step.
            begins = (first - SPARE) * step_s * speed_m_per_s - behind - reach
            length = (count + 2 * SPARE) * step_s * speed_m_per_s + 2.0 * reach
            # The stretch begins at zero: sampled from `reach` into it, where the piece does.
            profile = contact_profile(Stretch(lap, begins, length), *tyre)
            height, rate = sample(profile, speed_m_per_s, -reach, step_s, count + 2 * SPARE)
            inside, into = slice(SPARE, SPARE + count), slice(first, first + count)
            heights[index, into], rates[index, into] = height[inside], rate[inside]
    return Circuit(heights, rates, step_s, lap.rise_m)
