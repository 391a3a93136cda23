"""Lap: a course that is driven over and over, and its road under both axles in time, kept for one lap.

However long the drive, only one lap is held in memory, or three of a course with random shapes: those are drawn anew for each
lap, so that such a road does not repeat. What lies between them does, and is rolled over in the first lap alone.
"""

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from hashlib import sha256
from math import ceil, floor

import numpy as np
from numpy.typing import NDArray

from sim.describe.roads.array import Array
from sim.describe.roads.course import Course
from sim.describe.roads.in_parts import in_parts
from sim.errors import RunError
from sim.lower.road.contact import FINEST_M, contact_profile
from sim.lower.road.sampling import sample
from sim.machine.shared import AHEAD, Shared

LONGEST_S = 900.0
"""Longest lap that is held in memory [s]: some 60 megabytes."""

FADE_S = 1.0
"""Time in which the road rises from level under a truck that sets off [s]: wheels do not start on a bump."""

GRID_M = 2e-3
"""Spacing of the grid on which wheels roll over a lap [m], twice that of a single course: under a patch it moves a road of washboard, random
shapes and humps by 0.2 micrometres at the most, at a kink, and takes two fifths less time (docs/speed.md)."""

BETWEEN_M = 1e-9
"""Error of heights between the points of such a grid [m], where a road is smooth: a mean over a step is no better than that by the step."""

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
        ends = (places.min(), places.max()) if places.size else (0.0, 0.0)
        first, last = (floor(end / self.period_m) for end in ends)
        if first == last:  # mostly, of some thousand neighbours
            return (self._course(first).height(places - first * self.period_m) + first * self.rise_m,)
        laps = np.floor(places / self.period_m)
        if not self.drawn:
            return (self.course.height(places - laps * self.period_m) + laps * self.rise_m,)
        height = laps * self.rise_m
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

    def drawn_between(self, start_m: float, end_m: float) -> list[tuple[float, float]]:
        """Return from where to where [m] the road is another one in each lap, of all such parts that touch what lies between two places."""
        if not self.drawn:
            return []
        reaches = zip(self.course.extents(), self.course.items, strict=True)
        one = [reach for reach, item in reaches if item.is_drawn]
        # One lap more: the last shape of a lap may reach to its very end.
        laps = range(floor(start_m / self.period_m) - 1, floor(end_m / self.period_m) + 1)
        parts = [(first + n * self.period_m, last + n * self.period_m) for n in laps for first, last in one]
        return [(first, last) for first, last in parts if last >= start_m and first <= end_m]


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
        # The one that was asked for longest ago goes first: the next piece asks for the other one.
        self._laps.move_to_end(number)
        return self._laps[number]

    def cut(self, first_step: int, steps: int, beside: int = 0) -> tuple[Array, Array]:
        """Return heights and rates (2, steps + 1) from a step of the drive on; the road fades in at its beginning.

        beside : how many more there are on both sides, for wheels that are not quite where the step would have them.
        """
        begins, count = first_step - beside, steps + 1 + 2 * beside
        heights, rates = np.empty((2, count)), np.empty((2, count))
        for lap in range(begins // self.steps, (begins + count - 1) // self.steps + 1):
            # Where the lap begins in what is asked for.
            at = lap * self.steps - begins
            here, there = slice(max(at, 0), at + self.steps), slice(max(-at, 0), count - at)
            own, own_rates = self._lap(lap)
            np.add(own[:, there], self.rise_m * lap, out=heights[:, here])
            rates[:, here] = own_rates[:, there]
        # Only at the beginning of a drive; its rate is that of the product, or tyre damping would miss it.
        if begins * self.step_s < FADE_S:
            time = (begins + np.arange(count)) * self.step_s
            turn = np.pi * np.clip(time / FADE_S, 0.0, 1.0)
            share, change = 0.5 - 0.5 * np.cos(turn), 0.5 * np.pi / FADE_S * np.sin(turn)
            heights, rates = share * heights, share * rates + np.where(time < FADE_S, change, 0.0) * heights
        return heights, rates


def circuit(
    course: Course, speed_m_per_s: float, step_s: float, wheelbase_m: float, tyres: tuple[tuple[float, float], ...],
    anew: bool = True, shared: Shared | None = None,
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
    shared : Shared, optional
        Where laps are kept for other set-ups that drive the same course, at the same speed, on the same tyres.

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
    felt = _Felt(lap, speed_m_per_s, step_s, steps, wheelbase_m, tyres, shared)
    return Circuit(felt, steps, step_s, lap.rise_m, lap.drawn)


class _Felt:
    """What both axles feel of a lap at every step, by its number; only what is drawn anew is worked out for each."""

    def __init__(
        self, lap: Lap, speed_m_per_s: float, step_s: float, steps: int, wheelbase_m: float,
        tyres: tuple[tuple[float, float], ...], shared: Shared | None,
    ) -> None:  # fmt: skip
        self._lap, self._speed, self._step, self._steps = lap, speed_m_per_s, step_s, steps
        self._wheelbase, self._shared = wheelbase_m, shared
        # Axles on alike tyres feel one road, the second a wheelbase later: it is worked out once.
        self._kinds = {tyre: [index for index, other in enumerate(tyres) if other == tyre] for tyre in tyres}
        # All that a lap depends on but its number; `repr` has every digit.
        words = repr((lap.course, lap.drawn, speed_m_per_s, step_s, wheelbase_m, tyres))
        self._name = sha256(words.encode()).hexdigest()[:24]
        self._anew = _stretches(self._drawn_anew())
        self._first: Array | None = None

    def __call__(self, number: int) -> tuple[Array, Array]:
        """Return heights [m] and rates [m/s] (2, steps), front axle first, counted from where the lap begins."""
        if self._first is None:
            self._first = self._known("first", 0, self._steps, partial(self._worked_out, here=[(0, self._steps)]), 0)
        felt = self._first
        if number and self._anew:
            felt = felt.copy()
            another = sum(after - first for first, after in self._anew)
            parts = self._known("anew", number, another, partial(self._worked_out, here=self._anew))
            at = 0
            for first, after in self._anew:
                felt[..., first:after] = parts[..., at : at + after - first]
                at += after - first
        heights, rates = felt
        return heights, rates

    def _known(self, of: str, number: int, count: int, make: Callable[[int], Array], ahead: int = AHEAD) -> Array:
        if self._shared is None:
            return make(number)
        return self._shared.get(f"{self._name}-{of}", number, (2, 2, count), make, ahead)

    def _drawn_anew(self) -> NDArray[np.bool_]:
        """Return at which steps (steps,) any axle feels something that is another one in each lap."""
        spacing, reach = self._speed * self._step, max(map(_reach_m, self._kinds))
        last = self._wheelbase * max(max(indices) for indices in self._kinds.values())
        felt = np.zeros(self._steps, dtype=np.bool_)
        for begins, ends in self._lap.drawn_between(-last - reach, self._steps * spacing + reach):
            # The last axle meets its end so much later.
            first, after = floor((begins - reach) / spacing), ceil((ends + reach + last) / spacing) + 1
            felt[max(first, 0) : max(after, 0)] = True
        return felt

    def _worked_out(self, number: int, here: list[tuple[int, int]]) -> Array:
        """Return heights and rates (2, 2, n) of a lap at some stretches of its steps, one after the other."""
        parts = []
        for first, after in here:
            for begin in range(first, after, PIECE):
                parts.append(self._rolled(number, begin, min(PIECE, after - begin)))
        return np.concatenate(parts, axis=-1)

    def _rolled(self, number: int, first: int, count: int) -> Array:
        """Return the same (2, 2, count) of so many steps from one on."""
        felt = np.empty((2, 2, count))
        heights, rates = felt
        spacing = self._speed * self._step
        for tyre, indices in self._kinds.items():
            reach = _reach_m(tyre)
            # The rear axle is a wheelbase back on the lap at every step.
            behind = [self._wheelbase * index for index in indices]
            begins = number * self._lap.period_m + (first - SPARE) * spacing - max(behind) - reach
            length = (count + 2 * SPARE) * spacing + 2.0 * reach + max(behind) - min(behind)
            road = Stretch(self._lap, begins, length)
            profile = contact_profile(road, *tyre, finest_m=GRID_M if tyre[1] else FINEST_M)
            inside = slice(SPARE, SPARE + count)
            for index, back in zip(indices, behind, strict=True):
                # The stretch begins at zero: sampled from where the piece does for this axle.
                from_m = reach + max(behind) - back
                height, rate = sample(
                    profile, self._speed, -from_m, self._step, count + 2 * SPARE, BETWEEN_M / self._step
                )  # fmt: skip
                heights[index], rates[index] = height[inside] - number * self._lap.rise_m, rate[inside]
        return felt


def _reach_m(tyre: tuple[float, float]) -> float:
    """Return more than a tyre feels of what is ahead and behind [m], so that neighbouring pieces agree."""
    return 2.0 * sum(tyre) + 0.1


def _stretches(here: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Return the first of steps that stand together among some (steps,), and the one after the last of them."""
    edges = np.flatnonzero(np.diff(here, prepend=False, append=False)).tolist()
    return list(zip(edges[::2], edges[1::2], strict=True))
