"""International Roughness Index of a profile, and the class that its spectrum has.

M. W. Sayers, T. D. Gillespie, W. D. O. Paterson, World Bank Technical Paper 46 (1986); M. W. Sayers, Transportation Research
Record 1501 (1995); ASTM E1926: a quarter car of given ratios at 80 km/h, fed with the profile's slope; the index is the mean
of its suspension's speed over its own.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy.linalg import expm
from scipy.signal import detrend, lfilter
from scipy.signal.windows import tukey

from sim.describe.roads.array import Array
from sim.describe.roads.random_road import CLASSES, REFERENCE, class_density
from sim.lower.road.pieces import Road

SPRING, TYRE, WHEEL, DAMPER = 63.3, 653.0, 0.15, 6.0  # over the sprung mass: [1/s²], [1/s²], [-], [1/s]
SPEED = 80.0 / 3.6  # [m/s]
BASE_M = 0.25
"""A profile that is sampled finer is averaged over this length first, as the tyre would [m]."""

START_M = 11.0
"""The quarter car begins with the mean slope of the first so many metres: half a second."""

# Five to the 250 mm over which the index averages.
SAMPLE_M = 0.05

SECTION_M = 10.0
"""Length of the sections whose roughness is told apart [m]."""


@lru_cache(maxsize=8)
def transition(spacing_m: float) -> tuple[Array, Array]:
    """Return how the state goes from one point to the next: (4, 4), and what the slope between them adds: (4,).

    States are slopes of sprung and unsprung mass and their rates: zs', zs'', zu', zu''.
    """
    a = np.array(
        [
            [0.0, 1.0, 0.0, 0.0],
            [-SPRING, -DAMPER, SPRING, DAMPER],
            [0.0, 0.0, 0.0, 1.0],
            [SPRING / WHEEL, DAMPER / WHEEL, -(SPRING + TYRE) / WHEEL, -DAMPER / WHEEL],
        ]
    )
    b = np.array([0.0, 0.0, 0.0, TYRE / WHEEL])
    # Exact for a slope that is constant between two points, as E1926 has it.
    step = expm(a * spacing_m / SPEED)
    # The integral of exp(a t) b over the step, by the inverse of a, which is regular.
    return step, np.linalg.solve(a, (step - np.eye(4)) @ b)


def iri(height_m: Array, spacing_m: float, averaged: bool = True) -> float:
    """Return the International Roughness Index [m/m] of an evenly sampled profile; times 1000: m/km.

    Parameters
    ----------
    height_m : (n,) array
        Heights [m].
    spacing_m : float
        Between them [m].
    averaged : bool
        Whether a profile sampled finer than 250 mm is averaged over that length first, as the algorithm asks.

    Raises
    ------
    ValueError
        If the profile is shorter than 11 m, from which the start is found.
    """
    return float(np.mean(_speeds(height_m, spacing_m, averaged)))


def iri_by_section(height_m: Array, spacing_m: float, section_m: float = SECTION_M) -> tuple[Array, Array]:
    """Return the ends of a profile's sections (n + 1,) [m] and the index of each (n,) [m/m].

    The quarter car runs on from one to the next, so that their mean by length is the index of the whole.

    Raises
    ------
    ValueError
        If the profile is shorter than 11 m.
    """
    speeds = _speeds(height_m, spacing_m, averaged=True)
    each = max(round(section_m / spacing_m), 1)
    starts = np.arange(0, speeds.size, each)
    sizes = np.diff(np.append(starts, speeds.size))
    ends = np.append(starts, speeds.size) * spacing_m
    return ends.astype(np.float64), np.add.reduceat(speeds, starts) / sizes


def _speeds(height_m: Array, spacing_m: float, averaged: bool) -> Array:
    """Return the suspension's speed over the car's own at each point after the first."""
    z = np.asarray(height_m, float)
    if (z.size - 1) * spacing_m < START_M:
        raise ValueError(
            f"a profile of {(z.size - 1) * spacing_m:.1f} m is too short for its roughness: 11 m are needed"
        )
    # The index is one of slopes: a profile's datum and its mean height do not count.
    slope = np.diff(z) / spacing_m
    if averaged and spacing_m < BASE_M:
        slope = moving_mean(slope, round(BASE_M / spacing_m))
    # E1926 starts on the mean slope of the first 11 m, so that no start-up bounce is counted.
    first = (np.interp(START_M, spacing_m * np.arange(z.size), z) - z[0]) / START_M
    return np.abs(_travel(slope, spacing_m, float(first)))


def _travel(slope: Array, spacing_m: float, first: float) -> Array:
    """Return zs' - zu' at each point, from a start at the mean slope."""
    step, given = transition(spacing_m)
    # Diagonal: four first-order filters, far quicker than stepping in a loop.
    values, vectors = np.linalg.eig(step)
    into = np.linalg.solve(vectors, given.astype(complex))
    start = np.linalg.solve(vectors, np.array([first, 0.0, first, 0.0], complex))
    out = vectors[0] - vectors[2]
    total = np.zeros(slope.size, complex)
    for value, gain, began, seen in zip(values, into, start, out, strict=True):
        x, _ = lfilter([1.0], [1.0, -value], gain * slope.astype(complex), zi=np.array([value * began]))
        total += seen * x
    return np.real(total)


def moving_mean(values: Array, count: int) -> Array:
    """Return the mean over each value and those after it, `count` in all; shorter at the end."""
    if count <= 1:
        return values
    # Differences of running sums, as a window at every point would take its length times longer.
    sums = np.concatenate(([0.0], np.cumsum(values)))
    end = np.minimum(np.arange(values.size) + count, values.size)
    return (sums[end] - sums[:-1]) / (end - np.arange(values.size))


@dataclass(frozen=True)
class Roughness:
    """What a road's profile says.

    Attributes
    ----------
    iri : float
        International Roughness Index [m/m].
    frequency, density : (n,) arrays
        Spatial frequency [1/m] and one-sided displacement density [m³] of the profile.
    section_ends, section_iri : (m + 1,) and (m,) arrays
        Ends of sections of 10 m [m] and the index of each [m/m].
    at_reference : float
        Density at 0.1 1/m of the line (n/0.1)^-2 that fits best in 0.05 to 0.5 1/m [m³]; nan for a short road.
    iso_class : str
        ISO 8608 class of that line, "" if it is not clear.
    """

    iri: float
    frequency: Array
    density: Array
    section_ends: Array
    section_iri: Array
    at_reference: float
    iso_class: str


def places(road: Road) -> Array:
    """Return where a road is sampled to be measured [m]."""
    return SAMPLE_M * np.arange(int(road.length_m / SAMPLE_M) + 1, dtype=np.float64)


def spectrum(height_m: Array, spacing_m: float) -> tuple[Array, Array]:
    """Return middles of twelfth-octave bands [1/m] and the one-sided density [m³] of a profile in them.

    One record over the whole road, so that nothing of it is left out, smoothed over bands as ISO 8608 does.
    """
    # Tapered ends: a jump from the road's end to its start would fill all short waves.
    window = tukey(height_m.size, 0.1)
    lines = np.fft.rfft(detrend(height_m) * window)  # a mean grade would do the same
    # one-sided; the taper's own loss of power is given back
    density = 2.0 * np.abs(lines) ** 2 * spacing_m / np.sum(window**2)
    frequency = np.fft.rfftfreq(height_m.size, spacing_m)
    count = int(12 * np.log2(frequency[-1] / frequency[1]))
    # Twelfth octaves, centred on the first line of the spectrum.
    edges = frequency[1] * 2.0 ** (np.arange(count + 2) / 12.0 - 1.0 / 24.0)
    band = np.digitize(frequency, edges) - 1
    inside = (band >= 0) & (band <= count)
    sums = np.bincount(band[inside], density[inside], count + 1)
    sizes = np.bincount(band[inside], minlength=count + 1)
    filled = sizes > 0  # at long waves lines are farther apart than bands
    middle = edges[:-1] * 2.0 ** (1.0 / 24.0)
    return middle[filled], sums[filled] / sizes[filled]


def roughness(road: Road) -> Roughness:
    """Return index, spectrum and class of a road; a road of shapes has an index but is of no class strictly."""
    x = places(road)
    z = road.height(x)
    index = iri(z, SAMPLE_M)
    sections = iri_by_section(z, SAMPLE_M)
    frequency, density = spectrum(z, SAMPLE_M)
    # Waves of 2 to 20 m, around the 10 m at which the class is stated.
    band = (frequency >= 0.05) & (frequency <= 0.5)
    if band.sum() < 8 or not np.all(density[band] > 0.0):
        return Roughness(index, frequency, density, *sections, float("nan"), "")
    # The mean of logarithms: a line is fitted where the spectrum is drawn, on two logarithmic scales.
    at_reference = float(np.exp(np.mean(np.log(density[band] * (frequency[band] / REFERENCE) ** 2))))
    # Classes are a factor of four apart and reach a factor of two either side of their mean.
    limits = [2.0 * class_density(c) for c in CLASSES[:-1]]
    return Roughness(
        index, frequency, density, *sections, at_reference, CLASSES[int(np.searchsorted(limits, at_reference))]
    )
