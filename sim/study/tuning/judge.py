"""Judges trials: what a goal comes to, which limits are broken and by how much."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import isfinite
from typing import Annotated, Any

import numpy as np

from sim.describe.asked.tune import Limit, Tune
from sim.describe.bare_numbers import Fraction
from sim.describe.quantity import Quantity
from sim.describe.shown import show
from sim.describe.units import (
    Acceleration,
    Angle,
    Duration,
    Energy,
    Force,
    Length,
    Power,
    Speed,
    Temperature,
    Torque,
)
from sim.describe.wrong import first_in_words
from sim.errors import InputError, Problem
from sim.integrate.damper_room import LEAST_MARGIN
from sim.integrate.traces import Array
from sim.measure.measure import Measure
from sim.measure.table import FLOORS
from sim.study.tuning.trials import Tried

OF_NOW = re.compile(r"\s*([\d.]+)\s*%\s*of\s+now\s*$")

# Measures have quantities that nothing in a vehicle file has.
PerSecond = Annotated[float, Quantity("rate of decay", "1/s", ("2.5 1/s",))]
Kelvins = Annotated[float, Quantity("difference of temperatures", "K", ("15 K",))]

WRITTEN = {
    "acceleration": Acceleration, "angle": Angle, "time": Duration, "energy": Energy, "force": Force, "length": Length,
    "power": Power, "speed": Speed, "torque": Torque, "rate": PerSecond, "road_speed": Speed, "distance": Length,
    "temperature": Temperature, "warmth": Kelvins, "minutes": Duration,
}  # fmt: skip

BROKEN = 1e3
"""What any broken limit costs, in shares of the goal at the start: every whole set-up comes before every broken one."""

WORST = 1e6
"""Most that a limit is said to be broken by: settling that was never reached, a trial that could not be run."""

END_M = 0.01
"""Length [m] by which going past what parts can bear is counted."""

NEARER = 1e-3
"""What the goal counts for among set-ups that break limits by as much: so little that it never makes up for a breach."""

SOUND = "No run is flagged (dampers off their ends, coils not solid, bump stops not flat, all within the model's range)"
"""The limit that nobody need write, in words."""

BINDING = 0.02
"""A limit this near, as a share of it, binds."""

ONE_MORE = 1.0 - 1e-9
"""A count binds where one more breaks its limit: limits of counts may be written as 2.5 as well as 2."""


@dataclass(frozen=True)
class Bound:
    """A limit in SI.

    Attributes
    ----------
    measure : Measure
    most : bool
        True for at most, False for at least.
    value : float
    size : float
        By which a breach is counted.
    of_now : str
        What share of now it was written as, where the cases differ now: "100 % of now in its worst case"; else empty.
    """

    measure: Measure
    most: bool
    value: float
    size: float
    of_now: str = ""

    def broken(self, values: Array) -> Array:
        """Return by how much values break it, in its size; 0 where they keep it or say nothing."""
        past = (values - self.value) if self.most else (self.value - values)
        # Infinite (it never settled) breaks a limit by the most; nan says nothing of this case and breaks none.
        breach: Array = np.clip(np.nan_to_num(past / self.size, nan=0.0, posinf=WORST, neginf=0.0), 0.0, WORST)
        # The start must keep a limit of 100 % of now, whatever its last bit.
        return np.where(breach < 1e-9, 0.0, breach)

    @property
    def words(self) -> str:
        """The limit in words."""
        return f"{self.measure.label}: {self.at}"

    @property
    def at(self) -> str:
        """What it allows, in words."""
        share = f" ({self.of_now})" if self.of_now else ""
        return f"at {'most' if self.most else 'least'} {show(self.value, self.measure.quantity)}{share}"


def _unplaced(key: str, message: str, suggestion: str = "") -> Problem:
    return Problem(message, where=f"tune.{key}", suggestion=suggestion)


class Judge:
    """What trials are worth.

    Parameters
    ----------
    tune : Tune
    measures : sequence of Measure
        Those of the trials' columns.
    weights : (cases,) array
        Of the cases.
    start : Tried
        The starting set-up, by which goals are measured.
    zeros : sequence of float
        By case: the temperature of its air [K]; what is warm is judged by how much warmer it is.
    fit : bool
        Also hold dampers to the room that the trade leaves at both ends of their whole travel, or to what they have now.
    problem : callable, optional
        Makes a problem at a key of the tune section.

    Raises
    ------
    InputError
        If a goal says nothing of the starting set-up in any case, or a limit cannot be read.
    """

    def __init__(
        self, tune: Tune, measures: Sequence[Measure], weights: Array, start: Tried, zeros: Sequence[float] = (),
        fit: bool = False, problem: Callable[..., Problem] = _unplaced,
    ) -> None:  # fmt: skip
        self.tune, self.measures, self.weights = tune, tuple(measures), weights
        self.names = [measure.name for measure in measures]
        self.now = start.values
        self.sizes = np.empty(self.now.shape)
        self.zeros = np.zeros(self.now.shape)
        # 60 °C is not three times 20: warm figures count from the air.
        for column, measure in enumerate(measures):
            if measure.quantity == "temperature" and len(zeros):
                self.zeros[:, column] = zeros
            # A share of next to nothing says nothing: the quantity's usual size stands in for it.
            floor = FLOORS.get(measure.quantity, 1.0)
            size = np.abs(self.now[:, column] - self.zeros[:, column])
            self.sizes[:, column] = np.where(np.isfinite(size) & (size > 1e-3 * floor), size, floor)
        for name in (*tune.goal, *tune.trade_off):
            column = self.names.index(name)
            if np.all(np.isnan(self.now[:, column])):
                key = f"goal.{name}" if name in tune.goal else "trade_off"
                raise InputError(
                    problem(key, f"'{name}' says nothing of the starting set-up in any case, so it cannot be a goal")
                )
        self.bounds, problems = [], []
        for name, limit in tune.limits.items():
            try:
                self.bounds.append(self._bound(name, limit))
            except InputError as error:
                problems += [
                    replace(problem(f"limits.{name}", p.message, p.suggestion), given=p.given) for p in error.problems
                ]
        if problems:
            raise InputError(problems)
        if fit:
            # A limit that is written for it counts instead.
            rooms = [m for m in measures if m.quantity == "length" and "_room_" in m.name and m.name not in tune.limits]
            self.bounds += map(self._fitting, rooms)

    def _bound(self, name: str, limit: Limit) -> Bound:
        column = self.names.index(name)
        measure = self.measures[column]
        most = limit.at_most is not None
        value = self._limit_value(limit.at_most if most else limit.at_least, measure, column, most)
        floor = FLOORS.get(measure.quantity, 1.0)
        zeros = self.zeros[:, column]
        # A limit of zero has no size of its own to count a breach by.
        given = limit.at_most if most else limit.at_least
        return Bound(
            measure, most, value, max(abs(value - float(zeros.max())), floor), self._of_now(given, measure, column)
        )

    def _fitting(self, measure: Measure) -> Bound:
        """Return the limit that a damper has the room that the trade leaves, or no less than it has now."""
        column = self.now[:, self.names.index(measure.name)]
        known = column[np.isfinite(column)]
        return Bound(measure, False, min(LEAST_MARGIN, float(known.min()) if known.size else 0.0), END_M)

    def _limit_value(self, given: object, measure: Measure, column: int, most: bool) -> float:
        of_now = OF_NOW.match(given) if isinstance(given, str) else None
        if of_now:
            known = np.flatnonzero(np.isfinite(self.now[:, column]))
            if not known.size:
                raise InputError(f"limit '{measure.name}': it has no value now, so write a value, not a share of now")
            zeros = self.zeros[known, column]
            shares = zeros + float(of_now.group(1)) / 100.0 * (self.now[known, column] - zeros)
            # One number for all cases: the least strict of theirs.
            return float(shares.max() if most else shares.min())
        return read_value(given, measure)

    def _of_now(self, given: object, measure: Measure, column: int) -> str:
        """Return the share of now that a limit was written as, where another case has another value now: the least strict one counts."""
        share = OF_NOW.match(given) if isinstance(given, str) else None
        known = self.now[np.isfinite(self.now[:, column]), column]
        texts = {show(float(value), measure.quantity) for value in known}
        return f"{float(share.group(1)):g} % of now in its worst case" if share and len(texts) > 1 else ""

    def scored(self, name: str, trials: Sequence[Tried]) -> Array:
        """Return what one measure of trials is worth (n,): 1 as it is now, less is better, by shares of now; inf where it has no end or no value.

        Of a measure that is better low that is its share of now.
        """
        column = self.names.index(name)
        better = -1.0 if self.measures[column].better == "more" else 1.0
        # Cases in which the start has a value, for every trial the same, or goals would not compare.
        counted = ~np.isnan(self.now[:, column])
        zeros = self.zeros[counted, column]
        # Of no trials, too: a trade-off in which nothing keeps every limit yet.
        measured = np.array([one.values[counted, column] for one in trials]).reshape(len(trials), zeros.size)
        values = (measured - zeros) / self.sizes[counted, column]
        # From the start on, whichever way is better and whichever side of nothing it lies: travel left may be less than none.
        now = (self.now[counted, column] - zeros) / self.sizes[counted, column]
        # What never came to an end has no size: any end at all is then counted by itself.
        begun = np.where(np.isfinite(now), 1.0 - better * now, 0.0)
        # Losing a value that the start has is worse than any value.
        values = np.where(np.isnan(values), np.inf, better * values + begun)
        weights = self.weights[counted]
        if self.tune.judge == "worst case":
            score: Array = values.max(axis=1)
        else:
            score = (values * weights).sum(axis=1) / weights.sum()
        return score

    def plain(self, name: str, trial: Tried) -> float:
        """Return one measure of a trial over its cases in SI: their weighted mean, or the worst."""
        column = self.names.index(name)
        counted = ~np.isnan(self.now[:, column])
        values, weights = trial.values[counted, column], self.weights[counted]
        if self.tune.judge == "worst case":
            return float(values.min() if self.measures[column].better == "more" else values.max())
        return float((values * weights).sum() / weights.sum())

    def broken(self, trials: Sequence[Tried]) -> Array:
        """Return by how much each limit is broken (n, limits + 1), the worst case counting; the last is faults."""
        breaches = np.zeros((len(trials), len(self.bounds) + 1))
        # An empty array has no columns to take.
        if not trials:
            return breaches
        values = np.array([one.values for one in trials])
        for place, bound in enumerate(self.bounds):
            breaches[:, place] = bound.broken(values[:, :, self.names.index(bound.measure.name)]).max(axis=1)
        # Nobody need write this limit: a damper that meets its own end breaks its mounts, a stop squeezed flat the frame.
        breaches[:, -1] = np.array([one.past_m for one in trials]).max(axis=1) / END_M
        return breaches

    def cost(self, trials: Sequence[Tried], only: str | None = None, without: int | None = None) -> Array:
        """Return what a search makes least (n,): the goal where all limits hold, else more by how much they are broken.

        only : one measure in place of the goal.
        without : the place of a written limit that counts for nothing.
        """
        goal = {only: 1.0} if only is not None else self.tune.goal
        total = sum(weight * self.scored(name, trials) for name, weight in goal.items()) / sum(goal.values())
        breaches = self.broken(trials)
        if without is not None:
            breaches[:, without] = 0.0
        broken = breaches.sum(axis=1)
        # A finite number, as `Search.one` takes the scatter of costs.
        plain = np.where(np.isfinite(total), total, WORST)
        # The search goes by order alone, so the jump between whole and broken does no harm. Where no move mends a fault (the
        # truck stands on its stops, say) the nearest set-up is still the one that does best with it.
        return np.where(broken > 0.0, BROKEN + broken + NEARER * np.clip(plain, -1.0, 1.0), plain)

    def binding(self, trial: Tried) -> list[tuple[str, float]]:
        """Return the limits that hold a set-up back: in words, with what it has where it is nearest."""
        near = []
        for bound in self.bounds:
            column = self.names.index(bound.measure.name)
            values = trial.values[:, column]
            values = values[np.isfinite(values)]
            if values.size:
                nearest = float(values.max() if bound.most else values.min())
                # A count jumps: at 3 of 3 allowed, the next one breaks it.
                reach = ONE_MORE if bound.measure.quantity == "count" else BINDING * bound.size
                if abs(nearest - bound.value) <= reach:
                    near.append((bound.words, nearest))
        return near

    def nearest(self, trial: Tried, words: str) -> float:
        """Return what a set-up has of a limit, in words, where it is nearest to it or farthest past it [SI]; nan if nothing is known."""
        bound = next(one for one in self.bounds if one.words == words)
        values = trial.values[:, self.names.index(bound.measure.name)]
        known = values[np.isfinite(values)]
        return float(known.max() if bound.most else known.min()) if known.size else float("nan")

    @property
    def words(self) -> list[str]:
        """What `broken` tells of, in words."""
        return [*(bound.words for bound in self.bounds), SOUND]

    def breaks(self, trial: Tried) -> list[tuple[Bound, float]]:
        """Return the written limits that a set-up breaks, each with the value that is farthest past it [SI]."""
        found = []
        for bound in self.bounds:
            values = trial.values[:, self.names.index(bound.measure.name)]
            past = bound.broken(values)
            if past.size and past.max() > 0.0:
                found.append((bound, float(values[int(past.argmax())])))
        return found

    def stopping(self, trial: Tried) -> list[tuple[str, float]]:
        """Return the broken limits, the worst first: in words, with what it has instead, and by how much."""
        amounts = self.broken([trial])[0]
        order = [int(i) for i in np.argsort(-amounts) if amounts[i] > 0.0]
        return [(self.words[i] + self._instead(i, trial), float(amounts[i])) for i in order]

    def _instead(self, place: int, trial: Tried) -> str:
        if place == len(self.bounds):
            return f", but {trial.flagged}" if trial.flagged else ""
        bound = self.bounds[place]
        values = trial.values[:, self.names.index(bound.measure.name)]
        known = values[np.isfinite(values)]
        if not known.size:
            return ""
        return f", has {show(float(known.max() if bound.most else known.min()), bound.measure.quantity)}"


def read_value(given: object, measure: Measure) -> float:
    """Return a written value of a measure in SI.

    Raises
    ------
    InputError
        If it is not one.
    """
    from pydantic import TypeAdapter, ValidationError

    # Without a unit of its own it is a plain number: a count, a ratio.
    kind: Any = WRITTEN.get(measure.quantity, Fraction if measure.quantity == "percent" else float)
    adapter: TypeAdapter[float] = TypeAdapter(kind)
    what = measure.label
    try:
        value = adapter.validate_python(given)
    except ValidationError as error:
        message = first_in_words(error, given)
        raise InputError(Problem(f"{what}: {message}", given=str(given), suggestion=_example(measure))) from None
    if not isfinite(value):
        raise InputError(Problem(f"{what}: this cannot be a limit", given=str(given), suggestion=_example(measure)))
    return value


def _example(measure: Measure) -> str:
    value = "a value with its unit" if measure.quantity in WRITTEN or measure.quantity == "percent" else "a number"
    return f"{value}, or a share of what it is now: '105 % of now'"
