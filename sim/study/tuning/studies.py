"""What an answer is worth: whether the optimum is flat, which single change helps most, whether the choice still holds."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sim.integrate.traces import Array
from sim.study.tuning.judge import Judge
from sim.study.tuning.moves import Moving
from sim.study.tuning.revalved import damper_sets
from sim.study.tuning.search import Search, reachable
from sim.study.tuning.trials import Trial, Tried

PLACES = 11
"""Places at which a move alone is tried over its whole range."""

AS_GOOD = 0.01
"""A goal within this share of the best is as good: less than anyone feels; common practice, no source."""

FLAT = 0.25
"""A move is flat if it is as good over this share of its range."""


@dataclass(frozen=True)
class Flatness:
    """Over which values of one move, the others as tuned, the goal is as good as at the best and every limit holds."""

    move: Moving
    low: float
    high: float

    @property
    def flat(self) -> bool:
        """Whether the optimum is flat in this move."""
        return (self.high - self.low) >= FLAT * (self.move.high - self.move.low)


@dataclass(frozen=True)
class Single:
    """One move alone, everything else as at the start.

    Attributes
    ----------
    move : Moving
    value : float
        The best that keeps the limits; where none does, the best that breaks them no more than the start.
    gain : float
        By which share of now the goal is less.
    least, most : float
        The band of that gain if all dampers come out softer or harder by the scatter, are hot, or are cold.
    faults : str
        What it is flagged for, in words: no more than the start is; empty for nothing.
    kept : bool
        Whether every limit holds, with this change alone.
    mends : bool
        Whether it holds them where the start does not: worth more than any gain.
    """

    move: Moving
    value: float
    gain: float
    least: float
    most: float
    faults: str = ""
    kept: bool = True
    mends: bool = False


HELPS = 0.002
"""Least gain of a single change that is reported: less is no reason to change anything; ours, no source."""


def helping(singles: Sequence[Single]) -> tuple[Single | None, Single | None]:
    """Return the single change that helps most without a flag, and a flagged one that would help more; None where there is none."""
    sound = next((one for one in singles if not one.faults and (one.mends or one.gain > HELPS)), None)
    flagged = next((one for one in singles if one.faults and one.gain > HELPS), None)
    if sound is not None and flagged is not None and (sound.mends or flagged.gain <= sound.gain):
        flagged = None
    return sound, flagged


@dataclass(frozen=True)
class Drawn:
    """One way in which dampers come out other than ordered.

    Attributes
    ----------
    name : str
    start, tuned : (draws,) array
        The goal as a share of the start's as ordered.
    kept : (draws,) array of bool
        Whether the tuned set-up keeps every limit.
    breaks : (str, float) or None
        The limit that it breaks most often, and in which share of draws.
    """

    name: str
    start: Array
    tuned: Array
    kept: npt.NDArray[np.bool_]
    breaks: tuple[str, float] | None = None

    @property
    def better(self) -> float:
        """Share of draws in which the tuned set-up is better than the starting one with the very same dampers' errors."""
        return float(np.mean(self.tuned < self.start))


def studied(search: Search, best: Trial) -> tuple[list[Flatness], list[Single], list[Drawn]]:
    """Return what an answer is worth: all studies, what they try and can be known beforehand tried in one go.

    So blocks are whole, and no worker is idle at the end of each study.
    """
    ahead = [*_along(search.tuning.moves, best), *_along(search.tuning.moves, _now(search))]
    search.trying([trial for row in ahead for trial in row] + [t for _, trials in _ways(search, best) for t in trials])
    return flatness(search, best), single_changes(search), holding(search, best)


def _now(search: Search) -> Trial:
    return Trial(search.tuning.start, tuple(move.now for move in search.tuning.moves))


def _along(moves: Sequence[Moving], place: Trial) -> list[list[Trial]]:
    """Return for every move trials over its whole range, all other moves as in one trial, which is among them."""
    rows = []
    for n, move in enumerate(moves):
        values = sorted({move.at(float(s)) for s in np.linspace(0.0, 1.0, PLACES)} | {place.values[n]})
        rows.append([Trial(place.setup, (*place.values[:n], v, *place.values[n + 1 :])) for v in values])
    return rows


def flatness(search: Search, best: Trial) -> list[Flatness]:
    """Return for every move how far it may go from the best."""
    moves, judge = search.tuning.moves, search.judge
    # The best is one of the places, since the band is walked outwards from it.
    rows = _along(moves, best)
    # All moves in one go: whole blocks, and no worker idle.
    search.trying([trial for row in rows for trial in row])
    least = _goal(judge, search.trying([best])[0])
    # A goal that is more than twice as good is below zero: worse is more of it all the same.
    most = least + AS_GOOD * abs(least)
    bands = []
    for place, (move, row) in enumerate(zip(moves, rows, strict=True)):
        costs = judge.cost(search.trying(row))
        values = [trial.values[place] for trial in row]
        middle = values.index(best.values[place])
        bands.append(
            Flatness(move, _until(values, costs, middle, -1, most, move.whole), _until(values, costs, middle, 1, most, move.whole))
        )  # fmt: skip
    return bands


