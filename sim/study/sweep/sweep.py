"""One or two inputs of a scenario moved through their range, every set-up run at every point, on all cores, resumable."""

import hashlib
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from itertools import product
from math import nan
from typing import Any

import numpy as np
import numpy.typing as npt

from sim.describe.files.scenario import Scenario
from sim.describe.shown import as_now, system
from sim.errors import InputError
from sim.integrate.status import IN_WORDS, Flag
from sim.integrate.traces import Array
from sim.lower.packed import PrecisionName
from sim.machine.jit import source_hash
from sim.machine.spread import Spread
from sim.measure.rest_band import JUDGED
from sim.study.flagged import Fault, faults
from sim.study.many import goes_in_blocks
from sim.study.notes import Notes, Placed, placed
from sim.study.sweep.axes import MOST_RUNS, Axis
from sim.study.sweep.points import Points
from sim.study.sweep.step import MANY, Tried, tried

Place = tuple[str, tuple[int, ...]]
"""A set-up, and which number on each axis."""

Point = dict[str, Any]
"""What came of a place: `values` by measure, or `why` there are none."""


@dataclass(frozen=True)
class Swept:
    """What came of a sweep.

    Attributes
    ----------
    name : str
        Of the scenario.
    axes : tuple of Axis
        One or two.
    measures : tuple of str
        Names of what was measured.
    values : dict of str to dict of str to array
        By set-up and measure: (n,) or (n, m), nan where a run could not be made or left its validity.
    failed : tuple of str
        Why some points have no value, each reason once.
    flags : dict of str to dict of place to tuple of Flag
        By set-up, then by the numbers of the values on the axes; a point without flags is not there.
    tried : Tried or None
        How the step was chosen; None where it was asked for, or where there are few points.
    """

    name: str
    axes: tuple[Axis, ...]
    measures: tuple[str, ...]
    values: dict[str, dict[str, Array]]
    failed: tuple[str, ...]
    flags: dict[str, dict[tuple[int, ...], tuple[Flag, ...]]] = field(default_factory=dict)
    tried: Tried | None = None

    def flags_at(self, setup: str, place: tuple[int, ...]) -> tuple[Flag, ...]:
        """Return the flags of a point."""
        return self.flags.get(setup, {}).get(place, ())

    def flagged(self, setup: str) -> npt.NDArray[np.bool_]:
        """Return which points of a set-up are flagged, (n,) or (n, m)."""
        marks = np.zeros(tuple(a.numbers.size for a in self.axes), dtype=bool)
        for place in self.flags.get(setup, {}):
            marks[place] = True
        return marks

    def faults(self, setup: str) -> tuple[Fault[tuple[int, ...]], ...]:
        """Return the faults of a set-up over all points, each once."""
        return faults(self.flags.get(setup, {}))


def sweep(
    scenario: Scenario, axes: Sequence[Axis], measures: Sequence[str], notes: Placed, workers: int | None = None,
    tell: Callable[[int, int], None] | None = None, cluster: str | None = None, coarse: bool | None = None,
    precision: PrecisionName = "single",
) -> Swept:  # fmt: skip
    """Run every set-up at every point of one or two axes.

    Parameters
    ----------
    scenario : Scenario
    axes : one or two Axis
    measures : names of measures
    notes : Path or callable
        File to which finished points are added at once: a sweep that was stopped goes on where it stood. It is left
        there; a file of other inputs begins anew. Or what names the file for the key of what is asked.
    workers : int, optional
        Processes; all cores by default.
    tell : callable, optional
        Told how many points are done, of how many.
    cluster : str, optional
        Address of a Dask scheduler that has the work done.
    coarse : bool, optional
        Take the step that a set-up needs, not half of it: nearly twice as fast, with errors of some 1e-4. Left out: where there are
        many points and some of them, run at both, say that it suits (`sim.study.sweep.step`).
    precision : "single" or "double"
        Of the blocks that set-ups run in, as in `sim.study.many.Track`.

    Raises
    ------
    InputError
        If there are too many points, or no point at all can be run.
    OutputError
        If another process is at the same sweep with these notes.
    """
    places: list[Place] = [
        (setup, numbers) for setup in scenario.setups for numbers in product(*(range(a.numbers.size) for a in axes))
    ]  # fmt: skip
    if len(places) > MOST_RUNS:
        raise InputError(f"this sweep would take {len(places)} runs; at most {MOST_RUNS} are allowed: fewer points")
    trial = None
    if coarse is None and len(places) >= MANY and goes_in_blocks(scenario.run):
        trial = tried(scenario, axes, measures, precision)
    coarse = trial.suits if trial else bool(coarse)
    # Step and precision change the numbers: notes by another choice must not answer for this one.
    key = _key(scenario, axes, [*measures, str(coarse), precision, JUDGED])
    points = Points(scenario, axes, measures, coarse, precision)
    with Notes(placed(notes, key), key) as noted, Spread(points, workers, cluster, within=as_now()) as spread:
        done = _known(noted.entries, measures)
        # Cut from all places, not from what is left: a sweep that was stopped ends with the very same numbers.
        left = [part for part in points.parts(places) if any(_word(*place) not in done for place in part)]
        if tell:
            tell(len(done), len(places))
        for number, finished in spread.each(left):
            _note(left[number], finished, done, noted)
            if tell:
                tell(len(done), len(places))
    return replace(_gathered(scenario, axes, measures, places, done), tried=trial)


