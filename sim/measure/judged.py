"""The parts of a verdict: figures of a block, what is unsafe, one set-up against its reference, and all of them together."""

from dataclasses import dataclass, field
from math import isfinite, nan
from typing import Literal

from sim.integrate.status import Flag
from sim.measure.change import Change, Outcome
from sim.measure.hopping import AtOnce
from sim.measure.measure import Block, Kind, Measure
from sim.measure.noticed import RANK, Size
from sim.measure.same_dampers import Counted

ENDS = ("front", "rear")


@dataclass(frozen=True)
class Part:
    """One block of a set-up: its figures, and what they come to.

    Attributes
    ----------
    block : "wind-up", "grip", "ride", "travel" or "settling"
    changes : tuple of Change
        In the order of their places.
    outcome : Outcome
        "mixed" where one figure is better and another worse. Figures that are too close to call, or are not known, do not undo one that
        can.
    size : Size
        Of the largest change that counts; "same" unless the outcome is better, worse or mixed.
    is_asked : bool
        One axle is asked for more than the other, and its figures come first.
    """

    block: Block
    changes: tuple[Change, ...]
    outcome: Outcome
    size: Size
    is_asked: bool = False

    def leading(self, outcome: Outcome) -> Change | None:
        """Return the figure that changes most of those of an outcome, the first of equals; None without any."""
        those = [change for change in self.changes if change.outcome == outcome]
        watched = [change for change in those if change.measure.carries and change.measure.carries.leads]
        # By name of size first: among figures of one name the block's own order says which is said.
        first = max(watched or those, key=lambda change: RANK[change.size], default=None)
        if first is None or self.is_asked:
            return first
        # Where neither axle is asked for more, of the same figure of both axles the one that changes more.
        end, _, of = first.measure.name.partition("_")
        twins = [
            one
            for one in watched or those
            if one.measure.name.partition("_")[2] == of and end in ENDS and one.size == first.size
        ]
        return max([first, *twins], key=lambda change: change.times)

    @property
    def open(self) -> tuple[Change, ...]:
        """The figures that are too close to call."""
        return tuple(change for change in self.changes if change.outcome == "too close to call")

    @property
    def all_open(self) -> bool:
        """Whether every figure that is known is too close to call: else the open ones are named."""
        return all(change.outcome in ("too close to call", "not known") for change in self.changes)


@dataclass(frozen=True)
class Unsafe:
    """What has to be said of a set-up before anything else.

    Attributes
    ----------
    flags : tuple of Flag
        Where its run left what the model is valid for.
    past : tuple of Measure
        Measures that are past a limit of metal.
    estimated : frozenset of str
        Paths of the set-up's numbers that nobody gave: a limit may rest on one.
    """

    flags: tuple[Flag, ...] = ()
    past: tuple[Measure, ...] = ()
    estimated: frozenset[str] = frozenset()

    def __bool__(self) -> bool:
        """Return whether there is anything to say."""
        return bool(self.flags or self.past)


@dataclass(frozen=True)
class Against:
    """One set-up against the reference.

    Attributes
    ----------
    setup : str
    parts : dict of Block to Part
        Of the blocks that this kind of run says anything of.
    bare : bool
        It has no damper on an axle: shown, but not what a title speaks of.
    counts : bool
        It is not flagged, and the reference at most for what the truck really does, such as a stop squeezed flat: whoever cures that
        is judged against it.
    coincides : tuple of str
        Set-ups that are equal to it in every figure.
    reference : str
        What it is judged against: of its own load, where there is one.
    load : bool
        It is the reference with another load aboard: what a load does, which nobody chooses.
    also : tuple of str
        The same truck with other loads aboard.
    other_load : bool
        It is a choice, and yet what it is judged against has another load aboard: a part of the difference is the load's.
    cures : tuple of str
        Kinds of the flags of what it is judged against that it is free of, by more than nobody would notice.
    short_of_m : float
        By how much it does not squeeze a stop flat that what it is judged against does, where nobody would notice that; else nan.
    """

    setup: str
    parts: dict[Block, Part]
    bare: bool = False
    counts: bool = True
    coincides: tuple[str, ...] = ()
    reference: str = ""
    load: bool = False
    also: tuple[str, ...] = ()
    other_load: bool = False
    cures: tuple[str, ...] = ()
    short_of_m: float = nan

    def of(self, *outcomes: Outcome) -> tuple[Part, ...]:
        """Return its blocks of some outcomes."""
        return tuple(part for part in self.parts.values() if part.outcome in outcomes)

    @property
    def standing(self) -> Literal["better", "trade-off", "worse", "too close to call", "same", "not known"]:
        """What all blocks together come to."""
        if not self.counts:
            return "not known"
        outcomes = {part.outcome for part in self.parts.values()}
        if "mixed" in outcomes or {"better", "worse"} <= outcomes:
            return "trade-off"
        for outcome in ("better", "worse", "too close to call", "same"):
            if outcome in outcomes:
                return outcome
        return "not known"

    @property
    def weight(self) -> int:
        """How much there is to say: names of size added up, of every block."""
        return sum(RANK[part.size] for part in self.parts.values())

    @property
    def times(self) -> float:
        """By how many smallest noticed differences its figures differ in all."""
        return sum(change.times for part in self.parts.values() for change in part.changes if isfinite(change.times))


TELLS = ("better", "trade-off", "worse")
ORDER = (*TELLS, "too close to call", "same")


