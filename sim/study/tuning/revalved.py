"""Trials in which nothing but dampers' laws moves: the laws are made, the same for all cases, and no set-up is put together anew.

A tuning tries thousands of set-ups, in each case. What stands around their laws is that of the case's own set-up
(`sim.describe.valved`); to put each together, as `sim.study.tuning.moves` does, takes as long as its run in a block.
"""

from collections import OrderedDict
from collections.abc import Mapping, Sequence
from typing import Any

from pydantic import ValidationError

from sim.describe.direct import Direct
from sim.describe.parts.dampers.law import DamperLaw
from sim.describe.parts.vehicle import Vehicle
from sim.describe.replaced import put_in, value_at, with_values
from sim.describe.valved import Valved
from sim.errors import JounceError
from sim.study.tuning.moves import Moving, law_above, moved_by

KEPT = 512
"""Trials whose laws are kept for the next case: some populations."""

Laws = Mapping[str, DamperLaw]
"""Laws by their paths."""


def damper_sets(vehicle: Vehicle) -> list[tuple[str, str]]:
    """Return axle and name of every damper set."""
    return [(axle, name) for axle, part in vehicle.axles for name in part.dampers]


def laws_of(vehicle: Vehicle) -> dict[str, DamperLaw]:
    """Return the law of every damper set, by its path, in the file's order."""
    axles = dict(vehicle.axles)
    return {f"{axle}.dampers.{name}.valving": axles[axle].dampers[name].valving for axle, name in damper_sets(vehicle)}


def scattered(vehicle: Vehicle, factors: Sequence[float]) -> Vehicle:
    """Return a set-up whose damper sets came out with other forces: two factors a set, bump and rebound, in the file's order."""
    return with_values(vehicle, scattered_laws(laws_of(vehicle), factors))


def scattered_laws(laws: Laws, factors: Sequence[float]) -> dict[str, DamperLaw]:
    """Return the laws of all damper sets as they came out: two factors each, bump and rebound."""
    return {path: law.sided(*factors[2 * n : 2 * n + 2]) for n, (path, law) in enumerate(laws.items())}


class Made:
    """Makes the laws of trials of one set-up, and keeps the last ones.

    Parameters
    ----------
    vehicle : Vehicle
        The set-up that is moved.
    moves : sequence of Moving
    """

    def __init__(self, vehicle: Vehicle, moves: Sequence[Moving]) -> None:
        self.moves, self.start = tuple(moves), laws_of(vehicle)
        above = [law_above(path) for one in moves for path in one.move.paths]
        known = [path for path in above if path in self.start]
        self.moved = tuple(dict.fromkeys(path for path in known if path is not None))
        self.is_all = len(known) == len(above)
        """Whether moves reach nothing but laws."""
        # Laws keep what they have worked out, arrays too, which cannot be compared: their keys and values are what they are.
        self.words = repr(self.start)
        self._kept: OrderedDict[Any, Laws | None] = OrderedDict()

    def laws(self, values: tuple[float, ...], scatter: tuple[float, ...]) -> Laws | None:
        """Return the laws of a trial that are others than the set-up's, by path; None if they cannot be made so."""
        key = values, scatter
        if key not in self._kept:
            while len(self._kept) >= KEPT:
                self._kept.popitem(last=False)
            try:
                self._kept[key] = self._laws(values, scatter)
            # Refused, or in a list: whoever puts all of the set-up together has the words for it, or a way.
            except (JounceError, ValidationError, LookupError, TypeError):
                self._kept[key] = None
        return self._kept[key]

    def _laws(self, values: Sequence[float], scatter: Sequence[float]) -> Laws:
        laws: dict[str, DamperLaw] = {}
        if values:
            parts: dict[str, Any] = {}
            for path in self.moved:
                *places, last = path.split(".")
                inside = parts
                for place in places:
                    inside = inside.setdefault(place, {})
                inside[last] = self.start[path]
            made = moved_by(_put, parts, self.moves, values)
            laws = {path: value_at(made, path) for path in self.moved}
        # Last, since a builder misses the forces that were ordered.
        return scattered_laws(self.start | laws, scatter) if scatter else laws


def _put(parts: dict[str, Any], laws: dict[str, Any], numbers: dict[str, Any]) -> dict[str, Any]:
    made: dict[str, Any] = put_in(put_in(parts, laws), numbers)
    return made


class Revalving:
    """Gives the set-ups of trials in one case.

    Parameters
    ----------
    vehicle : Vehicle
        The case's own set-up that is moved.
    made : Made
        Of this set-up, or of one with the very same laws.
    """

    def __init__(self, vehicle: Vehicle, made: Made) -> None:
        self.vehicle, self.made = vehicle, made
        self._ways: dict[tuple[str, ...], Direct] = {}

    def setup(self, values: tuple[float, ...], scatter: tuple[float, ...]) -> Vehicle | Valved | None:
        """Return the set-up of a trial; None if moves reach more than its dampers' laws, or one is refused."""
        if values and not self.made.is_all:
            return None
        laws = self.made.laws(values, scatter)
        if not laws:
            return self.vehicle if laws is not None else None
        paths = tuple(laws)
        if paths not in self._ways:
            self._ways[paths] = Direct(self.vehicle, paths)
        return self._ways[paths].valved(list(laws.values()))
