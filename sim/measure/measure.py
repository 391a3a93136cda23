"""One measure: a number that says how a run went, and which way is better."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from sim.integrate.result import Run

Better = Literal["less", "more"] | None

CENTRE = "centre of gravity"
"""The point at which acceleration is always known; others are named by the vehicle's file."""


@dataclass(frozen=True)
class Shown:
    """Where a measure is shown without being asked for.

    A place is a number that rises down the page; None keeps it off. Those in use are tens, so that a new measure finds room
    between. Several with one place stand in the order of the families.

    Attributes
    ----------
    key, key_driven : int or None
        Place among the measures to look at first, of runs that are held at a speed or stand, and of those that drive or brake.
    table, table_driven : int or None
        Place in the short table that is printed.
    sweep : int or None
        Place among those that a sweep takes which names none; of one place only the first.
    beside : bool
        Also where set-ups are seen beside each other under several loads.
    """

    key: int | None = None
    key_driven: int | None = None
    table: int | None = None
    table_driven: int | None = None
    sweep: int | None = None
    beside: bool = False


# One object for all: most measures are shown only when asked for.
UNSHOWN = Shown()

Block = Literal["wind-up", "grip", "ride", "travel", "settling"]

BLOCKS: tuple[Block, ...] = ("wind-up", "grip", "ride", "travel", "settling")
"""What a verdict speaks of, in its order."""

Kind = Literal["course", "spot", "launch", "stop"]
"""Kinds of run that a verdict tells apart: over a course at a held speed, on the spot (push, drop, release), under power, under brakes."""


@dataclass(frozen=True)
class Carries:
    """Which block of a verdict a measure carries, in which kinds of run, and how its change is said.

    Attributes
    ----------
    block : "wind-up", "grip", "ride", "travel" or "settling"
    place : int
        Among the figures of its block, a number that rises; those in use are tens.
    on : tuple of "course", "spot", "launch", "stop"
        Kinds of run in which it does.
    better, worse : str
        What a set-up does, as a verb and what follows, with `{share}` (change in per cent of the reference), `{change}` (in units),
        `{to}` and `{of}` (its figure and the reference's), or `{pace}` (half the time, 20 % less time, twice as long).
    never : str
        Of a measure that may be infinite: what is then not done within the run, as a verb in its two forms: "settle settles".
    noticed : str
        Key of `sim.measure.noticed.NOTICED`; left out: the measure's quantity.
    called : str
        What the figure is called where it is named beside its block: "worst second", "rear slip".
    leads : bool
        It is what people watch: where it changes the block's way it is said, though another figure changes more.
    none : str
        What a set-up does that has none of it, where the reference has: "100 % less" is said by nobody. Left out: as everywhere.
    below, across : (str, str)
        Better and worse of a figure that is below zero with both set-ups, or with one of them, where `better` and `worse` would not be true
        of it; `{to}` and `{of}` are then without their sign. Left out: as everywhere.
    alone : str
        What a set-up does by the figure itself, with `{of}`, where a question asks for it: "stops in {of}".
    by_load : tuple of str
        What a load does, in place of `better` and `worse`, where a load's own way of saying it is another one; empty if not.
    """

    block: Block
    place: int
    on: tuple[Kind, ...]
    better: str
    worse: str
    never: str = "end ends"
    noticed: str = ""
    called: str = ""
    leads: bool = False
    none: str = ""
    below: tuple[str, str] = ("", "")
    across: tuple[str, str] = ("", "")
    alone: str = ""
    by_load: tuple[str, ...] = ()


@dataclass(frozen=True)
class Measure:
    """A named number of a run.

    Attributes
    ----------
    name : str
        Its key in tables and files, the same in every run that has it.
    label : str
        What people read.
    quantity : str
        Kind of quantity for `sim.describe.shown.show`; the value itself is in SI, a share is 0 to 1.
    better : "less", "more" or None
        Which way is better, None where it depends on what is wanted.
    of : callable
        From a run to its value. nan: does not apply to this run. inf: not reached within the run.
    note : str
        How it is taken, and what it does not say.
    many : "lanes", "lane" or "no"
        Of what it can be taken when many set-ups run in a block: of all lanes at once, signals (n, lanes), then it is
        (lanes,); of one lane's signals (n,), which know no energy, springs or straps; or only of a run of its own.
    shown : Shown
        Where it is shown without being asked for; by default only in summary.csv and the whole table.
    limit : float, optional
        In SI; a value worse than it means metal on metal.
    beyond : str
        What a set-up does that is past the limit, as a verb and what follows: "runs into its {axle} bump stops", where
        `{axle}` is the axle that begins the measure's name.
    carries : Carries, optional
        Which block of a verdict it carries; by default none.
    """

    name: str
    label: str
    quantity: str
    better: Better
    of: Callable[[Run], float]
    note: str
    many: Literal["lanes", "lane", "no"] = "no"
    shown: Shown = UNSHOWN
    limit: float | None = None
    beyond: str = ""
    carries: Carries | None = None

    def past_limit(self, value: float) -> bool:
        """Return whether a value lies on the worse side of the limit."""
        if self.limit is None:
            return False
        # travel left has less as its worse side, forces and hits more
        return value < self.limit if self.better == "more" else value > self.limit


def placed(
    measures: Iterable[Measure], shown: Mapping[str, Shown], carries: Mapping[str, Carries] | None = None
) -> tuple[Measure, ...]:
    """Return measures with where they are shown and which block they carry, by name; others are seen only when asked for."""
    claims = carries or {}
    return tuple(
        replace(one, shown=shown.get(one.name, one.shown), carries=claims.get(one.name, one.carries))
        if one.name in shown or one.name in claims
        else one
        for one in measures
    )
