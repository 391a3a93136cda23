"""Points of a sweep: which set-up with which values over which run."""

from collections.abc import Sequence
from dataclasses import astuple
from math import isfinite, nan
from typing import Any

import numpy as np

from sim.describe.direct import Direct
from sim.describe.files.given_with_old_packs import renews_wind_up
from sim.describe.files.scenario import Scenario
from sim.describe.replaced import value_at
from sim.describe.runs.changed import RUN, changed_run
from sim.errors import InputError, JounceError
from sim.integrate.many.ready import whole
from sim.lower.packed import PrecisionName
from sim.machine.jit import BLOCK
from sim.study.many import Outcome, Track, band_of, not_run
from sim.study.sweep.axes import Axis, paths

Place = tuple[str, tuple[int, ...]]
"""A set-up's name, and the number of the value on each axis."""


class Points:
    """Points of a sweep, for whoever works them off.

    Parameters
    ----------
    scenario : Scenario
    axes : sequence of Axis
    measures : sequence of str
    coarse : bool
        Take the step that a set-up needs, not half of it.
    precision : "single" or "double"
        As in `sim.study.many.Track`.
    """

    def __init__(
        self, scenario: Scenario, axes: Sequence[Axis], measures: Sequence[str], coarse: bool,
        precision: PrecisionName = "single",
    ) -> None:  # fmt: skip
        self.setups, self.run = scenario.setups, scenario.run
        self.axes, self.measures, self.coarse, self.precision = tuple(axes), tuple(measures), coarse, precision
        # One rest for all points: that of the set-up that the others are judged against, as its file and the run have it.
        names = (*((scenario.reference,) if scenario.reference in scenario.setups else ()), *scenario.setups)
        self.band = band_of(scenario.setups[names[0]], scenario.run, measures)
        self._factors: dict[tuple[str, str], float | None] = {}
        self._ways: dict[str, tuple[Direct | None, list[tuple[int, list[float]]]]] = {}
        # No run has such numbers: nothing is kept yet.
        self._track: tuple[tuple[int, ...], Any] = ((-1,), None)

    def __getstate__(self) -> dict[str, Any]:
        # Roads and known set-ups are large; a worker makes those that its own parts need.
        return {**self.__dict__, "_track": ((-1,), None), "_ways": {}}

    def solved(self, part: Sequence[Place]) -> list[dict[str, Any]]:
        """Return what came of points that share their run, as `noted`."""
        entries: list[dict[str, Any]] = [{} for _ in part]
        chosen = self._run_numbers(part[0])
        try:
            if self._track[0] != chosen:  # the road is kept for the next part
                self._track = (
                    chosen,
                    Track(self._run(part[0]), self.measures, not self.coarse, self.precision, self.band),
                )
        except JounceError as error:
            # Run and road are common to the part: none of its points can be run.
            return [noted(not_run(error), self.measures) for _ in part]
        vehicles = {}
        for number, (setup, numbers) in enumerate(part):
            try:
                vehicles[number] = self._vehicle(setup, numbers)
            except JounceError as error:
                entries[number] = noted(not_run(error), self.measures)
        for number, outcome in zip(vehicles, self._track[1].outcomes(list(vehicles.values())), strict=True):
            entries[number] = noted(outcome, self.measures)
        return entries

    def point(self, place: Place) -> tuple[Any, Any]:
        """Return the set-up and the run of one point.

        Raises
        ------
        InputError
            If its values do not go together.
        """
        return whole(self._vehicle(*place)), self._run(place)

    def parts(self, places: Sequence[Place]) -> list[list[Place]]:
        """Return places in parts: of one run, a block each. They do not depend on who works them off, or on what is left."""
        groups: dict[tuple[int, ...], list[Place]] = {}
        for place in places:
            groups.setdefault(self._run_numbers(place), []).append(place)
        return [group[i : i + BLOCK] for group in groups.values() for i in range(0, len(group), BLOCK)]

    def _run_numbers(self, place: Place) -> tuple[int, ...]:
        # What moves only the run: points alike in it share a road, and so a block.
        moving = [any(path.startswith(RUN) for path in paths(a.path)) for a in self.axes]
        return tuple(i for moves, i in zip(moving, place[1], strict=True) if moves)

    def _run(self, place: Place) -> Any:
        run = self.run
        for a, i in zip(self.axes, place[1], strict=True):
            for path in paths(a.path):
                if path.startswith(RUN):
                    run = changed_run(run, path.removeprefix(RUN), a.written(float(a.numbers[i])))
        return run

    def _vehicle(self, setup: str, numbers: Sequence[int]) -> Any:
        """Return a set-up at a point: by SI numbers, which is fast; as a change in words, where that says better what is wrong."""
        way, columns = self._way(setup)
        if way is not None:
            try:
                return way.valved([column[numbers[axis]] for axis, column in columns])
            except InputError:
                # Tried again below as a change in words: its message names what was written, with its unit.
                pass
        own = self._moving()
        if not own:
            return self.setups[setup]
        return self.setups[setup].changed(
            {path: self.axes[axis].written(float(self.axes[axis].numbers[numbers[axis]])) for axis, path in own}
        )

    def _moving(self) -> list[tuple[int, str]]:
        """Return the paths of a set-up that move, each with the number of its axis."""
        return [(n, path) for n, a in enumerate(self.axes) for path in paths(a.path) if not path.startswith(RUN)]

    def _way(self, setup: str) -> tuple[Direct | None, list[tuple[int, list[float]]]]:
        """Return how SI numbers are put into a set-up, and those of each path with the number of its axis; None where only words do."""
        if setup not in self._ways:
            own = self._moving()
            factors = [self._factor(setup, path, self.axes[axis]) for axis, path in own]
            # No factor is None where it is used: `or` is for the type checker.
            columns = [
                (axis, [_whole(number * (factor or 0.0)) for number in self.axes[axis].numbers.tolist()])
                for (axis, _), factor in zip(own, factors, strict=True)
            ]
            # What is estimated from a number that moves is found anew by words alone.
            anew = any(renews_wind_up(self.setups[setup], path) for _, path in own)
            is_straight = bool(own) and None not in factors and not anew
            self._ways[setup] = Direct(self.setups[setup], [path for _, path in own]) if is_straight else None, columns
        return self._ways[setup]

    def _factor(self, setup: str, path: str, moved: Axis) -> float | None:
        """Return what turns an axis's numbers into SI, None where only words do."""
        key = setup, path
        if key not in self._factors:
            # By the largest number, which loses least to the digits that are written; held to the smallest, since a scale whose
            # zero lies elsewhere (°C) is no factor.
            largest, smallest = (float(moved.numbers[pick(np.abs(moved.numbers))]) for pick in (np.argmax, np.argmin))
            try:
                factor = self._si(setup, path, moved, largest) / largest
                straight = np.isclose(self._si(setup, path, moved, smallest), factor * smallest, rtol=1e-9, atol=0.0)
                self._factors[key] = factor if straight else None
            except (JounceError, TypeError, ValueError, ZeroDivisionError):
                # No number (a word, a law), or refused: only words can say it.
                self._factors[key] = None
        return self._factors[key]

    def _si(self, setup: str, path: str, moved: Axis, number: float) -> float:
        """Return what a number of an axis is in SI, in one set-up."""
        return float(value_at(self.setups[setup].changed({path: moved.written(number)}), path))


def _whole(value: float) -> float:
    """Return a product that may miss a whole number by its last bit, as a count must be whole."""
    return round(value) if abs(value - round(value)) < 1e-9 else value


def noted(outcome: Outcome, measures: Sequence[str]) -> dict[str, Any]:
    """Return what came of a point as its notes keep it: values by measure, or why there are none; and its flags."""
    entry: dict[str, Any] = {"flags": [list(astuple(flag)) for flag in outcome.flags]}
    if outcome.invalid:
        return entry | {"why": outcome.invalid}
    values = {name: outcome.values.get(name, nan) for name in measures}
    # Points are noted as JSON, which has no nan and no inf.
    return entry | {"values": {n: v if isfinite(v) else None for n, v in values.items()}}
