"""Which way, and how far, to lean an axle's dampers, and on which side of it to mount them: what came of launches or stops with each."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import isnan, nan

import numpy as np

from sim.describe.parts.slip import Relaxation
from sim.integrate.result import Run
from sim.integrate.status import Flag, once
from sim.measure.driving import swing_count, swing_decay, wound_up
from sim.measure.noticed import NOTICED
from sim.study.deciding import between, least_loss
from sim.study.mounts import MOVES, Misfit

MEASURES: dict[str, tuple[str, str, str, Callable[[Run, str], float]]] = {
    "peak": ("Pinion winds up by", "angle", "less", wound_up),
    "swings": ("Swings to and fro", "number", "less", swing_count),
    "decay": ("Decay of its swings", "rate", "more", swing_decay),
}
"""Label, quantity, better way and how it is taken of a run, by name."""

HARDLY = 0.1
"""Share of the spread between all that was tried on a road below which a change hardly matters; ours, no source."""

LEAST = NOTICED["angle"].floor
"""Change of the swing [rad] below which it hardly matters, whatever its share: nobody notices it."""

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
        Why it was not run: a damper does not fit there by what was measured; empty if it was.
    misfit : Misfit or None
        That a damper does not fit there. It is run all the same as it stands, as that is what is driven today, and where an estimate alone
        says so.
    """

    at: float
    values: dict[str, float]
    flags: tuple[Flag, ...] = ()
    left_out: str = ""
    misfit: Misfit | None = None

    @property
    def sound(self) -> bool:
        """Whether its figures are to be relied on: run, and without a flag."""
        # nan: not run, or its run broke down. Flagged: the model may not hold where it went.
        return not self.flags and not isnan(self.values["peak"])

    @property
    def counts(self) -> bool:
        """Whether it may be called the best: sound, and a damper fits there, or does not by an estimate alone."""
        return self.sound and (self.misfit is None or self.misfit.estimated)

    def worse_kept(self, stands: "Tried") -> bool:
        """Whether its swings grow while as it stands they die away: such a place is not the best, however little it winds up."""
        # nan, no swings to tell by, is neither.
        return self.values["decay"] < 0.0 < stands.values["decay"]


@dataclass(frozen=True)
class Moved:
    """One way of moving the mounts through its range; nothing tried, and the reason, where it cannot be done."""

    tried: tuple[Tried, ...]
    stands_at: float | None
    left_out: str = ""

    @property
    def untried(self) -> tuple[Tried, ...]:
        """The places that were not run, as a damper does not fit there."""
        return tuple(tried for tried in self.tried if tried.left_out)

    @property
    def known(self) -> bool:
        """Whether most of its places were run: of fewer nobody can say that it hardly matters."""
        return 2 * len(self.untried) <= len(self.tried)


@dataclass(frozen=True)
class Leaned:
    """One set-up on one road: as it stands, and through all ways of moving its mounts."""

    stands: Tried
    moves: dict[str, Moved]

    def only(self, kept: Mapping[str, Sequence[int]]) -> "Leaned":
        """Return it with some places of each move alone, by their numbers."""
        moves = {
            # A move that cannot be done has nothing tried.
            name: replace(move, tried=tuple(move.tried[i] for i in kept[name] if move.tried))
            for name, move in self.moves.items()
        }
        return replace(self, moves=moves)

    def half(self) -> "Leaned":
        """Return it with every second place of each move."""
        return self.only({name: range(0, len(move.tried), 2) for name, move in self.moves.items()})

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


