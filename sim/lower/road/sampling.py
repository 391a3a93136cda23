"""Road under a wheel in time: heights, and rates that keep the road's impulse exact.

The damping of a tyre turns a jump of slope into an impulse, which rates sampled at points miss or
count twice, depending on the phase of the steps. So near kinks the rate is a mean over a window, a
step wide around each step's end: the windows tile the time axis, and as the weights of the integrator's
formula add up to one for every sample, its sums add up to the road's rise, whatever the phase. Where
the road is smooth the derivative itself is used, because means over windows would cost the integrator
its fourth order.

Smooth means: no known kink within twice the window, and ``|W - P - 4 (M - P)| <= |W - P| / 4``,
with P the derivative, M the mean over the window and W the mean over one twice as wide: on a smooth
road the error of a mean grows with the square of the width.

Between a stretch of means and one of derivatives the sum of the rates would be off by the
acceleration of the road there x step² / 24 (the first term of Euler and Maclaurin), which the
derivative next to the means is raised by.
"""

import math

import numpy as np
from numpy.typing import NDArray

from sim.describe.roads.array import Array
from sim.lower.road.profile import Profile

NOISE = 1e-9
"""Differences of rates below this [m/s], or this share of the largest rate, mean nothing."""


def sample(
    profile: Profile, speed_m_per_s: float, offset_m: float, step_s: float, steps: int, noise: float = NOISE
) -> tuple[Array, Array]:
    """Return height and rate of the road under a wheel at every step.

    Parameters
    ----------
    profile : Profile
        The road as the tyre feels it.
    speed_m_per_s : float
        Held speed [m/s], zero or more.
    offset_m : float
        How far the wheel is before the start of the road at time zero [m].
    step_s : float
        Step of the integrator [s].
    steps : int
        Number of steps.
    noise : float
        Differences of rates that mean nothing, as NOISE is.

    Returns
    -------
    height : (steps + 1,) array
        Heights [m] at times i step, under the wheel at x = speed t - offset.
    rate : (steps + 1,) array
        Rates of rise [m/s] at the same times.

    Raises
    ------
    ValueError
        If the speed, the offset, the step or the number of steps is not possible.
    """
    _check(speed_m_per_s, offset_m, step_s, steps)
    place = _Place(profile, speed_m_per_s, offset_m)
    time = np.arange(steps + 1, dtype=np.float64) * step_s
    height, point = profile.height_and_rate(place.at(time), speed_m_per_s)
    if speed_m_per_s == 0.0:
        return height, np.zeros_like(height)
    half_width = 0.5 * step_s
    # neighbours share their bound to the last bit, else a jump could fall between them;
    # nothing before time zero or after the end: there the windows are halves
    bounds = np.concatenate((time[:1], time[:-1] + half_width, time[-1:]))
    mean = np.diff(profile.height(place.at(bounds))) / np.diff(bounds)
    smooth = _is_smooth(place, time, half_width, height, point, mean, noise)
    return height, np.where(smooth, point + _seams(smooth, point), mean)


class _Place:
    """Where the wheel is at a time, and how far it rises between two times."""

    def __init__(self, profile: Profile, speed_m_per_s: float, offset_m: float) -> None:
        self.profile, self.speed, self.offset = profile, speed_m_per_s, offset_m

    def at(self, time: Array) -> Array:
        """Return the place [m]."""
        return self.speed * time - self.offset

    def mean_rate(self, start: Array, end: Array) -> Array:
        """Return the mean rate of rise [m/s] between two times."""
        rise = self.profile.height(self.at(end)) - self.profile.height(self.at(start))
        return rise / (end - start)


def _is_smooth(
    place: _Place, time: Array, half_width: float, height: Array, point: Array, mean: Array, noise: float
) -> NDArray[np.bool_]:
    """Tell where the mean's error grows with the square of the window's width."""
    before, after = time - 2.0 * half_width, time + 2.0 * half_width
    # A window twice as wide reaches from the step before to the step after, whose heights are known.
    past_ends = place.profile.height(place.at(np.array([before[0], after[-1]])))
    outer = np.concatenate((past_ends[:1], height, past_ends[1:]))
    wide = (outer[2:] - outer[:-2]) / (4.0 * half_width)
    centred = mean.copy()
    ends = np.array([0, -1])
    # Windows at both ends are halves; the test compares whole ones.
    centred[ends] = place.mean_rate((time - half_width)[ends], (time + half_width)[ends])
    # Without it smooth stretches would fail by their last digits, and lose the fourth order.
    nothing = noise * max(1.0, float(np.max(np.abs(point))))
    error, error_wide = centred - point, wide - point
    as_expected: NDArray[np.bool_] = np.abs(error_wide - 4.0 * error) <= 0.25 * np.abs(error_wide) + nothing
    return as_expected & ~place.profile.has_kink(place.at(before), place.at(after))


def _seams(smooth: NDArray[np.bool_], point: Array) -> Array:
    """Return what derivatives next to means must be raised by, so that the sum of both is the road's rise.

    The first term of Euler and Maclaurin, a 24th of the change in a step, there where the last window ends; known from the
    three derivatives on this side.
    """
    raised = np.zeros_like(point)
    change = np.diff(point)
    # Three derivatives, then a mean.
    before = np.flatnonzero(smooth[:-3] & smooth[1:-2] & smooth[2:-1] & ~smooth[3:]) + 2
    # Extrapolated by half a step, to where the last mean's window ends.
    raised[before] += (1.5 * change[before - 1] - 0.5 * change[before - 2]) / 24.0
    after = np.flatnonzero(~smooth[:-3] & smooth[1:-2] & smooth[2:-1] & smooth[3:]) + 1
    raised[after] -= (1.5 * change[after] - 0.5 * change[after + 1]) / 24.0
    return raised


def _check(speed_m_per_s: float, offset_m: float, step_s: float, steps: int) -> None:
    if not (math.isfinite(speed_m_per_s) and speed_m_per_s >= 0.0):
        raise ValueError(f"a speed of {speed_m_per_s} m/s is not possible: it must be 0 or more")
    if not math.isfinite(offset_m):
        raise ValueError(f"an offset of {offset_m} m is not possible")
    if not (math.isfinite(step_s) and step_s > 0.0):
        raise ValueError(f"a step of {step_s} s is not possible: it must be more than 0")
    if steps < 1:
        raise ValueError(f"{steps} steps are not possible: at least 1")
