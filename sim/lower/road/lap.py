"""Lap: a course that is driven over and over, and its road under both axles in time, kept for one lap.

However long the drive, only one lap is held in memory, or two of a course with random shapes: those are drawn anew for each
lap, so that such a road does not repeat.
"""

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from math import ceil, floor

import numpy as np

from sim.describe.roads.array import Array
from sim.describe.roads.course import Course
from sim.describe.roads.in_parts import in_parts
from sim.errors import RunError
from sim.lower.road.contact import FINEST_M, contact_profile
from sim.lower.road.sampling import sample

LONGEST_S = 900.0
"""Longest lap that is held in memory [s]: some 60 megabytes."""

FADE_S = 1.0
"""Time in which the road rises from level under a truck that sets off [s]: wheels do not start on a bump."""

GRID_M = 2e-3
"""Spacing of the grid on which wheels roll over a lap [m], twice that of a single course: under a patch it moves a road of washboard, random
shapes and humps by 0.2 micrometres at the most, at a kink, and takes two fifths less time (docs/speed.md)."""

PIECE = 20_000
"""Steps that are sampled at once; what is needed on the way is then a few megabytes."""

COURSES_KEPT = 4  # a stretch reaches into the laps before and after
LAPS_KEPT = 2
"""Laps of a course that is drawn anew whose samples are held: pieces follow one another."""

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
    anew : bool
        Whether its random shapes are drawn anew each lap.
    """

    def __init__(self, course: Course, period_m: float, anew: bool = True) -> None:
        self.drawn = anew and course.is_drawn
        self.course, self.period_m = course, period_m
        # Past its end it is level: how much higher than it began.
        self.rise_m = float(course.height(np.array([course.length_m + 1.0]))[0])
        self._anew: dict[int, Course] = {}
        self._known: dict[int, tuple[float, ...]] = {}

    def height(self, x: Array) -> Array:
        """Return heights [m] at places `x` [m]."""
        (height,) = in_parts(self._heights, x)
        return height

    def _heights(self, places: Array) -> tuple[Array]:
        laps = np.floor(places / self.period_m)
        if not self.drawn:
            return (self.course.height(places - laps * self.period_m) + laps * self.rise_m,)
        height = laps * self.rise_m
        first, last = (int(laps.min()), int(laps.max())) if laps.size else (0, -1)
        if first == last:  # mostly, of some thousand neighbours
            height += self._course(first).height(places - first * self.period_m)
            return (height,)
        for lap in range(first, last + 1):
            here = laps == lap
            height[here] += self._course(lap).height(places[here] - lap * self.period_m)
        return (height,)

    def _edges(self, number: int) -> tuple[float, ...]:
        """Return the edges of one lap [m]; those of an irregular washboard are other ones in each."""
        number = number if self.drawn else 0
        if number not in self._known:
            while len(self._known) >= COURSES_KEPT:
                self._known.pop(next(iter(self._known)))
            self._known[number] = self._course(number).edges()
        return self._known[number]

    def _course(self, number: int) -> Course:
        """Return the course of one lap: its random shapes are drawn anew for each."""
        if number not in self._anew:
            while len(self._anew) >= COURSES_KEPT:
                self._anew.pop(next(iter(self._anew)))
            self._anew[number] = self.course.anew(number if self.drawn else 0)
        return self._anew[number]

    def edges_between(self, start_m: float, end_m: float) -> Array:
        """Return the places [m] of jumps and kinks between two places, rising; where one lap meets the next is one."""
        laps = range(floor(start_m / self.period_m), floor(end_m / self.period_m) + 1)
        # Both ends too: a course may begin or end with a step.
        places = np.unique(
            np.concatenate([n * self.period_m + np.array([0.0, *self._edges(n), self.course.length_m]) for n in laps])
        )
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


class Circuit:
    """Laps of road under both axles at every step; drives are cut out of them.

    Parameters
    ----------
    sampled : callable
        Returns heights [m] and rates [m/s] (2, steps) of a lap by its number, front axle first, counted from where the lap begins.
    rise_m : float
        How much higher each lap is than the one before [m].
    drawn : bool
        Whether each lap is another one; else all are the first.
    """

    def __init__(
        self, sampled: Callable[[int], tuple[Array, Array]], steps: int, step_s: float, rise_m: float, drawn: bool
    ) -> None:
        self.steps, self.step_s, self.rise_m, self._drawn = steps, step_s, rise_m, drawn
        self._sampled = sampled
        self._laps: OrderedDict[int, tuple[Array, Array]] = OrderedDict()
        # At once, so that what is wrong with the road is said before anything is driven.
        self._lap(0)

    def _lap(self, number: int) -> tuple[Array, Array]:
        number = number if self._drawn else 0
        if number not in self._laps:
            self._laps[number] = self._sampled(number)
            while len(self._laps) > LAPS_KEPT:
                self._laps.popitem(last=False)
        return self._laps[number]

    def cut(self, first_step: int, steps: int, beside: int = 0) -> tuple[Array, Array]:
        """Return heights and rates (2, steps + 1) from a step of the drive on; the road fades in at its beginning.

        beside : how many more there are on both sides, for wheels that are not quite where the step would have them.
        """
        number = first_step - beside + np.arange(steps + 1 + 2 * beside)
        laps, places = np.divmod(number, self.steps)
        heights, rates = np.empty((2, number.size)), np.empty((2, number.size))
        for lap in range(int(laps[0]), int(laps[-1]) + 1):
            here = laps == lap
            own, own_rates = self._lap(lap)
            heights[:, here] = own[:, places[here]] + self.rise_m * lap
            rates[:, here] = own_rates[:, places[here]]
        time = number * self.step_s
        # Only at the beginning of a drive; its rate is that of the product, or tyre damping would miss it.
        if time[0] < FADE_S:
            turn = np.pi * np.clip(time / FADE_S, 0.0, 1.0)
            share, change = 0.5 - 0.5 * np.cos(turn), 0.5 * np.pi / FADE_S * np.sin(turn)
            heights, rates = share * heights, share * rates + np.where(time < FADE_S, change, 0.0) * heights
        return heights, rates


def circuit(
    course: Course, speed_m_per_s: float, step_s: float, wheelbase_m: float, tyres: tuple[tuple[float, float], ...],
    anew: bool = True,
) -> Circuit:  # fmt: skip
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
    anew : bool
        Whether random shapes are drawn anew each lap.

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
    lap = Lap(course, period, anew)

    # Axles on alike tyres feel one road, the second a wheelbase later: it is worked out once.
    kinds = {tyre: [index for index, other in enumerate(tyres) if other == tyre] for tyre in tyres}

    def sampled(number: int) -> tuple[Array, Array]:
        heights, rates = np.empty((2, steps)), np.empty((2, steps))
        for tyre, indices in kinds.items():
            # More than a tyre feels of what is ahead and behind, so that neighbouring pieces agree.
            reach = 2.0 * sum(tyre) + 0.1
            # The rear axle is a wheelbase back on the lap at every step.
            behind = [wheelbase_m * index for index in indices]
            for first in range(0, steps, PIECE):
                count = min(PIECE, steps - first)
                begins = number * period + (first - SPARE) * step_s * speed_m_per_s - max(behind) - reach
                length = (count + 2 * SPARE) * step_s * speed_m_per_s + 2.0 * reach + max(behind) - min(behind)
                profile = contact_profile(Stretch(lap, begins, length), *tyre, finest_m=GRID_M if tyre[1] else FINEST_M)
                inside, into = slice(SPARE, SPARE + count), slice(first, first + count)
                for index, back in zip(indices, behind, strict=True):
                    # The stretch begins at zero: sampled from where the piece does for this axle.
                    from_m = reach + max(behind) - back
                    height, rate = sample(profile, speed_m_per_s, -from_m, step_s, count + 2 * SPARE)
                    heights[index, into], rates[index, into] = height[inside] - number * lap.rise_m, rate[inside]
        return heights, rates

    return Circuit(sampled, steps, step_s, lap.rise_m, lap.drawn)
