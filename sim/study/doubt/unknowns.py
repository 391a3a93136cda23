"""Numbers that are in doubt, over all set-ups of a scenario: which of them share one, and draws of them all."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fnmatch import fnmatchcase
from math import exp, isfinite, pi, sqrt
from statistics import NormalDist
from typing import Any

import numpy as np
import numpy.typing as npt

from sim.describe.doubt import INSIDE
from sim.describe.doubtful import Doubtful, doubtful
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs.changed import RUN
from sim.study.doubt.normal import quantiles
from sim.study.doubt.sequence import sequence
from sim.study.many import ROAD_PATHS

Array = npt.NDArray[np.float64]

NORMAL = NormalDist()
"""Python's own, for a single number: to load the same from SciPy takes longer than all draws of a comparison."""

SEED = 17
"""Of the scramble of the sequence: any other would serve as well, and this one gives everybody the same numbers."""

OF_ONE_RULE = "*.guide.wind_up.rate", "*.guide.wind_up.damping"
"""Estimates whose rule is off alike before and after a change of packs: by clamps, eyes and shackles of one truck. Drawn each for itself they
would hide what the packs change."""

TOGETHER = 16
"""Draws that share one road: so many points of the sequence, one after the other, are spread evenly in themselves (a digital net;
I. M. Sobol', 1967), and they are a block."""


@dataclass(frozen=True)
class Unknown:
    """One number in doubt.

    The same words at the same path are the same number, whichever set-up writes them: what a set-up writes otherwise is another. Not so
    what is estimated by one rule of the truck's packs and of a set-up's (OF_ONE_RULE): it is off by as much of its doubt.

    Attributes
    ----------
    what : Doubtful
    setups : tuple of str
        Those that have it.
    measured : bool
        The truck as measured has it: it decides by what springs the truck stands as it does.
    own : tuple of (str, Doubtful)
        Set-ups that have it with other values than `what`, and these.
    """

    what: Doubtful
    setups: tuple[str, ...]
    measured: bool
    own: tuple[tuple[str, Doubtful], ...] = ()

    @property
    def path(self) -> str:
        """Where it stands, as a set-up writes it."""
        return self.what.path

    def drawn(self, setup: str, value: float) -> float:
        """Return what a set-up has where `what` is drawn as a value [SI]: its own value, off by as much of its own doubt."""
        own = dict(self.own).get(setup)
        if own is None:
            return value
        return own.value + (value - self.what.value) / deviation(self.what) * deviation(own)

    @property
    def of_run(self) -> bool:
        """Whether it is a number of the run and not of the truck."""
        return self.path.startswith(RUN)

    @property
    def of_road(self) -> bool:
        """Whether another value of it needs another road or another run."""
        return self.of_run or self.path in ROAD_PATHS


def unknowns(setups: Mapping[str, Vehicle], run: Any = None) -> tuple[Unknown, ...]:
    """Return every number in doubt of some set-ups, of the truck they come from, and of their run."""
    found: dict[tuple[str, str], list[Any]] = {}
    own: dict[tuple[str, str], list[tuple[str, Doubtful]]] = {}
    for name, vehicle in setups.items():
        alike = _of_one_rule(vehicle)
        for one in doubtful(vehicle):
            if one.path in alike:
                first = alike[one.path]
                found.setdefault((one.path, first.doubt.written), [first, [], False])[1].append(name)
                own.setdefault((one.path, first.doubt.written), []).append((name, one))
                continue
            found.setdefault((one.path, one.doubt.written), [one, [], False])[1].append(name)
        for one in doubtful(vehicle.reference):
            found.setdefault((one.path, one.doubt.written), [one, [], False])[2] = True
    for one in doubtful(run, (RUN.rstrip("."),)):
        found[one.path, one.doubt.written] = [one, list(setups), False]
    return tuple(
        Unknown(what, tuple(names), measured, tuple(own.get(key, ()))) for key, (what, names, measured) in found.items()
    )