def _until(values: Sequence[float], costs: Array, middle: int, step: int, most: float, whole: bool) -> float:
    """Return how far costs stay at or below `most`, straight between places."""
    at = middle
    while 0 <= at + step < len(values) and costs[at + step] <= most:
        at += step
    # Between whole numbers there is nothing, and where a limit breaks the cost jumps: no line to go along.
    if not 0 <= at + step < len(values) or whole or not reachable(float(costs[at + step])):
        return values[at]
    share = (most - costs[at]) / (costs[at + step] - costs[at])
    return float(values[at] + share * (values[at + step] - values[at]))


def single_changes(search: Search) -> list[Single]:
    """Return what each move alone is worth, the best first.

    If the start itself breaks limits, a move that mends them all comes first; others may break them as much, not more.
    """
    moves, judge, setup = search.tuning.moves, search.judge, search.tuning.start
    rows = _along(moves, _now(search))
    search.trying([trial for row in rows for trial in row])
    # A margin, so that the start does not fail against itself by a last bit.
    allowed = float(judge.broken(search.trying([Trial(setup)])).sum()) + 1e-9
    best, kept = [], []
    for row in rows:
        tried = search.trying(row)
        goals, broken = [_goal(judge, one) for one in tried], judge.broken(tried).sum(axis=1)
        # Within every limit if the move reaches that at all, as the search itself would choose.
        most = 0.0 if broken.min() <= 0.0 else allowed
        best.append(row[int(np.argmin(np.where(broken <= most, goals, np.inf)))])
        kept.append(most == 0.0)
    # The same errors in the start and in the move: a gain is between dampers that are off alike.
    worlds = [(), *(_everywhere(search, factor) for factor in _factors(search))]
    trials = [Trial(setup, values, world) for world in worlds for values in ((), *(b.values for b in best))]
    worth = np.array([_goal(judge, one) for one in search.trying(trials)]).reshape(len(worlds), len(best) + 1)
    known = np.isfinite(worth[:, :1])  # without one (it never settles), whatever has one gains all
    shares = worth[:, 1:] / np.where(known, worth[:, :1], 1.0)
    gains = np.where(known, 1.0 - shares, np.where(np.isfinite(worth[:, 1:]), 1.0, 0.0))
    alone = search.trying(best)
    singles = [
        Single(
            move,
            best[p].values[p],
            float(gains[0, p]),
            float(gains[:, p].min()),
            float(gains[:, p].max()),
            alone[p].flagged,
            kept[p],
            kept[p] and allowed > 1e-8,
        )
        for p, move in enumerate(moves)
    ]
    return sorted(singles, key=lambda f: (not f.mends, -f.gain))


def _factors(search: Search) -> list[float]:
    hold = search.tuning.asked.hold
    return [1.0 - hold.scatter, 1.0 + hold.scatter, hold.hot, hold.cold]


def _everywhere(search: Search, factor: float) -> tuple[float, ...]:
    # Bump and rebound of every set.
    return (factor,) * (2 * len(damper_sets(search.tuning.cases[0].setups[search.tuning.start])))


def _goal(judge: Judge, one: Tried) -> float:
    """Return the goal of a trial as a share of now, whatever limits it keeps."""
    goal = judge.tune.goal
    return float(sum(w * judge.scored(n, [one])[0] for n, w in goal.items()) / sum(goal.values()))


def holding(search: Search, best: Trial) -> list[Drawn]:
    """Return whether the choice still holds: with builders' scatter of half, once and one and a half of what was asked, hot, cold.

    Every side of every damper set comes out with a factor of its own, even over the scatter, the same for both set-ups.
    """
    judge = search.judge
    drawn = []
    for name, trials in _ways(search, best):
        both = search.trying(trials)
        start, tuned = both[: len(both) // 2], both[len(both) // 2 :]
        broken = judge.broken(tuned) > 0.0
        # Limit by limit over the draws: the one broken most often needs room first.
        shares = broken.mean(axis=0)
        most = int(np.argmax(shares))
        drawn.append(
            Drawn(
                name, np.array([_goal(judge, one) for one in start]), np.array([_goal(judge, one) for one in tuned]),
                np.logical_not(np.any(broken, axis=1)), (judge.words[most], float(shares[most])) if shares[most] > 0.0 else None,
            )
        )  # fmt: skip
    return drawn


def _ways(search: Search, best: Trial) -> list[tuple[str, list[Trial]]]:
    """Return the ways in which dampers come out: the starting set-up in every draw, then the tuned one in the same."""
    hold = search.tuning.asked.hold
    sets = 2 * len(damper_sets(search.tuning.cases[0].setups[search.tuning.start]))
    rng = np.random.default_rng(search.tuning.asked.seed)
    # Even, not bell-shaped: a builder promises a bound, and nothing of what lies within it.
    plain = rng.uniform(-1.0, 1.0, (hold.draws, sets))
    # One set of draws at three sizes, so that these differ by size alone and not by chance.
    ways = [
        (f"scatter {100 * hold.scatter * k:.3g} %", 1.0 + hold.scatter * k * plain)
        for k in (0.5, 1.0, 1.5)
        if hold.scatter
    ]
    ways += [("hot", np.full((1, sets), hold.hot)), ("cold", np.full((1, sets), hold.cold))]
    rows = [(name, [tuple(map(float, row)) for row in factors]) for name, factors in ways]
    return [
        (name, [Trial(best.setup, values, row) for values in ((), best.values) for row in draws])
        for name, draws in rows
    ]
