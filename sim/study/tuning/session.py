"""One tuning from what was asked to its answer."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from sim.describe.shown import as_now
from sim.errors import InputError
from sim.machine.spread import Spread
from sim.study.many import band_of
from sim.study.notes import Notes, Placed, placed
from sim.study.tuning.cases import Tuning
from sim.study.tuning.judge import Judge
from sim.study.tuning.moves import changes_of, moved
from sim.study.tuning.named import measures_of, not_run
from sim.study.tuning.runners import runner
from sim.study.tuning.search import Search, Told, Trying, key_of, reachable
from sim.study.tuning.studies import Drawn, Flatness, Single, studied
from sim.study.tuning.trials import Trial, Trials, Tried


@dataclass(frozen=True)
class Answer:
    """What a tuning found.

    Attributes
    ----------
    tuning, judge : Tuning, Judge
    start, best : Tried
    trial : Trial
        The best.
    reached : bool
        Whether it keeps every limit; if not it is the nearest.
    changes : dict
        What turns the starting set-up into it, as a person writes it, rounded.
    named : dict of str to Tried
        Every set-up of the scenario as it is.
    alone : dict of str to Tried
        By goal: the best that was found for it alone, with all limits.
    without : dict of str to float
        By limit: the best goal found, as a share of now, that keeps all limits but this one.
    front : list of (Trial, Tried)
        The trade-off, by its first measure.
    flat : list of Flatness
    singles : list of Single
    drawn : list of Drawn
    tries : int
        Set-ups tried.
    elsewhere : dict of str to Trial
        By limit that was searched without: the trial that reaches what `without` says.
    """

    tuning: Tuning
    judge: Judge
    start: Tried
    best: Tried
    trial: Trial
    reached: bool
    changes: dict[str, Any]
    named: dict[str, Tried]
    alone: dict[str, Tried]
    without: dict[str, float]
    front: list[tuple[Trial, Tried]]
    flat: list[Flatness]
    singles: list[Single]
    drawn: list[Drawn]
    tries: int
    elsewhere: dict[str, Trial] = field(default_factory=dict)


class Session:
    """A tuning under way; what it has found so far stays when it is stopped.

    Parameters
    ----------
    tuning : Tuning
    notes : Path or callable
        Where what was tried is noted; a tuning that was stopped goes on from there. Or what names that file for the key of
        what is asked.
    workers : int, optional
        Processes; all cores by default.
    cluster : str, optional
        Address of a Dask scheduler that has the work done.
    tell : callable, optional
        Told what is searched, how many set-ups were tried, and the best cost so far.
    """

    def __init__(
        self,
        tuning: Tuning,
        notes: Placed,
        workers: int | None = None,
        cluster: str | None = None,
        tell: Told | None = None,
    ) -> None:
        self.tuning, self.workers, self.cluster, self.tell = tuning, workers, cluster, tell
        self.measures = measures_of(tuning)
        self.key = key_of(tuning, [m.name for m in self.measures])
        self.notes = placed(notes, self.key)
        self.search: Search | None = None

    def answer(self, studies: bool = True) -> Answer:
        """Search, and say what the answer is worth.

        Raises
        ------
        InputError
            If goals or limits say nothing, or the starting set-up cannot be run in some case.
        OutputError
            If another process is at the same search with these notes.
        """
        tuning = self.tuning
        names = [m.name for m in self.measures]
        # One rest for all trials of a case, that of the start; hours of track ask for none.
        bands = [
            None if case.run.way == "hours" else band_of(case.setups[tuning.start], case.run, names)
            for case in tuning.cases
        ]
        problem = Trials([(case.run, case.setups) for case in tuning.cases], tuning.moves, names, bands=bands)
        with (
            Notes(self.notes, self.key) as notes,
            Spread(problem, self.workers, self.cluster, within=as_now()) as spread,
        ):
            trying = Trying(spread, notes)
            # The start first: every goal is measured by it.
            start = trying([Trial(tuning.start)])[0]
            for case, why in zip(tuning.cases, start.why, strict=True):
                if why:
                    raise InputError(not_run(tuning, case, why))
            # Where nothing warms there is no air to count from: values are taken as they are.
            zeros = [runner(case.run, ()).air or 0.0 for case in tuning.cases]
            # Room for dampers is judged only where a move changes it: a start that never fitted may still be revalved.
            judge = Judge(
                tuning.asked, self.measures, np.array([case.weight for case in tuning.cases]), start, zeros,
                bool(tuning.axles_moved), tuning.problem,
            )  # fmt: skip
            search = self.search = Search(tuning, judge, trying, self.tell)
            # The best is taken last: what comes upon the trade-off may better the goal as well.
            search.one()
            front = self._front(search)
            best = self._best()
            reached = reachable(float(judge.cost(trying([best]))[0]))
            # Which limit holds it back only a search without that limit can tell: one with it stays where it is kept.
            if studies and reached:
                for place in self._in_question(best):
                    search.one(afresh=False, without=place)
                best = self._best()  # such a search may come upon a better one that keeps them all
            outcome = trying([best])[0]
            others = [name for name in tuning.cases[0].setups]
            named = dict(zip(others, trying([Trial(name) for name in others]), strict=True))
            # Whether it is flat, or holds, is of no use for an answer that breaks limits.
            deep = studies and reached
            # Worked out in this order: alone and without see what the searches tried, not what the studies try.
            alone, elsewhere = self._alone(), self._without()
            without = {text: goal for text, (_, goal) in elsewhere.items()}
            flat, singles, drawn = studied(search, best) if deep else ([], [], [])
            return Answer(
                tuning, judge, start, outcome, best, reached, self.changes(best), named, alone, without, front, flat, singles, drawn,
                len(trying.known), {text: place for text, (place, _) in elsewhere.items()},
            )  # fmt: skip

    def changes(self, trial: Trial) -> dict[str, Any]:
        """Return a trial as a set-up's changes to the starting one."""
        # Only what moves is written, so the case's own changes stay out of it.
        start = self.tuning.cases[0].setups[self.tuning.start]
        return changes_of(start, moved(start, self.tuning.moves, trial.values), self.tuning.moves)

    def _candidates(self) -> list[tuple[Trial, Tried]]:
        assert self.search is not None
        known = self.search.trying.known
        return [(t, f) for t, f in known.items() if t.setup == self.tuning.start and t.values and not t.scatter]

    def _best(self) -> Trial:
        assert self.search is not None
        trials = self._candidates()
        return trials[int(np.argmin(self.search.judge.cost([f for _, f in trials])))][0]

    def _front(self, search: Search) -> list[tuple[Trial, Tried]]:
        names = self.tuning.asked.trade_off
        if not names:
            return []
        # A front's ends are hardest to come by, so the best for each measure alone goes before.
        for name in names:
            search.one(name, afresh=False)
        search.front(names)
        search.one(afresh=False)  # what the front came upon may be bettered once more
        return [(trial, search.trying.known[trial]) for trial in search.best_front(names)]

    def _alone(self) -> dict[str, Tried]:
        assert self.search is not None
        judge, trials = self.search.judge, [f for _, f in self._candidates()]
        kept = [f for f, b in zip(trials, judge.broken(trials).sum(axis=1), strict=True) if b <= 0.0]
        if not kept:
            return {}
        return {name: kept[int(np.argmin(judge.scored(name, kept)))] for name in judge.tune.goal}

    def _in_question(self, best: Trial) -> list[int]:
        """Return the places of limits that a best trial comes near to, or past which something better was tried."""
        assert self.search is not None
        judge, known = self.search.judge, self.search.trying.known
        near = {text for text, _ in judge.binding(known[best])}
        goal = float(judge.cost([known[best]])[0])
        without = self._without()
        return [
            place
            for place, bound in enumerate(judge.bounds)
            if bound.words in near or (bound.words in without and without[bound.words][1] < goal)
        ]

    def _without(self) -> dict[str, tuple[Trial, float]]:
        """Return by limit the best that was tried and breaks at most this one, and its goal as a share of now."""
        assert self.search is not None
        judge, trials = self.search.judge, self._candidates()
        found = {}
        for place, bound in enumerate(judge.bounds):
            costs = judge.cost([tried for _, tried in trials], without=place)
            best = int(np.argmin(costs))
            if reachable(float(costs[best])):
                found[bound.words] = trials[best][0], float(costs[best])
        return found
