"""The search: one goal by SciPy's differential evolution, a front by pymoo's evolutionary algorithms; noted, so resumable.

Both only ever ask for the worth of whole populations, and both draw from a seeded generator. So a search that was stopped is
begun again from its seed with every population that was noted answered from the notes: it takes the same way to the last
bit, and goes on where it stood.
"""

import hashlib
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from sim.integrate.traces import Array
from sim.machine.jit import source_hash
from sim.machine.spread import Spread
from sim.measure.rest_band import JUDGED
from sim.study.notes import Notes
from sim.study.tuning.cases import Tuning
from sim.study.tuning.judge import BROKEN, WORST, Judge
from sim.study.tuning.trials import Trial, Tried, tried

LEAST_POPULATION = 32
PER_MOVE = 6
"""Population: so many candidates a move, in whole blocks of sixteen."""

FRONT = 48
"""Population of a front at least."""

PATIENCE = 4
"""A search ends when so many rounds in a row bring next to nothing."""

FRONT_MOVES, STANDS = 0.02, 3
"""A front stands still when what it dominates grows by less than this share of the box around it in so many rounds."""

Told = Callable[[str, int, float], None]


class Trying:
    """Tries set-ups and remembers them, in memory and in a file.

    What the file has from before is known when it is asked for, and not sooner: a search looks at all that is known, and must
    find what it found the first time.

    Parameters
    ----------
    spread : Spread
        Of `sim.study.tuning.trials.Trials`.
    notes : Notes
        Where finished populations are noted at once; open.
    """

    def __init__(self, spread: Spread, notes: Notes) -> None:
        self.spread, self.notes = spread, notes
        self.known: dict[Trial, Tried] = {}
        problem: Any = spread.problem
        self.noted = _known(notes.entries, len(problem.cases), len(problem.measures))

    def __call__(self, trials: Sequence[Trial]) -> list[Tried]:
        """Return what came of trials."""
        # Each once, in the order asked: whole numbers, when rounded, make trials alike.
        asked = [trial for trial in dict.fromkeys(trials) if trial not in self.known]
        new = [trial for trial in asked if trial not in self.noted]
        if new:
            outcomes = tried(self.spread, new)
            self.noted.update(zip(new, outcomes, strict=True))
            # Noted before anyone uses them: what stops after this line need not be run again.
            self.notes.add(
                [
                    [t.setup, t.values, t.scatter, f.values.tolist(), f.past_m.tolist(), f.why, f.faults]
                    for t, f in zip(new, outcomes, strict=True)
                ]
            )
            self.notes.flush()
        self.known.update((trial, self.noted[trial]) for trial in asked)
        return [self.known[trial] for trial in trials]


def _known(entries: Sequence[Any], cases: int, measures: int) -> dict[Trial, Tried]:
    """Return the trials among what is noted; whatever is not one of so many cases and measures is left out."""
    known = {}
    for rows in entries:
        try:
            for setup, values, scatter, measured, past, why, faults in rows:
                trial = Trial(str(setup), tuple(map(float, values)), tuple(map(float, scatter)))
                one = Tried(
                    np.array(measured, float), np.array(past, float), tuple(map(str, why)), tuple(map(str, faults))
                )
                shapes = one.values.shape, one.past_m.shape, len(one.why), len(one.faults)
                if shapes == ((cases, measures), (cases,), cases, cases):
                    known[trial] = one
        except (TypeError, ValueError):
            continue
    return known


def key_of(tuning: Tuning, measures: Sequence[str]) -> str:
    """Return what trials depend on: set-ups, runs, moves, measures, the kernel's sources; not the goal, which they do not know."""
    digest = hashlib.sha256(source_hash().encode())
    # What will be run, not the files it came from: a comment changed in one costs no search.
    digest.update(repr([(case.name, case.run, case.setups) for case in tuning.cases]).encode())
    digest.update(repr([(m.name, m.move, m.low, m.high) for m in tuning.moves]).encode())
    # The start says within what all count as at rest.
    digest.update(repr((tuning.asked.seed, list(measures), tuning.start, JUDGED)).encode())
    return digest.hexdigest()


