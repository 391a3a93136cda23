"""Lap: a course that is driven over and over, and its road under both axles in time, kept for one lap.

However long the drive, only one lap is held in memory.
"""

from dataclasses import dataclass
from math import ceil

import numpy as np

from sim.errors import RunError
from sim.roads.array import Array
from sim.roads.contact import contact_profile
from sim.roads.course import Course
from sim.roads.sampling import sample

LONGEST_S, LONGEST_M = 900.0, 4000.0
"""Longest lap that is held in memory: more would need hundreds of megabytes."""

FADE_S = 1.0
"""Time in which the road rises from level under a truck that sets off [s]: wheels do not start on a bump."""

PIECE = 20_000
"""Steps that are sampled at once; what is needed on the way is then a few megabytes."""

SPARE = 2
"""Steps sampled past both ends of a piece: only there are the windows of the rates halves."""


@dataclass(frozen=True)
class Lap:
    """A course again and again, as a road that reaches `margin_m` back into the lap before and on into the next.

    Attributes
    ----------
    course : Course
        What is repeated; where it ends higher than it began, the next lap begins there.
    period_m : float
        Length of a lap [m], not shorter than the course; what is longer is level.
    margin_m : float
        Place at which the lap begins [m].
    """

    course: Course
    period_m: float
    margin_m: float

    @property
    def length_m(self) -> float:
        """Length [m]."""
        return self.period_m + 2.0 * self.margin_m

    @property
    def rise_m(self) -> float:
        """How much higher a lap ends than it began [m]."""
        return float(self.course.height(np.array([self.course.length_m + 1.0]))[0])

    def height(self, x: Array) -> Array:
        """Return heights [m] at places `x` [m]."""
        along = np.asarray(x, dtype=np.float64) - self.margin_m
        laps = np.floor(along / self.period_m)
        return self.course.height(along - laps * self.period_m) + laps * self.rise_m

    def edges(self) -> tuple[float, ...]:
        """Return the places [m] of jumps and kinks, rising; where one lap meets the next is one."""
        inner = np.unique(np.array([0.0, *self.course.edges(), self.course.length_m]))
        laps = ceil(self.margin_m / self.period_m)
        places = np.unique(
            np.concatenate([self.margin_m + n * self.period_m + inner for n in range(-laps, laps + 1)])
        )  # fmt: skip
        return tuple(float(x) for x in places if 0.0 < x < self.length_m)


@dataclass(frozen=True)
class Circuit:
    """One lap of road under both axles at half steps; drives are cut out of it.

    Attributes
    ----------
    heights, rates : (2, 2 steps) arrays
        Of one lap, front axle first [m], [m/s].
    rise_m : float
        How much higher each lap is than the one before [m].
    """

    heights: Array
    rates: Array
    step_s: float
    rise_m: float

    @property
    def half_steps(self) -> int:
        """Half steps in a lap."""
        return int(self.heights.shape[1])

    def cut(self, first_step: int, steps: int) -> tuple[Array, Array]:
        """Return heights and rates (2, 2 steps + 1) from a step of the drive on; the road fades in at its beginning."""
        number = 2 * first_step + np.arange(2 * steps + 1)
        laps, places = np.divmod(number, self.half_steps)
        heights = self.heights[:, places] + self.rise_m * laps
        rates = self.rates[:, places]
        time = number * (0.5 * self.step_s)
        if time[0] < FADE_S:
            turn = np.pi * np.minimum(time / FADE_S, 1.0)
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
    steps = ceil(course.length_m / (speed_m_per_s * step_s) - 1e-9)
    period = steps * step_s * speed_m_per_s
    if steps * step_s > LONGEST_S or period > LONGEST_M:
        raise RunError(
            f"A lap of '{course.name}' is {period:.0f} m and {steps * step_s / 60.0:.0f} minutes long; at most "
            f"{LONGEST_M:.0f} m and {LONGEST_S / 60.0:.0f} minutes are allowed. Make the course shorter: it is driven over and over."
        )
    if steps < 2:
        raise RunError(f"The course '{course.name}' is over in less than two steps; make it longer.")
    margin = wheelbase_m + 4.0 * max(radius for radius, _ in tyres) + 2.0 * SPARE * speed_m_per_s * step_s + 1.0
    lap = Lap(course, period, margin)
    heights, rates = np.empty((2, 2 * steps)), np.empty((2, 2 * steps))
    profiles = {}
    for index, (tyre, behind) in enumerate(zip(tyres, (0.0, wheelbase_m), strict=True)):
        if tyre not in profiles:
            profiles[tyre] = contact_profile(lap, *tyre)
        for first in range(0, steps, PIECE):
            count = min(PIECE, steps - first)
            offset = behind - margin - (first - SPARE) * step_s * speed_m_per_s
            height, rate = sample(profiles[tyre], speed_m_per_s, offset, step_s, count + 2 * SPARE)
            inside, into = slice(2 * SPARE, 2 * (SPARE + count)), slice(2 * first, 2 * (first + count))
            heights[index, into], rates[index, into] = height[inside], rate[inside]
    return Circuit(heights, rates, step_s, lap.rise_m)
