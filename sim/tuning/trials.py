"""Trials: set-ups with moves at some place, and dampers as they may come out, through every case."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import nan
from typing import Any

import numpy as np

from sim.errors import JounceError
from sim.kernel.jit import BLOCK
from sim.many.measured import PrecisionName, Track
from sim.many.spread import Spread
from sim.parts.vehicle import Vehicle
from sim.result import Array
from sim.tuning.moves import Moving, moved, scattered

INVALID_M = 1.0
"""What a trial that could not be run counts as past a damper's end [m]: more than any that could."""


InCase = tuple[list[float], float, str]


@dataclass(frozen=True)
class Trial:
    """One set-up to be tried.

    Attributes
    ----------
    setup : str
        From which set-up.
    values : tuple of float
        Of every move [SI]; empty for the set-up as it is.
    scatter : tuple of float
        Factors of bump and rebound force of every damper set; empty for dampers as ordered.
    """

    setup: str
    values: tuple[float, ...] = ()
    scatter: tuple[float, ...] = ()


@dataclass(frozen=True)
class Tried:
    """What came of a trial.

    Attributes
    ----------
    values : (cases, measures) array
        nan where a measure says nothing, or the trial could not be run.
    ends_m : (cases,) array
        How far the dampers went past their ends [m]; INVALID_M where it could not be run or left the model's validity.
    why : tuple of str
        By case: why it has no value; empty if it has.
    """

    values: Array
    ends_m: Array
    why: tuple[str, ...]


Part = tuple[int, list[Trial]]


class Trials:
    """The problem that workers get.

    Parameters
    ----------
    cases : sequence of (run, dict of str to Vehicle)
        A run, and every set-up as it is for that case.
    moves : sequence of Moving
    measures : sequence of str
    precision : "single" or "double"
        Of the blocks that they run in, as in `sim.many.measured.Track`.
    """

    def __init__(
        self, cases: Sequence[tuple[Any, dict[str, Vehicle]]], moves: Sequence[Moving], measures: Sequence[str],
        precision: PrecisionName = "single",
    ) -> None:  # fmt: skip
        self.cases, self.moves, self.measures = list(cases), tuple(moves), tuple(measures)
        self.precision: PrecisionName = precision
        self._tracks: list[Track] = []

    def __getstate__(self) -> dict[str, Any]:
        return {**self.__dict__, "_tracks": []}

    def solved(self, part: "Part") -> list["InCase"]:
        """Return what came of trials in one case: measures, metres past a damper's end, and why there are none."""
        if not self._tracks:
            self._tracks = [Track(run, self.measures, precision=self.precision) for run, _ in self.cases]
        number, trials = part
        setups, track = self.cases[number][1], self._tracks[number]
        found: list[InCase] = [([nan] * len(self.measures), INVALID_M, "")] * len(trials)
        vehicles = {}
        for place, trial in enumerate(trials):
            try:
                vehicles[place] = self.vehicle(trial, setups)
            except JounceError as error:
                found[place] = [nan] * len(self.measures), INVALID_M, str(error).splitlines()[0]
        for place, outcome in zip(vehicles, track.outcomes(list(vehicles.values())), strict=True):
            if outcome.invalid:
                found[place] = [nan] * len(self.measures), INVALID_M, outcome.invalid
            else:
                past = max((left.by_m for left in outcome.left), default=0.0)
                found[place] = [outcome.values.get(name, nan) for name in self.measures], past, ""
        return found

    def vehicle(self, trial: Trial, setups: dict[str, Vehicle]) -> Vehicle:
        """Return the set-up of a trial in one case.

        Raises
        ------
        InputError
            If its values do not go together.
        """
        made = setups[trial.setup]
        if trial.values:
            made = moved(made, self.moves, trial.values)
        return scattered(made, trial.scatter) if trial.scatter else made


def tried(spread: Spread, trials: Sequence[Trial]) -> list[Tried]:
    """Return what came of trials, in their order, done in parts of a block and a case that do not depend on the workers."""
    problem: Any = spread.problem
    cases = range(len(problem.cases))
    firsts = range(0, len(trials), BLOCK)
    parts = [(case, list(trials[first : first + BLOCK])) for first in firsts for case in cases]
    found: dict[int, list[InCase]] = dict(spread.each(parts))
    done = []
    for place in range(len(trials)):
        first = place // BLOCK * len(cases)
        rows = [found[first + case][place % BLOCK] for case in cases]
        done.append(Tried(np.array([r[0] for r in rows]), np.array([r[1] for r in rows]), tuple(r[2] for r in rows)))
    return done