def blocks_of(tuning: Tuning) -> int:
    """Return how many blocks of sixteen a population is, in each case: whole ones, as an empty lane costs as much as a full one."""
    return -(-max(LEAST_POPULATION, PER_MOVE * len(tuning.moves)) // 16)


class Search:
    """Searches the moves of a tuning.

    Parameters
    ----------
    tuning : Tuning
    judge : Judge
    trying : Trying
    tell : callable, optional
        Told what is searched, the number of set-ups tried, and the best cost so far.
    """

    def __init__(self, tuning: Tuning, judge: Judge, trying: Trying, tell: Told | None = None) -> None:
        self.tuning, self.judge, self.trying, self.tell = tuning, judge, trying, tell
        self.best: Trial | None = None

    def trial(self, shares: Array) -> Trial:
        """Return the trial at shares (moves,) of the ways between the ends."""
        values = (m.at(float(share)) for m, share in zip(self.tuning.moves, shares, strict=True))
        return Trial(self.tuning.start, tuple(values))

    @property
    def now(self) -> Array:
        """Where the starting set-up is, as shares."""
        return np.array([m.share(m.now) for m in self.tuning.moves])

    @property
    def population(self) -> int:
        """Candidates in a population."""
        return 16 * blocks_of(self.tuning)

    def _spread(self, known: Sequence[Array], size: int) -> Array:
        """Return a first population (size, moves): known places, and a Latin hypercube for the rest."""
        from scipy.stats import qmc

        # From the seed anew in every search, so that one that is taken up again draws the same.
        rng = np.random.default_rng(self.tuning.asked.seed)
        spread = qmc.LatinHypercube(len(self.tuning.moves), rng=rng).random(size)
        spread[: len(known)] = known
        return np.asarray(spread, float)

    def _tried(self) -> tuple[list[Trial], list[Tried]]:
        """Return all places that were tried of the starting set-up's moves, and what came of them."""
        known = self.trying.known
        # Trials with scatter tell how well a choice holds; they are no places to choose.
        trials = [t for t in known if t.setup == self.tuning.start and not t.scatter and t.values]
        return trials, [known[t] for t in trials]

    def shares(self, trial: Trial) -> Array:
        """Return where a trial is, as shares of the ways between the ends."""
        return np.array([m.share(v) for m, v in zip(self.tuning.moves, trial.values, strict=True)])

    def one(self, only: str | None = None, afresh: bool = True, without: int | None = None) -> Trial:
        """Return the best trial for the goal, or for one measure alone, with all limits, or with all but one.

        Differential evolution by R. Storn and K. Price, J. Global Optimization 11 (1997) 341-359, as SciPy has it, a whole
        population at a time. It ends when a few rounds in a row bring next to nothing.

        afresh : begin all over the ranges; else with the best that is known, for which half a population does.
        without : the place of the limit that is left out.
        """
        from scipy.optimize import differential_evolution

        what = only or (f"without a limit on {self.judge.bounds[without].measure.name}" if without is not None else "")
        best: tuple[float, Trial | None] = (np.inf, None)
        rounds: list[float] = []

        def costs(shares: Array) -> Array:
            nonlocal best
            # SciPy hands a population over in columns.
            trials = [self.trial(column) for column in np.atleast_2d(shares.T)]
            outcomes = self.judge.cost(self.trying(trials), only, without)
            place = int(np.argmin(outcomes))
            if outcomes[place] < best[0]:
                best = float(outcomes[place]), trials[place]
                # The best for one measure alone, or past a limit, is no answer, and must not be shown as one when the search is stopped.
                if only is None and without is None:
                    self.best = trials[place]
            rounds.append(best[0])
            if self.tell:
                self.tell(what, len(self.trying.known), best[0])
            return outcomes

        def enough(intermediate_result: Any) -> bool:
            # Of broken limits the costs are large and alike, which is no rest: only whole set-ups may end a search.
            energies = np.asarray(intermediate_result.population_energies)
            if not reachable(rounds[-1]):
                return False
            precision = self.tuning.asked.precision * abs(rounds[-1])
            alike = bool(energies.max() < BROKEN and np.std(energies) <= precision)
            return alike or (len(rounds) > PATIENCE and rounds[-1 - PATIENCE] - rounds[-1] <= precision)

        if afresh:
            # The starting set-up takes part, so the answer is never worse.
            first = self._spread([self.now], self.population)
        else:
            trials, outcomes = self._tried()
            # Stable: equal costs stay in the order tried, on every machine.
            order = np.argsort(self.judge.cost(outcomes, only, without), kind="stable")[: self.population // 2]
            first = self._spread([self.shares(trials[i]) for i in order], max(len(order), self.population // 2))
        evolve: Any = differential_evolution  # its types know nothing of whole populations
        # tol 0: only `enough` ends it. deferred: whole populations. No polish: it would run set-ups one by one.
        evolve(
            costs, [(0.0, 1.0)] * len(self.tuning.moves), init=first, maxiter=self.tuning.asked.generations,
            tol=0.0, rng=self.tuning.asked.seed, polish=False, updating="deferred", vectorized=True,
            recombination=0.9, callback=enough,
        )  # fmt: skip
        assert best[1] is not None
        return best[1]

    def front(self, measures: Sequence[str]) -> None:
        """Search the trade-off of two or three measures; what was found is in what was tried.

        NSGA-II (K. Deb and others, IEEE Trans. Evolutionary Computation 6 (2002) 182-197) for two, NSGA-III (K. Deb,
        H. Jain, the same 18 (2014) 577-601) for three, as pymoo has them (J. Blank, K. Deb, IEEE Access 8 (2020) 89497-89509).
        It begins with what the searches before have tried, and ends when a few rounds in a row hardly move the front: by the
        volume that it dominates (E. Zitzler, L. Thiele, IEEE Trans. Evolutionary Computation 3 (1999) 257-271).
        """
        from pymoo.algorithms.moo.nsga2 import NSGA2
        from pymoo.algorithms.moo.nsga3 import NSGA3
        from pymoo.core.evaluator import Evaluator
        from pymoo.core.problem import Problem
        from pymoo.indicators.hv import HV
        from pymoo.problems.static import StaticProblem
        from pymoo.util.ref_dirs import get_reference_directions

        count = len(measures)
        size = max(self.population, FRONT)
        first = self._best_known(measures, size)
        algorithm: Any
        if count == 2:
            algorithm = NSGA2(pop_size=size, sampling=first)
        else:
            # For three measures 8 partitions are 45 directions, about the population of a front.
            directions = get_reference_directions("das-dennis", count, n_partitions=8)
            algorithm = NSGA3(directions, pop_size=size, sampling=first)
        problem = Problem(n_var=len(self.tuning.moves), n_obj=count, n_ieq_constr=1, xl=0.0, xu=1.0)
        algorithm.setup(
            problem, termination=("n_gen", self.tuning.asked.generations), seed=self.tuning.asked.seed, verbose=False
        )
        volume: HV | None = None
        whole = 0.0
        volumes: list[float] = []
        # Ask and tell, so that populations go through `trying`: noted, spread out, answered again.
        while algorithm.has_next():
            asked = algorithm.ask()
            outcomes = self.trying([self.trial(shares) for shares in np.atleast_2d(asked.get("X"))])
            worth, broken = self.worths(measures, outcomes)
            Evaluator().eval(StaticProblem(problem, F=worth, G=broken[:, None]), asked)
            algorithm.tell(infills=asked)
            if self.tell:
                self.tell("trade-off", len(self.trying.known), float("nan"))
            points = self.worths(measures, [self.trying.known[t] for t in self.best_front(measures)])[0]
            # No set-up keeps all limits yet, so there is no front to measure.
            if not len(points):
                continue
            # The first front fixes the box, or volumes would not compare; a tenth more, or its ends would add nothing.
            if volume is None:
                ends = points.min(axis=0), points.max(axis=0)
                far = ends[1] + 0.1 * np.maximum(ends[1] - ends[0], 1e-3)
                volume, whole = HV(ref_point=far), float(np.prod(far - ends[0]))
            volumes.append(float(volume(points)))
            if len(volumes) > STANDS and volumes[-1] - volumes[-1 - STANDS] <= FRONT_MOVES * whole:
                break

    def _best_known(self, measures: Sequence[str], size: int) -> Array:
        """Return the places (size, moves) with which a front begins: the front so far, evenly, then whatever is nearest to it."""
        chosen = self.best_front(measures)
        if len(chosen) > size:
            chosen = [chosen[i] for i in np.unique(np.linspace(0, len(chosen) - 1, size).round().astype(int))]
        trials, outcomes = self._tried()
        worth, broken = self.worths(measures, outcomes)
        # lexsort goes by its last key first: by what is broken, then by the sum of the measures.
        for i in np.lexsort((worth.sum(axis=1), broken)):
            if len(chosen) >= size:
                break
            if trials[i] not in chosen:
                chosen.append(trials[i])
        return self._spread([self.shares(trial) for trial in chosen], size)

    def worths(self, measures: Sequence[str], found: Sequence[Tried]) -> tuple[Array, Array]:
        """Return measures (n, count) as shares of what they are now, less is better, and by how much limits are broken (n,)."""
        worth = np.array([self.judge.scored(name, found) for name in measures]).T
        return np.where(np.isfinite(worth), worth, WORST), self.judge.broken(found).sum(axis=1)

    def best_front(self, measures: Sequence[str]) -> list[Trial]:
        """Return all that was tried, keeps every limit, and is bettered by nothing in all measures; by the first measure."""
        trials, outcomes = self._tried()
        worth, broken = self.worths(measures, outcomes)
        keep = np.flatnonzero((broken <= 0.0) & (worth.max(axis=1) < WORST))
        keep = keep[np.lexsort(worth[keep].T[::-1])]
        of = worth[keep]
        # Sorted so, none is bettered by a later one, and of equals the first is kept.
        better = np.all(of[:, None, :] <= of[None, :, :], axis=2)
        bettered = np.any(np.triu(better, 1), axis=0)
        return [trials[i] for i in keep[~bettered]]


def reachable(cost: float) -> bool:
    """Tell whether a cost is of a set-up that keeps every limit."""
    return cost < BROKEN