Roads = dict[Relaxation, dict[str, dict[str, Leaned]]]


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
        return not self.hardly

    @property
    def hardly(self) -> str:
        """Why it hardly matters; empty if it does."""
        # A large share of next to nothing is next to nothing: nobody notices it on the truck.
        if self.size < LEAST:
            return f"under {np.degrees(LEAST):g} deg"
        return "" if self.share >= HARDLY else "under a tenth of all"


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
        By how grip follows load (the file's first), then by scenario, then by set-up; at the places that were asked for.
    fine : dict of str to dict of str to dict of str to Leaned
        The same at the places that decide whether the advice turns; empty where none are known: then `roads` decides.
    """

    name: str
    axle: str
    relaxation: Relaxation
    roads: Roads
    fine: Roads = field(default_factory=dict)

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
        known = [t.values[measure] for row in rows for t in row.all() if t.sound and not isnan(t.values[measure])]
        return max(known) - min(known) if known else 0.0

    def change(self, relaxation: Relaxation, road: str, setup: str, move: str) -> Change | None:
        """Return what a way of moving the mounts changes of the pinion's swing; None if nothing of it counts."""
        row = self.roads[relaxation][road][setup]
        # As it stands takes part: a move that only makes things worse must show as that.
        tried = (*row.moves[move].tried, row.stands)
        # As it stands it is what all is measured against, even where no damper fits; it is not called the best then.
        known = [t for t in tried if t.counts or (t is row.stands and t.sound)]
        # All flagged, unfit or refused: nothing of this move may be recommended.
        if not any(t.counts for t in row.moves[move].tried):
            return None
        may_be_best = [t for t in known if t.counts and not t.worse_kept(row.stands)]
        # Where swings grow at every place they do as it stands as well, or that does not count: then the least of all is said.
        best = min(may_be_best or [t for t in known if t.counts], key=lambda t: t.values["peak"])
        worst = max(known, key=lambda t: t.values["peak"])
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
        known = [row.stands.values["peak"] for row in self.roads[relaxation][road].values() if row.stands.sound]
        return max(known) - min(known) if known else 0.0

    def turns(self) -> list[tuple[str, str, str]]:
        """Return road, set-up and move for which no one place is good both ways that grip can follow load, or that are too close to call.

        Good: the pinion swings there more than at the best place of that move by less than a share HARDLY of the spread.
        """
        return list(self._turning)

    def close(self) -> bool:
        """Return whether it is too close to call for all that turns: half of the places would decide otherwise."""
        return bool(self._turning) and all(self._turning.values())

    @cached_property
    def _turning(self) -> dict[tuple[str, str, str], bool]:
        """What turns, and whether that is too close to call."""
        decided = _turned(self._decides)
        halves = _turned(self._decides.half()) if self.fine else decided
        # In the order of roads, set-ups and moves; a set would have it otherwise every time.
        return {at: decided[at] != halves[at] for at in decided if decided[at] or halves[at]}

    @property
    def _decides(self) -> "Leans":
        return replace(self, roads=self.fine, fine={}) if self.fine else self

    def half(self) -> "Leans":
        """Return it with every second place of each move."""
        roads = {
            way: {road: {setup: row.half() for setup, row in rows.items()} for road, rows in roads.items()}
            for way, roads in self.roads.items()
        }
        return replace(self, roads=roads)


def _turned(leans: Leans) -> dict[tuple[str, str, str], bool]:
    """Return by road, set-up and move whether no one place is good both ways."""
    spreads = {(way, road): leans.spread(way, road) for way, roads in leans.roads.items() for road in roads}
    return {
        (road, setup, move): _turns(
            [(rows[road][setup], HARDLY * spreads[way, road]) for way, rows in leans.roads.items()], move
        )
        for road, rows in leans.roads[leans.relaxation].items()
        for setup in rows
        for move in MOVES
    }


def _turns(ways: list[tuple[Leaned, float]], move: str) -> bool:
    """Return whether even the place that suits all ways best loses too much in one of them; each with what hardly matters [rad]."""
    losses = []
    for row, hardly in ways:
        swings = np.array(
            [t.values["peak"] if t.counts and not t.worse_kept(row.stands) else nan for t in row.moves[move].tried]
        )
        # With nothing known by one assumption there is nothing for the other to contradict.
        if np.isnan(swings).all():
            return False
        # As it stands is a place too, wherever among the others it is.
        line = np.append(between(swings), row.stands.values["peak"] if row.stands.counts else nan)
        lost = line - np.nanmin(line)
        # All alike on that road: no place loses anything.
        losses.append(lost / hardly if hardly > 0.0 else 0.0 * lost)
    # Not a number: no place counts in all ways, so none is good in all.
    return len(losses) > 1 and not least_loss(losses) < 1.0


__all__ = ["GRIP", "HARDLY", "MEASURES", "RELAXATIONS", "Change", "Leaned", "Leans", "Moved", "Tried"]
