"""A drive over a course cut at its obstacles, and what happened at each of them."""

from dataclasses import dataclass
from math import nan

import numpy as np

from sim.integrate.result import Run
from sim.measure.comfort import weighted
from sim.measure.signals import axle_of, time_mean

AFTER_S = 1.0
"""How long after the rear wheels have left an obstacle it still counts [s], unless the front wheels meet the next one."""


@dataclass(frozen=True)
class Stretch:
    """One obstacle of a course.

    Attributes
    ----------
    name : str
        Its kind in words, numbered if there are several of it.
    start_s, end_s : float
        From the front wheels' meeting it to a second after the rear wheels' leaving it [s].
    """

    name: str
    start_s: float
    end_s: float


def stretches(run: Run) -> tuple[Stretch, ...]:
    """Return the obstacles of a run's course, its flat pieces left out; none for a run on the spot."""
    # Only a run over a course has something to cross; a push or a drop has nothing.
    crossing = run.run.crossing(run.vehicle) if run.run is not None else None
    if crossing is None:
        return ()
    course, lead, speed = crossing
    kinds = [item.kind for item in course.items]
    obstacles: list[Stretch] = []
    for number, (item, (start, end)) in enumerate(zip(course.items, course.extents(), strict=True)):
        if not item.is_obstacle:
            continue
        word = item.words
        if kinds.count(item.kind) > 1:  # "pothole 1", "pothole 2"; one alone needs no number
            word += f" {kinds[: number + 1].count(item.kind)}"
        # The rear wheels leave it a wheelbase after the front ones.
        after = (lead + end + run.vehicle.wheelbase) / speed + AFTER_S
        obstacles.append(Stretch(word, (lead + start) / speed, after))
    return tuple(
        # Cut where the next one begins, or one jolt would be counted at two obstacles; never before its own start.
        Stretch(one.name, one.start_s, min(one.end_s, max(following.start_s, one.start_s)))
        for one, following in zip(obstacles, [*obstacles[1:], Stretch("", float("inf"), float("inf"))], strict=True)
    )


def _part(run: Run, stretch: Stretch) -> slice:
    first, last = np.searchsorted(run.time_s, [stretch.start_s, stretch.end_s])
    return slice(int(first), int(last))


def felt(run: Run, stretch: Stretch, point: str) -> float:
    """Return the Wk-weighted RMS at a point over an obstacle [m/s²]; nan if the run does not reach it."""
    part = _part(run, stretch)
    if point not in run.acceleration_m_per_s2:
        return nan
    return float(np.sqrt(time_mean(weighted(run, point)[part] ** 2, run.time_s[part])))


def nearest_stop(run: Run, stretch: Stretch) -> float:
    """Return the least travel left to a stop, of both axles, over an obstacle [m]; negative if one was squeezed."""
    part = _part(run, stretch)
    left = [
        # Jounce is upward travel of the axle, towards the stop.
        trace.jounce_at_stop_m - float(trace.jounce_m[part].max())
        for trace in (axle_of(run, axle) for axle in ("front", "rear"))
        # a run that ended before it has no sample there
        if trace.jounce_at_stop_m is not None and trace.jounce_m[part].size
    ]
    return min(left, default=nan)


def off_ground(run: Run, stretch: Stretch) -> float:
    """Return the share of an obstacle's time for which the tyres of one axle or the other are off the ground."""
    part = _part(run, stretch)
    if run.time_s[part].size < 2:
        return nan
    up = (run.front.tyre_load_n[part] <= 0.0) | (run.rear.tyre_load_n[part] <= 0.0)
    return time_mean(up.astype(float), run.time_s[part])