def _of_one_rule(vehicle: Vehicle) -> dict[str, Doubtful]:
    """Return the truck's own number of each that is estimated by one rule of a set-up's packs and of the truck's, where the two differ."""
    paths = {
        one.path
        for one in vehicle.estimates
        if any(fnmatchcase(one.path, pattern) for pattern in OF_ONE_RULE)
        and any(
            measured.path == one.path and measured.written != one.written for measured in vehicle.reference.estimates
        )
    }
    return {one.path: one for one in doubtful(vehicle.reference) if one.path in paths} if paths else {}


def draws(of: Sequence[Unknown], count: int) -> tuple[Array, Array]:
    """Return quasi-random draws.

    A scrambled Sobol' sequence with a fixed seed. Numbers that a road is sampled for are drawn once for `TOGETHER` draws.

    Parameters
    ----------
    of : sequence of Unknown
        d of them.
    count : int
        How many, a power of two, at least `TOGETHER`.

    Returns
    -------
    shares : array (count, d)
        Place of each draw within its number's distribution, 0 to 1.
    values : array (count, d)
        In SI.
    """
    shares = np.empty((count, len(of)))
    for road, repeat, seed in ((False, 1, SEED), (True, TOGETHER, SEED + 1)):
        columns = [number for number, one in enumerate(of) if one.of_road is road]
        if columns:
            shares[:, columns] = np.repeat(sequence(count // repeat, len(columns), seed), repeat, axis=0)
    return shares, np.column_stack([at_shares(one.what, shares[:, n]) for n, one in enumerate(of)])


def many_shares(count: int, dimensions: int) -> Array:
    """Return shares (count, dimensions) of a sequence of its own, for what costs no run."""
    return sequence(count, dimensions, SEED + 2)


def at_shares(what: Doubtful, shares: Array) -> Array:
    """Return values [SI] below which a share of a number's distribution lies; a normal one is cut off where its key ends."""
    doubt = what.doubt
    if doubt.shape == "even":
        values: Array = doubt.low + (doubt.high - doubt.low) * shares
        return values
    sigma = deviation(what)
    below, above = (NORMAL.cdf((end - what.value) / sigma) for end in (what.least, what.most))
    inside: Array = what.value + sigma * quantiles(below + (above - below) * shares)
    return inside


def deviation(what: Doubtful) -> float:
    """Return the standard deviation of a number in doubt [SI], of a normal one before it is cut off."""
    half = 0.5 * (what.doubt.high - what.doubt.low)
    return half / 3.0**0.5 if what.doubt.shape == "even" else half / NORMAL.inv_cdf(0.5 + 0.5 * INSIDE)


def moments(what: Doubtful) -> tuple[float, float, float, float]:
    """Return the means of a number's first four powers, in standard deviations from its central value (`scaled`).

    Of a normal one that is cut off by the recurrence of N. L. Johnson, S. Kotz and N. Balakrishnan, Continuous Univariate
    Distributions 1 (2nd ed. 1994), 10.1: by parts, as the density's derivative is -z times it.
    """
    doubt, sigma = what.doubt, deviation(what)
    if doubt.shape == "even":
        low, high = ((end - what.value) / sigma for end in (doubt.low, doubt.high))
        first, second, third, fourth = ((high**n - low**n) / (n * (high - low)) for n in range(2, 6))
        return first, second, third, fourth
    ends = [(end - what.value) / sigma for end in (what.least, what.most)]
    inside = NORMAL.cdf(ends[1]) - NORMAL.cdf(ends[0])
    density = [exp(-0.5 * end**2) / sqrt(2.0 * pi) if isfinite(end) else 0.0 for end in ends]
    of = [1.0, 0.0, 0.0, 0.0, 0.0]
    for n in range(1, 5):
        at_ends = [d * end ** (n - 1) if d else 0.0 for d, end in zip(density, ends, strict=True)]
        of[n] = (n - 1) * (of[n - 2] if n > 1 else 0.0) - (at_ends[1] - at_ends[0]) / inside
    return of[1], of[2], of[3], of[4]


def scaled(of: Sequence[Unknown], values: Array) -> Array:
    """Return draws (n, d) in standard deviations from their central values."""
    centres = np.array([one.what.value for one in of])
    z: Array = (values - centres) / np.array([deviation(one.what) for one in of])
    return z
