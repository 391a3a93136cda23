"""Faults over many runs: each once, with how often it came and where it was worst."""

from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from typing import Generic, TypeVar

from sim.integrate.status import Flag, once

Place = TypeVar("Place", bound=Hashable)


@dataclass(frozen=True)
class Fault(Generic[Place]):
    """One fault of a truck: a kind of flag of one part.

    Attributes
    ----------
    flag : Flag
        Where it went farthest past its limit.
    where : Place
        That run.
    count : int
        Runs that have it.
    """

    flag: Flag
    where: Place
    count: int


def faults(flagged: Mapping[Place, Iterable[Flag]]) -> tuple[Fault[Place], ...]:
    """Return the faults of runs, each once, in the order in which they first came."""
    found: dict[tuple[str, str, str], Fault[Place]] = {}
    for where, flags in flagged.items():
        # A fault may have come twice in one run, which is still one run.
        for flag in once(flags):
            before = found.get(flag.fault, Fault(flag, where, 0))
            worst = Fault(flag, where, 0) if flag.past_m > before.flag.past_m else before
            found[flag.fault] = Fault(worst.flag, worst.where, before.count + 1)
    return tuple(found.values())