@dataclass(frozen=True)
class Verdict:
    """The verdict on a comparison.

    Attributes
    ----------
    reference : str
        The set-up that the others are judged against.
    setups : tuple of str
        All of them, in the scenario's order.
    others : dict of str to Against
        Every set-up but the reference.
    unsafe : dict of str to Unsafe
        Every set-up of which something must be said first, the reference too.
    carrying : dict of Block to tuple of Measure
        Which measures carry a block in this kind of run, in order.
    damping : dict of str to float
        Least damping ratio of the body's motions in the linear view, by set-up, where the body is left to come to rest; else empty.
    kind : "course", "spot", "launch" or "stop"
        Of the runs.
    ratios : dict of str to dict of (str, str) to float
        Damping ratios for small movements, by set-up, then by "body" or "hop" and axle, where the body is left to come to rest.
    more : dict of str to tuple of Counted
        Axles with more or fewer of the same damper than the reference's, by set-up.
    alone : tuple of (Measure, float)
        Of one set-up with nothing beside it: what its figures come to, of each block that of the axle that does more.
    at_once : AtOnce
        Of a launch or a stop: how far set-ups wind an axle up and whether it hops, and which do not pull away.
    """

    reference: str
    setups: tuple[str, ...]
    others: dict[str, Against]
    unsafe: dict[str, Unsafe]
    carrying: dict[Block, tuple[Measure, ...]]
    damping: dict[str, float] = field(default_factory=dict)
    kind: Kind = "course"
    ratios: dict[str, dict[tuple[str, str], float]] = field(default_factory=dict)
    more: dict[str, tuple[Counted, ...]] = field(default_factory=dict)
    alone: tuple[tuple[Measure, float], ...] = ()
    at_once: AtOnce = field(default_factory=AtOnce)

    @property
    def subject(self) -> Against | None:
        """The set-up that a title speaks of: the one with the most to say; None where there is none.

        Under power or brakes first the one that winds up and hops less by most; then one that is better somewhere and worse nowhere, then the largest trade-off, then what is only worse, then what
        is too close to call. What is flagged is not praised; what has no damper on an axle comes after all that have; what is past a
        limit that the reference keeps comes after those that keep it too, but before those that change nothing. What others with its load
        are judged against, while it is judged against another load itself, comes after them. A set-up that is run with several loads is taken with all of them; what is the reference but for its load is none to choose.
        """
        candidates = [other for other in self.others.values() if not other.load and other.standing in ORDER]
        return min(
            candidates,
            key=lambda other: (
                other.bare,
                self.whole_standing(other) not in TELLS,
                other.other_load and other.setup in {each.reference for each in self.others.values()},
                any(self.breaks(each.setup) for each in self.with_other_loads(other)),
                -self._hops_less(other),
                ORDER.index(self.whole_standing(other)),
                -sum(each.weight for each in self.with_other_loads(other)),
                # Of as many large words the one with more behind them, not the one that a file happens to name first.
                -sum(each.times for each in self.with_other_loads(other)),
            ),
            default=None,
        )

    def _hops_less(self, other: Against) -> int:
        """Return by how much a set-up winds up and hops less, as a number of its name of size: that is what a launch is run to ask; else 0."""
        part = other.parts.get("wind-up")
        return RANK[part.size] if part and part.outcome == "better" else 0

    def with_other_loads(self, other: Against) -> tuple[Against, ...]:
        """Return a set-up and what is the same truck with other loads aboard, in order."""
        names = {other.setup, *other.also}
        return tuple(each for each in self.others.values() if each.setup in names and not each.load)

    def whole_standing(self, other: Against) -> str:
        """Return what a set-up comes to with all loads that it is run with: better with one and worse with another is a trade-off."""
        standings = [each.standing for each in self.with_other_loads(other) if each.standing in ORDER]
        if {"better", "worse"} <= set(standings):
            return "trade-off"
        return next(
            (one for one in ("trade-off", "better", "worse", "too close to call", "same") if one in standings),
            other.standing,
        )

    @property
    def loads(self) -> tuple[Against, ...]:
        """What is the reference but for its load."""
        return tuple(other for other in self.others.values() if other.load)

    @property
    def beside(self) -> Against | None:
        """A second set-up that a title must not leave out: beside a trade-off one that is only worse, with more to say.

        Beside one that is only better, a trade-off that has as much to say: the same gain may come at a price.
        """
        first = self.subject
        if first is None or first.standing not in ("trade-off", "better"):
            return None
        beside, least = ("worse", first.weight + 1) if first.standing == "trade-off" else ("trade-off", first.weight)
        others = [
            other
            for other in self.others.values()
            if other.standing == beside
            and not other.load
            and other.setup not in first.also
            and (other.bare, self.breaks(other.setup)) == (first.bare, self.breaks(first.setup))
            and other.weight >= least
        ]
        return max(others, key=lambda other: other.weight, default=None)

    @property
    def cure(self) -> tuple[str, ...]:
        """Set-ups that are free of what the reference, or all others, are flagged for, which is at most what the truck really does."""
        of = self.unsafe.get(self.reference, Unsafe()).flags
        whole = [name for name in self.setups if not self.unsafe.get(name, Unsafe()).flags]
        whole = [name for name in whole if name not in self.others or self.others[name].cures or not of]
        if not of and any(other.counts and not other.load for other in self.others.values()):
            return ()
        every = [flag for each in self.unsafe.values() for flag in each.flags]
        return tuple(whole) if every and all(flag.is_event for flag in every) else ()

    def breaks(self, setup: str) -> bool:
        """Return whether a set-up is past a limit that the reference keeps."""
        reference = self.others[setup].reference if setup in self.others else ""
        kept = {measure.name for measure in self.unsafe.get(reference or self.reference, Unsafe()).past}
        return any(measure.name not in kept for measure in self.unsafe.get(setup, Unsafe()).past)
