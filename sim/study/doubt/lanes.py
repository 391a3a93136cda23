"""Draws as set-ups, and what comes of them in a run: the work that is spread over processes."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import nan
from typing import Any

import numpy as np

from sim.describe.direct import Direct
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import AnyRun
from sim.describe.runs.changed import RUN, changed_run
from sim.errors import JounceError
from sim.integrate.traces import Array
from sim.measure.rest_band import RestBand
from sim.study.doubt.in_order import Pair, in_order, pairs
from sim.study.doubt.taped import Taped, as_taped, taped
from sim.study.doubt.unknowns import TOGETHER, Unknown
from sim.study.doubt.weighed import as_weighed
from sim.study.many import Track, goes_in_blocks

FEW = 4
"""Draws in a part whose set-ups go one by one."""

Part = tuple[int, int]
"""Draws from one up to another; of all set-ups, which stand on the same trucks."""


@dataclass(frozen=True)
class Lanes:
    """What came of some draws of one set-up.

    Attributes
    ----------
    values : array (n, measures)
        In SI; nan where there is none.
    lost : tuple of str
        By draw, why its numbers say nothing; empty if they do.
    flags : tuple of tuple of str
        By draw, what else the model flagged of it, in words.
    """

    values: Array
    lost: tuple[str, ...]
    flags: tuple[tuple[str, ...], ...]


class Drawn:
    """Set-ups with the values of draws in them.

    Parameters
    ----------
    setups : mapping of str to Vehicle
    of : sequence of Unknown
    values : array (draws, d)
    """

    def __init__(self, setups: Mapping[str, Vehicle], of: Sequence[Unknown], values: Array) -> None:
        # Influences are worked out from the draws as they came; a truck is made of those that keep to its ticket.
        self.setups, self.of, self.values = dict(setups), tuple(of), as_weighed(setups, of, values)
        self._truck: tuple[Any, int, Any] = (None, -1, None)
        self._ways: dict[str, tuple[Direct, list[int], tuple[Pair, ...], tuple[Taped, ...]]] = {}
        # Where the upper mounts of the drawn truck are whose dampers were taped, by path.
        self._mounts: dict[str, float] = {}

    def __getstate__(self) -> dict[str, Any]:
        return {**self.__dict__, "_truck": (None, -1, None), "_ways": {}, "_mounts": {}}

    def vehicle(self, setup: str, draw: int) -> Vehicle:
        """Return one set-up with the values of one draw, on the truck as measured with the same values.

        Raises
        ------
        JounceError
            If they do not go together.
        """
        own, measured = self.setups[setup], self.setups[setup].reference
        # The same truck for all set-ups of a draw: how it stands is worked out once.
        if self._truck[0] is not measured or self._truck[1] != draw:
            drawn_truck = self._put("", measured, draw)
            if drawn_truck is not measured:
                drawn_truck._reference = None  # itself the truck as measured: its springs are those that hold it
            self._truck = measured, draw, drawn_truck
        truck: Vehicle = self._truck[2]
        if own is measured:
            return truck
        drawn = self._put(setup, own, draw)
        if drawn is own:
            drawn = own.model_copy()  # nothing of it is in doubt but the truck that it comes from
        drawn._reference = truck
        return drawn

    def _put(self, setup: str, vehicle: Vehicle, draw: int) -> Vehicle:
        """Return a set-up, or the truck as measured (""), with its values of one draw."""
        if setup not in self._ways or self._ways[setup][0].vehicle is not vehicle:
            own = [
                (n, one.path) for n, one in enumerate(self.of)
                if not one.of_run and (setup in one.setups if setup else one.measured)
            ]  # fmt: skip
            # By the vehicle itself: set-ups share the truck as measured, and may have numbers of their own.
            those = pairs(vehicle, {path for _, path in own})
            # A set-up's mounts that are the truck's are where they are on the truck, whatever else it has of its own.
            moved = {path for n, path in own if not (setup and self.of[n].measured)}
            lengths = tuple(one for one in taped(vehicle) if one.path in moved)
            self._ways[setup] = Direct(vehicle, [path for _, path in own]), [n for n, _ in own], those, lengths
        way, numbers, those, lengths = self._ways[setup]
        values = [self.of[n].drawn(setup, float(self.values[draw, n])) for n in numbers]
        if those:
            values = list(in_order(dict(zip(way.paths, values, strict=True)), those).values())
        if setup and self._mounts:
            values = [
                self._mounts.get(path, value) if self.of[n].measured else value
                for n, path, value in zip(numbers, way.paths, values, strict=True)
            ]
        drawn = way.at(values)
        mounts: dict[str, float] = {}
        if lengths:
            if not setup:
                drawn._reference = None  # itself the truck as measured
            mounts = as_taped(drawn, self._truck[2] if setup else drawn, lengths)
            drawn = way.at([mounts.get(path, value) for path, value in zip(way.paths, values, strict=True)])
        if not setup:
            self._mounts = mounts
        return drawn

    def run(self, run: AnyRun, draw: int) -> AnyRun:
        """Return the run with the values of one draw.

        Raises
        ------
        JounceError
            If they do not go together.
        """
        of_run = {one.path: one for one in self.of if one.of_run}
        values = {one.path: float(self.values[draw, n]) for n, one in enumerate(self.of) if one.of_run}
        for path, value in in_order(values, pairs(run, of_run, RUN)).items():
            unit = of_run[path].what.doubt.si
            run = changed_run(run, path.removeprefix(RUN), f"{value!r} {unit}" if unit else value)
        return run


def parts_of(run: AnyRun, count: int) -> list[Part]:
    """Return so many draws over a run in parts of one road."""
    # One by one nothing is shared but the road, and small parts end together.
    size = TOGETHER if goes_in_blocks(run) else FEW
    return [(first, min(first + size, count)) for first in range(0, count, size)]


class Doubting:
    """Draws of set-ups over a run, for whoever works them off.

    Parameters
    ----------
    drawn : Drawn
    run : AnyRun
    measures : sequence of str
    band : RestBand, optional
        Within what all draws of all set-ups count as at rest, as in `sim.study.many.Track`.
    """

    def __init__(self, drawn: Drawn, run: AnyRun, measures: Sequence[str], band: RestBand | None = None) -> None:
        self.drawn, self.asked, self.measures, self.band = drawn, run, tuple(measures), band
        self._track: tuple[int, Any] = (-1, None)

    def __getstate__(self) -> dict[str, Any]:
        # Roads and known set-ups are large; a worker makes those that its own parts need.
        return {**self.__dict__, "_track": (-1, None)}

    def parts(self) -> list[Part]:
        """Return all of the work in parts of one road: they do not depend on who works them off."""
        return parts_of(self.asked, len(self.drawn.values))

    def solved(self, part: Part) -> dict[str, Lanes]:
        """Return what came of one part, by set-up."""
        count = part[1] - part[0]
        try:
            track = self._over(part[0])
        except JounceError as error:
            # The run is common to the part: none of it can be run.
            nothing = np.full((count, len(self.measures)), nan)
            return dict.fromkeys(self.drawn.setups, Lanes(nothing, (_first_line(error),) * count, ((),) * count))
        lanes = {
            setup: ([""] * count, [()] * count, np.full((count, len(self.measures)), nan))
            for setup in self.drawn.setups
        }  # type: dict[str, tuple[list[str], list[tuple[str, ...]], Array]]
        vehicles: dict[tuple[str, int], Vehicle] = {}
        for lane in range(count):
            for setup in self.drawn.setups:
                try:
                    vehicles[setup, lane] = self.drawn.vehicle(setup, part[0] + lane)
                except JounceError as error:
                    lanes[setup][0][lane] = _first_line(error)
        for (setup, lane), outcome in zip(vehicles, track.outcomes(list(vehicles.values())), strict=True):
            lost, flags, values = lanes[setup]
            lost[lane] = outcome.invalid
            if not outcome.invalid:
                values[lane] = [outcome.values.get(name, nan) for name in self.measures]
                flags[lane] = tuple(dict.fromkeys(flag.words for flag in outcome.flags))
        return {setup: Lanes(values, tuple(lost), tuple(flags)) for setup, (lost, flags, values) in lanes.items()}

    def _over(self, first: int) -> Track:
        """Return the track of some draws, kept while they share it."""
        # Only a run that is itself in doubt differs from one lot of draws to the next.
        lot = first // TOGETHER if any(one.of_run for one in self.drawn.of) else 0
        if self._track[0] != lot:
            run = self.drawn.run(self.asked, first)
            self._track = lot, Track(run, self.measures, precision="single", band=self.band)
        track: Track = self._track[1]
        return track


def _first_line(error: Exception) -> str:
    return str(error).splitlines()[0]
