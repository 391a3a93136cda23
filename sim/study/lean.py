"""Which way, and how far, to lean an axle's dampers, and on which side of it to mount them: launches or stops with each."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from math import isnan, nan

import numpy as np
import numpy.typing as npt

from sim.describe.files.scenario import Scenario
from sim.describe.parts.slip import Relaxation
from sim.describe.parts.vehicle import Vehicle
from sim.errors import RunError
from sim.integrate.driven import driven_once
from sim.integrate.result import Run
from sim.integrate.status import Flag, once
from sim.measure.driving import pinion_up, swing_count, swing_decay
from sim.measure.noticed import NOTICED
from sim.study.mounts import MOVES, relaxation_of, relaxed, unfit

Array = npt.NDArray[np.float64]

MEASURES: dict[str, tuple[str, str, str, Callable[[Run, str], float]]] = {
    "peak": ("Pinion swings up by", "angle", "less", pinion_up),
    "swings": ("Swings to and fro", "number", "less", swing_count),
    "decay": ("Decay of its swings", "rate", "more", swing_decay),
}
"""Label, quantity, better way and how it is taken of a run, by name."""

HARDLY = 0.1
"""Share of the spread between all that was tried on a road below which a change hardly matters; ours, no source."""

RELAXATIONS: tuple[Relaxation, Relaxation] = ("at_once", "after_length")

GRIP: dict[Relaxation, str] = {
    "at_once": "grip follows load at once",
    "after_length": "grip follows load once the tyre has rolled on a little",
}


@dataclass(frozen=True)
class Tried:
    """One place of the mounts.

    Attributes
    ----------
    at : float
        Lean [rad], or lower mount ahead of the axle's centre [m]; nan as the set-up's file has it.
    values : dict of str to float
        By name of MEASURES; nan where it was not run or its run broke down.
    flags : tuple of Flag
        Of its run.
    left_out : str
        Why it was not run: a damper does not fit there; empty if it was.
    """

    at: float
    values: dict[str, float]
    flags: tuple[Flag, ...] = ()
    left_out: str = ""

    @property
    def counts(self) -> bool:
        """Whether it may be called the best: run, and without a flag."""
        # nan: not run, or its run broke down. Flagged: the model may not hold where it went.
        return not self.flags and not isnan(self.values["peak"])


@dataclass(frozen=True)
class Moved:
    """One way of moving the mounts through its range; nothing tried, and the reason, where it cannot be done."""

    tried: tuple[Tried, ...]
    stands_at: float | None
    left_out: str = ""


@dataclass(frozen=True)
class Leaned:
    """One set-up on one road: as it stands, and through all ways of moving its mounts."""

    stands: Tried
    moves: dict[str, Moved]

    def all(self) -> Iterator[Tried]:
        """Yield what was tried, that which stands first."""
        yield self.stands
        for moved in self.moves.values():
            yield from moved.tried

    @property
    def flags(self) -> tuple[Flag, ...]:
        """One of each kind and part that was flagged anywhere."""
        # One of a kind and part stands for all: the same flag at forty places would bury the others.
        return once(flag for tried in self.all() for flag in tried.flags)


@dataclass(frozen=True)
class Change:
    """What one way of moving the mounts changes of one measure; of what counts alone, as it stands among it.

    Attributes
    ----------
    best, worst : Tried
    size : float
        Their difference [SI].
    share : float
        Of the spread between all that was tried on that road.
    flagged_better : Tried or None
        A flagged place that would be better still.
    """

    best: Tried
    worst: Tried
    size: float
    share: float
    flagged_better: Tried | None = None

    @property
    def matters(self) -> bool:
        """Whether it is more than hardly anything: of the spread of all that was tried, and to a person."""
        return self.share >= HARDLY and self.size >= NOTICED["angle"].floor


@dataclass(frozen=True)
class Leans:
    """What came of all of them.

    Attributes
    ----------
    name : str
        What it is about.
    axle : str
        Whose dampers are moved.
    relaxation : "at_once" or "after_length"
        As the vehicle's file has it.
    roads : dict of str to dict of str to dict of str to Leaned
        By how grip follows load (the file's first), then by scenario, then by set-up.
    """

    name: str
    axle: str
    relaxation: Relaxation
    roads: dict[Relaxation, dict[str, dict[str, Leaned]]]

    @property
    def runs(self) -> dict[str, Leaned]:
        """Set-ups, for the legend, with the flags of every road."""
        rows: dict[str, Leaned] = {}
        # A mark in the legend must not hide what was flagged on one road or with one assumption of grip only.
        for road in (road for roads in self.roads.values() for road in roads.values()):
            for setup, row in road.items():
                one = rows.get(setup, row)
                rows[setup] = replace(one, stands=replace(one.stands, flags=once(one.flags + row.flags)))
        return rows

    def spread(self, relaxation: Relaxation, road: str, measure: str = "peak") -> float:
        """Return the spread of a measure between all that counts on a road, every set-up of it [SI]."""
        rows = self.roads[relaxation][road].values()
        # All set-ups of the road in one spread: else a set-up that nothing changes would show its own noise as large.
        known = [t.values[measure] for row in rows for t in row.all() if t.counts and not isnan(t.values[measure])]
        return max(known) - min(known) if known else 0.0

    def change(self, relaxation: Relaxation, road: str, setup: str, move: str) -> Change | None:
        """Return what a way of moving the mounts changes of the pinion's swing; None if nothing of it counts."""
        row = self.roads[relaxation][road][setup]
        # As it stands takes part: a move that only makes things worse must show as that.
        tried = (*row.moves[move].tried, row.stands)
        known = [t for t in tried if t.counts]
        # All flagged, unfit or refused: nothing of this move may be recommended.
        if not any(t.counts for t in row.moves[move].tried):
            return None
        best, worst = (end(known, key=lambda t: t.values["peak"]) for end in (min, max))
        size = worst.values["peak"] - best.values["peak"]
        spread = self.spread(relaxation, road)
        # A flag does not prove a place bad, so a better figure there is given beside the best, not hidden.
        below = [t for t in tried if t.flags and t.values["peak"] < best.values["peak"]]
        return Change(
            best, worst, size, size / spread if spread > 0.0 else 0.0,
            min(below, key=lambda t: t.values["peak"]) if below else None,
        )  # fmt: skip

    def between_setups(self, relaxation: Relaxation, road: str) -> float:
        """Return the spread between the set-ups as their files have them [rad]; 0 with fewer than two that count."""
        known = [row.stands.values["peak"] for row in self.roads[relaxation][road].values() if row.stands.counts]
        return max(known) - min(known) if known else 0.0

    def turns(self) -> list[tuple[str, str, str]]:
        """Return road, set-up and move for which no one place is good both ways that grip can follow load.

        Good: the pinion swings there more than at the best place of that move by less than a share HARDLY of the spread.
        """
        turning = []
        for road, rows in self.roads[self.relaxation].items():
            for setup in rows:
                turning += [(road, setup, move) for move in MOVES if self._turns(road, setup, move)]
        return turning

    def _turns(self, road: str, setup: str, move: str) -> bool:
        good = []
        for relaxation, roads in self.roads.items():
            change = self.change(relaxation, road, setup, move)
            # With nothing known by one assumption there is nothing for the other to contradict.
            if change is None:
                return False
            row, most = roads[road][setup], change.best.values["peak"] + HARDLY * self.spread(relaxation, road)
            tried = (row.stands, *row.moves[move].tried)
            # By number, not by place: both assumptions share the numbers, and nan (as it stands) equals nothing.
            good.append({place for place, t in enumerate(tried) if t.counts and t.values["peak"] < most})
        return len(good) > 1 and not set.intersection(*good)


def places_of(move: str, lean_rad: Array, ahead_m: Array) -> Array:
    """Return the places at which a way of moving the mounts is tried: leans, places along the axle, or half of these."""
    if move == "upper":
        return lean_rad
    if move == "staggered":
        # Mirror images: so far behind is the same as so far ahead, and half the range holds them all.
        reach = float(np.abs(ahead_m).max())
        return np.linspace(0.0, reach, (ahead_m.size + 1) // 2)
    return ahead_m


def lean_through(
    scenarios: list[Scenario], axle: str, lean_rad: Array, ahead_m: Array, tell: Callable[[str], None] | None = None
) -> Leans:
    """Run every set-up of scenarios with a launch or a brake at every place of its mounts, whichever way grip follows load.

    Parameters
    ----------
    scenarios : list of Scenario
        With the same set-ups.
    axle : "front" or "rear"
    lean_rad : (n,) array
        From upright, in side view; positive: the upper end ahead of the lower one.
    ahead_m : (m,) array
        Places of the lower mounts, ahead of the axle's centre.
    tell : callable, optional
        Gets what is being run.

    Raises
    ------
    RunError
        If a scenario does not drive or brake, or no set-up of it has dampers to lean.
    """
    if any(list(scenario.setups) != list(scenarios[0].setups) for scenario in scenarios):
        raise RunError("Scenarios that are shown side by side must have the same set-ups.")
    for scenario in scenarios:
        if scenario.run.way != "driven":
            raise RunError(
                f"'{scenario.name}' is a {scenario.run.kind} run; leans are tried in a launch or a brake run."
            )
    setups = scenarios[0].setups.values()
    # One set-up with dampers is enough: others may have the axle bare, and then say so.
    if not any(getattr(vehicle, axle).dampers for vehicle in setups):
        raise RunError(f"'{scenarios[0].name}': no set-up has {axle} dampers to lean.")
    # The first set-up speaks for the file; each is then run in either way, whatever its own is.
    own = relaxation_of(next(iter(setups)), axle)
    roads: dict[Relaxation, dict[str, dict[str, Leaned]]] = {}
    # False sorts before True: the file's way comes first.
    for relaxation in sorted(RELAXATIONS, key=lambda each: each != own):
        roads[relaxation] = {}
        for scenario in scenarios:
            roads[relaxation][scenario.name] = leaned = {}
            for setup, vehicle in scenario.setups.items():
                if tell:
                    tell(f"{scenario.name}: {setup}, {GRIP[relaxation]}")
                leaned[setup] = _through(relaxed(vehicle, relaxation), scenario, setup, axle, lean_rad, ahead_m)
    return Leans(scenarios[0].name, axle, own, roads)


def _through(vehicle: Vehicle, scenario: Scenario, setup: str, axle: str, lean_rad: Array, ahead_m: Array) -> Leaned:
    moves = {}
    for name, move in MOVES.items():
        tried: list[Tried] = []
        reason = "" if getattr(vehicle, axle).dampers else f"no {axle} dampers"
        for place in places_of(name, lean_rad, ahead_m) if not reason else ():
            try:
                moved = move.of(vehicle, axle, float(place))
            except RunError as error:  # it cannot be mounted so at all
                reason = str(error)
                break
            # Where a damper does not fit nothing is run: it would only show the damper hitting its end.
            tried.append(_tried(moved, scenario, setup, axle, float(place), unfit(moved, axle)))
        moves[name] = Moved(tuple(tried), move.stands_at(vehicle, axle), reason)
    # As it stands it is run even if a damper does not fit: that is what is driven today.
    return Leaned(_tried(vehicle, scenario, setup, axle, nan, ""), moves)


def _tried(vehicle: Vehicle, scenario: Scenario, setup: str, axle: str, at: float, problem: str) -> Tried:
    nothing = dict.fromkeys(MEASURES, nan)
    if problem:
        return Tried(at, nothing, left_out=problem)
    try:
        run = driven_once(vehicle, scenario.run)
    except RunError as error:
        raise RunError(f"set-up '{setup}' with its {axle} dampers moved: {error}") from error
    # A run that broke down has figures up to that moment, which say nothing.
    if any(flag.kind == "not_finite" for flag in run.flags):
        return Tried(at, nothing, run.flags)
    return Tried(at, {name: of(run, axle) for name, (_, _, _, of) in MEASURES.items()}, run.flags)


__all__ = ["GRIP", "HARDLY", "MEASURES", "Change", "Leaned", "Leans", "Moved", "Tried", "lean_through", "places_of"]
