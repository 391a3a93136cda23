"""Trials: set-ups with moves at some place, and dampers as they may come out, through every case."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import nan
from typing import Any

import numpy as np

from sim.describe.parts.vehicle import Vehicle
from sim.describe.valved import Valved
from sim.errors import JounceError
from sim.integrate.many.ready import whole
from sim.integrate.status import Flag, in_words
from sim.integrate.traces import Array
from sim.lower.packed import PrecisionName
from sim.machine.spread import Spread
from sim.measure.rest_band import RestBand
from sim.study.tuning.fitting import rooms
from sim.study.tuning.moves import Moving, moved
from sim.study.tuning.revalved import Made, Revalving, scattered
from sim.study.tuning.runners import Runner, runner

INVALID_M = 1.0
"""What a trial that could not be run counts as past what parts can bear [m]: more than any that could."""

UNSIZED_M = 0.01
"""What a fault without a length counts as [m]: gas bubbles, an energy balance that does not close. As much as a damper 10 mm past
its end; ours, no source."""

InCase = tuple[list[float], float, str, str]
"""Measures, metres past what parts can bear, why there are none, and its faults in words."""


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
    past_m : (cases,) array
        How far parts went past what they can bear, summed [m]: dampers' ends, solid coils, flat stops, standing on stops;
        UNSIZED_M for a fault without a length, INVALID_M where it could not be run or left the model's validity.
    why : tuple of str
        By case: why it has no value; empty if it has.
    faults : tuple of str
        By case: what it was flagged for, in words; empty if for nothing.
    """

    values: Array
    past_m: Array
    why: tuple[str, ...]
    faults: tuple[str, ...] = ()

    @property
    def flagged(self) -> str:
        """What it was flagged for in any case, in words; empty if for nothing."""
        return "; ".join(dict.fromkeys(text for one in self.faults for text in one.split("; ") if text))


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
        Of the blocks that they run in, as in `sim.study.many.Track`.
    bands : sequence of (RestBand or None), optional
        By case, within what set-ups count as at rest.
    """

    def __init__(
        self, cases: Sequence[tuple[Any, dict[str, Vehicle]]], moves: Sequence[Moving], measures: Sequence[str],
        precision: PrecisionName = "single", bands: Sequence[RestBand | None] = (),
    ) -> None:  # fmt: skip
        self.bands = tuple(bands) or (None,) * len(cases)
        self.cases, self.moves, self.measures = list(cases), tuple(moves), tuple(measures)
        self.precision: PrecisionName = precision
        self._runners: list[Runner] = []
        self._revalvings: dict[tuple[int, str], Revalving] = {}

    def __getstate__(self) -> dict[str, Any]:
        # Every worker makes its own: roads and known set-ups are large.
        return {**self.__dict__, "_runners": [], "_revalvings": {}}

    @property
    def runners(self) -> list[Runner]:
        """What runs each case, kept: roads and known set-ups are of use again."""
        if not self._runners:
            self._runners = [
                runner(run, self.measures, self.precision, band)
                for (run, _), band in zip(self.cases, self.bands, strict=True)
            ]
        return self._runners

    def solved(self, part: "Part") -> list["InCase"]:
        """Return what came of trials in one case."""
        number, trials = part
        running = self.runners[number]
        in_case: list[InCase] = [([nan] * len(self.measures), INVALID_M, "", "")] * len(trials)
        vehicles: dict[int, Vehicle | Valved] = {}
        for place, trial in enumerate(trials):
            try:
                vehicles[place] = self._setup(number, trial)
            except JounceError as error:
                in_case[place] = [nan] * len(self.measures), INVALID_M, str(error).splitlines()[0], ""
        for place, outcome in zip(vehicles, running.outcomes(list(vehicles.values())), strict=True):
            # Numbers from outside what the model holds for must not win a search: as if it had not been run.
            if outcome.invalid:
                nothing = [nan] * len(self.measures)
                in_case[place] = nothing, INVALID_M, outcome.invalid, in_words(outcome.flags)
            else:
                # Room depends on no run: the first case has it, and nan in the others breaks none.
                values = outcome.values | (rooms(whole(vehicles[place]), self.measures) if number == 0 else {})
                measured = [values.get(name, nan) for name in self.measures]
                in_case[place] = measured, past(outcome.flags), "", in_words(outcome.flags)
        return in_case

    def _setup(self, number: int, trial: Trial) -> Vehicle | Valved:
        """Return the set-up of a trial in a case, not put together where nothing but dampers' laws moves.

        Raises
        ------
        InputError
            If its values do not go together.
        """
        setups = self.cases[number][1]
        if (number, trial.setup) not in self._revalvings:
            made = Made(setups[trial.setup], self.moves)
            # Mostly cases differ in loads and runs: the laws of a trial are made for one and taken for all.
            known = (one.made for one in self._revalvings.values() if one.made.words == made.words)
            self._revalvings[number, trial.setup] = Revalving(setups[trial.setup], next(known, made))
        setup = self._revalvings[number, trial.setup].setup(trial.values, trial.scatter)
        return self.vehicle(trial, setups) if setup is None else setup

    def vehicle(self, trial: Trial, setups: dict[str, Vehicle]) -> Vehicle:
        """Return the set-up of a trial in one case.

        Raises
        ------
        InputError
            If its values do not go together.
        """
        vehicle = setups[trial.setup]
        if trial.values:
            vehicle = moved(vehicle, self.moves, trial.values)
        # Last, since a builder misses the forces that were ordered.
        return scattered(vehicle, trial.scatter) if trial.scatter else vehicle


def past(flags: Iterable[Flag]) -> float:
    """Return how far flags say that parts went past what they can bear, summed [m]; 0 without flags."""
    # Summed, so that a search that cannot mend one fault still mends another.
    return sum(flag.past_m or UNSIZED_M for flag in flags)


def tried(spread: Spread, trials: Sequence[Trial]) -> list[Tried]:
    """Return what came of trials, in their order, done in parts of one case that do not depend on the workers."""
    problem: Any = spread.problem
    parts: list[Part] = []
    places: list[tuple[int, int]] = []  # of each part: case, first trial
    # A part is of one case, as a block has one road.
    for case, running in enumerate(problem.runners):
        for first in range(0, len(trials), running.at_once):
            parts.append((case, list(trials[first : first + running.at_once])))
            places.append((case, first))
    rows: list[list[InCase]] = [[([], nan, "", "")] * len(problem.cases) for _ in trials]
    # Parts come back as they are finished, not in their order.
    for number, outcomes in spread.each(parts):
        case, first = places[number]
        for place, one in enumerate(outcomes):
            rows[first + place][case] = one
    return [
        Tried(
            np.array([r[0] for r in row]),
            np.array([r[1] for r in row]),
            tuple(r[2] for r in row),
            tuple(r[3] for r in row),
        )
        for row in rows
    ]
