"""Faults over many runs: each once, with how often it came and where it was worst."""

from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from typing import Generic, TypeVar

from sim.integrate.result import Flag

Place = TypeVar("Place", bound=Hashable)


@dataclass(frozen=True)
class Fault(Generic[Place]):
    """One kind of flag of one part.

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
    """Return the faults of runs, each kind and part once, in the order in which they first came."""
    found: dict[tuple[str, str], Fault[Place]] = {}
    for where, flags in flagged.items():
        for flag in flags:
            key = flag.kind, flag.part
            before = found.get(key, Fault(flag, where, 0))
            worst = Fault(flag, where, 0) if flag.past_m > before.flag.past_m else before
            found[key] = Fault(worst.flag, worst.where, before.count + 1)
    return tuple(found.values())
