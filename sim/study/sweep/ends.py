"""The best and the worst of a sweep, run again by themselves: in double precision, by the fine step, with their error.

A sweep's points are made fast, in blocks of single precision. What is told and put into a set-up is not: it comes from the
same run that `jounce compare` makes, and beside it stands how far that is from the sweep's own figure.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from math import isfinite, isnan
from typing import Any

import numpy as np

from sim.describe.files.scenario import Scenario
from sim.describe.shown import show
from sim.errors import JounceError
from sim.integrate.result import Array
from sim.integrate.simulation import simulate
from sim.measure.measure import Measure
from sim.measure.table import Value, allowed, difference, evaluate
from sim.study.sweep.points import Place, Points
from sim.study.sweep.sweep import Swept

Ends = Mapping[tuple[str, str, bool], Value]
"""Values by set-up, measure, and whether it is the worst or the best."""

Finder = Callable[[Array, Measure, bool], tuple[int, ...] | None]
"""Where values are best, or worst."""

ROUNDS = 4
"""Values so near each other that another place turns out to be the best are run again too, so many times."""


def confirmed(scenario: Scenario, swept: Swept, measures: Sequence[Measure], find: Finder) -> tuple[Swept, Ends]:
    """Run the best and the worst of every set-up and measure again.

    Returns
    -------
    Swept
        With these values in place of its own.
    dict of (set-up, measure, worst) to Value
        In double precision at a quarter of the step. Its error is the larger of two: the difference to the run at half of it,
        and to the sweep's figure, which has the error of its own step and of its precision. What cannot be run by itself has
        none.
    """
    points = Points(scenario, swept.axes, swept.measures, coarse=False)
    known: dict[Place, dict[str, Value]] = {}
    values = {setup: {name: row.copy() for name, row in rows.items()} for setup, rows in swept.values.items()}
    ends: dict[tuple[str, str, bool], Value] = {}
    for _ in range(ROUNDS):
        # Anew in each round, as another place may be the best by now.
        before, ends = len(known), {}
        for setup, rows in values.items():
            for measure in measures:
                for worst in (False, True):
                    place = find(rows[measure.name], measure, worst)
                    if place is None:
                        continue
                    # One run answers for all measures at its place.
                    if (setup, place) not in known:
                        known[setup, place] = _again(points, (setup, place), measures)
                    value = known[setup, place].get(measure.name)
                    if value is not None:
                        error = max(
                            value.error, difference(float(swept.values[setup][measure.name][place]), value.value)
                        )
                        doubt = value.flagged or error > allowed(value.value, measure.quantity)
                        ends[setup, measure.name, worst] = Value(value.value, error, doubt)
                        # Put into the map, so that the next round looks for the best among what is known by now.
                        rows[measure.name][place] = value.value
        # No new place was run, so another round would find the same.
        if len(known) == before:
            break
    return replace(swept, values=values), ends


def _again(points: Points, place: Place, measures: Sequence[Measure]) -> dict[str, Value]:

    try:
        vehicle, run = points.point(place)
        return evaluate(simulate(vehicle, run), measures)
    except JounceError:  # too long a road for a run by itself: the sweep's own figure stands
        return {}


def best_place(values: Array, measure: Measure, worst: bool = False) -> tuple[int, ...] | None:
    """Return where a measure is best, or worst; None if it has no value, or no better way."""
    if measure.better is None or np.all(np.isnan(values)):
        return None
    # The best of what should be less is the least, the worst the largest; else the other way round.
    least = (measure.better == "less") != worst
    flat = np.nanargmin(values) if least else np.nanargmax(values)
    return tuple(int(i) for i in np.unravel_index(flat, values.shape))


def doubt(ends: Ends, setup: str, measure: Measure) -> str:
    """Return the larger numerical error of a set-up's best and worst, as a share of the value where it has one, in words."""
    values = [ends[key] for worst in (False, True) if (key := (setup, measure.name, worst)) in ends]
    if not values:
        return "-"
    # Of a value of nothing there is no share: the error itself, in SI.
    shares = [value.error / abs(value.value) if value.value else value.error for value in values]
    largest = max(0.0 if isnan(share) else share for share in shares)
    # One digit: more would claim to know the error of an error.
    text = "below 0.001 %" if largest < 1e-5 else f"{100.0 * largest:.1g} %" if isfinite(largest) else "-"
    return text + (", too large to trust" if any(value.flagged for value in values) else "")


def recorded(ends: Ends) -> dict[str, dict[str, dict[str, Any]]]:
    """Return the values and errors for a record, by set-up, measure, and best or worst, in SI."""
    record: dict[str, dict[str, dict[str, Any]]] = {}
    for (setup, name, worst), value in ends.items():
        numbers = {"value": value.value, "numerical error": value.error}
        # JSON has neither inf nor nan: as words.
        said = {key: number if isfinite(number) else str(number) for key, number in numbers.items()}
        record.setdefault(setup, {}).setdefault(name, {})["worst" if worst else "best"] = said
    return record


def best_and_worst(swept: Swept, measure: Measure) -> list[tuple[str, str, str]]:
    """Return for each set-up its best and its worst, in words."""
    rows = []
    for setup, row in swept.values.items():
        texts = []
        for worst in (False, True):
            place = best_place(row[measure.name], measure, worst)
            if place is None or isnan(float(row[measure.name][place])):
                texts.append("-")
                continue
            where = ", ".join(f"{a.numbers[i]:.4g} {a.unit}".strip() for a, i in zip(swept.axes, place, strict=True))
            texts.append(f"{show(float(row[measure.name][place]), measure.quantity)} at {where}")
        rows.append((setup, texts[0], texts[1]))
    return rows