def _note(part: Sequence[Place], finished: Sequence[Point], done: dict[str, Point], notes: Notes) -> None:
    """Keep the finished points of a part, in memory and in the file."""
    for place, point in zip(part, finished, strict=True):
        # Of a part that was noted by half, what is there stays.
        if _word(*place) not in done:
            done[_word(*place)] = point
            notes.add({"at": _word(*place), **point})
    # Written before it is shown as done.
    notes.flush()


def _gathered(
    scenario: Scenario, axes: Sequence[Axis], measures: Sequence[str], places: Sequence[Place], done: dict[str, Point]
) -> Swept:  # fmt: skip
    """Return the finished points as arrays over the axes, by set-up and measure, and why some have no value."""
    shape = tuple(a.numbers.size for a in axes)
    values = {setup: {name: np.full(shape, nan) for name in measures} for setup in scenario.setups}
    # A dict for its order: each reason once, as they came.
    failed: dict[str, None] = {}
    flags: dict[str, dict[tuple[int, ...], tuple[Flag, ...]]] = {setup: {} for setup in scenario.setups}
    for setup, numbers in places:
        finished = done[_word(setup, numbers)]
        if finished["flags"]:
            flags[setup][numbers] = tuple(Flag(*row) for row in finished["flags"])
        if "why" in finished:
            failed[f"'{setup}': {finished['why']}"] = None
            continue
        for name in measures:
            value = finished["values"].get(name)
            # Notes are JSON, which has no nan: null stands for it.
            values[setup][name][numbers] = nan if value is None else value
    # Only where runs failed: a measure that no run has (it never settled) is an answer too.
    if len(failed) and all(np.all(np.isnan(row[name])) for row in values.values() for name in measures):
        raise InputError(f"no point of this sweep could be run: {next(iter(failed))}")
    return Swept(scenario.name, tuple(axes), tuple(measures), values, tuple(failed), flags)


def _word(setup: str, numbers: Sequence[int]) -> str:
    return f"{setup}|{','.join(map(str, numbers))}"


def _key(scenario: Scenario, axes: Sequence[Axis], measures: Sequence[str]) -> str:
    """Return what a sweep's points depend on: set-ups, run, axes, measures and the kernel's sources."""
    digest = hashlib.sha256(source_hash().encode())
    # What will be run, whatever files it came from, and the units in which sentences of flags are written.
    digest.update(repr((scenario.setups, scenario.run, system())).encode())
    digest.update(json.dumps([[a.path, a.numbers.tolist(), a.unit] for a in axes] + [list(measures)]).encode())
    return digest.hexdigest()


def _known(entries: Sequence[Any], measures: Sequence[str]) -> dict[str, Point]:
    """Return the finished points among what is noted, by where they are; whatever is not one is left out."""
    points: dict[str, Point] = {}
    for entry in entries:
        if isinstance(entry, dict) and isinstance(at := entry.get("at"), str):
            values, why, flags = entry.get("values"), entry.get("why"), entry.get("flags")
            # A point whose faults are not known is run again.
            if not isinstance(flags, list) or not all(_is_flag(row) for row in flags):
                continue
            if isinstance(why, str):
                points[at] = {"why": why, "flags": flags}
            elif isinstance(values, dict) and all(isinstance(values.get(m), float | int | None) for m in measures):
                points[at] = {"values": values, "flags": flags}
    return points


def _is_flag(row: object) -> bool:
    return isinstance(row, list) and len(row) == 6 and row[0] in IN_WORDS
