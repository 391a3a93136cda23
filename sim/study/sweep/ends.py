"""The best and the worst of a sweep, run again by themselves: in double precision, by the fine step, with their error.

A sweep's points are made fast, in blocks of single precision. What is reported and put into a set-up is not: it comes from the
same run that `jounce compare` makes, and beside it stands how far that is from the sweep's own figure.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import isfinite, isnan
from typing import Any

import numpy as np
import numpy.typing as npt

from sim.describe.files.scenario import Scenario
from sim.describe.shown import show
from sim.errors import JounceError
from sim.integrate.simulation import simulate
from sim.integrate.status import Flag, in_words
from sim.integrate.traces import Array
from sim.measure.measure import Measure
from sim.measure.rest_band import within
from sim.measure.table import Value, allowed, difference, evaluate
from sim.study.sweep.points import Place, Points
from sim.study.sweep.sweep import Swept

Ends = Mapping[tuple[str, str, bool], Value]
"""Values by set-up, measure, and whether it is the worst or the best."""

Marks = npt.NDArray[np.bool_]

Finder = Callable[[Array, Measure, bool, Marks], tuple[int, ...] | None]
"""Where values are best, or worst, given which places are flagged."""

WATCHED = "rear_left_to_stop"
"""Measured beside what a sweep over a course shows by default: a loaded bed comes down on its stops before anything else says so."""

TOUCH_M = 1e-4
"""A bump stop squeezed by less [m] is not said to be hit: it is what points of single precision may be off by; ours, no source."""

ROUNDS = 12
"""Values so near each other that another place turns out to be the best are run again too, so many times; and so where the run
by itself shows a fault that its block could not."""


@dataclass(frozen=True)
class End:
    """The best or the worst of a sweep: where, what it has there, and what is wrong with it."""

    setup: str
    place: tuple[int, ...]
    value: float
    flags: tuple[Flag, ...]


def confirmed(scenario: Scenario, swept: Swept, measures: Sequence[Measure], find: Finder) -> tuple[Swept, Ends]:
    """Run the best and the worst of every set-up and measure again.

    Returns
    -------
    Swept
        With these values in place of its own.
    dict of (set-up, measure, worst) to Value
        In double precision at a quarter of the step. Its error is the larger of two: the difference to the run at half of it,
        and to the sweep's figure, which has the error of its own step and of its precision. What cannot be run by itself has
        none. A flagged place that would be better than the best is run again too; its value is in `Swept` alone.
    """
    points = Points(scenario, swept.axes, swept.measures, coarse=False)
    known: dict[Place, dict[str, Value]] = {}
    flags = {setup: dict(swept.flags.get(setup, {})) for setup in swept.values}
    values = {setup: {name: row.copy() for name, row in rows.items()} for setup, rows in swept.values.items()}
    ends: dict[tuple[str, str, bool], Value] = {}
    for _ in range(ROUNDS):
        # Anew in each round, as another place may be the best by now.
        before, ends = len(known), {}
        for setup, rows in values.items():
            for measure in measures:
                marks = replace(swept, flags=flags).flagged(setup)
                # The best that is sound, the worst of all, and the best of all, sound or not.
                wanted = ((False, marks), (True, marks), (False, np.zeros_like(marks)))
                for number, (worst, aside) in enumerate(wanted):
                    place = find(rows[measure.name], measure, worst, aside)
                    if place is None:
                        continue
                    # One run answers for all measures at its place.
                    if (setup, place) not in known:
                        known[setup, place], own = _again(points, (setup, place), measures)
                        # The run by itself knows more of what went wrong: its balance of energy, and when it happened.
                        if known[setup, place]:
                            flags[setup].pop(place, None)
                            flags[setup] |= {place: own} if own else {}
                    value = known[setup, place].get(measure.name)
                    if value is not None:
                        # Put into the map, so that the next round looks for the best among what is known by now.
                        rows[measure.name][place] = value.value
                        if number < 2:
                            ends[setup, measure.name, worst] = _compared(swept, (setup, place), measure, value)
        # No new place was run, so another round would find the same.
        if len(known) == before:
            break
    return replace(swept, values=values, flags=flags), ends


def _compared(swept: Swept, place: Place, measure: Measure, value: Value) -> Value:
    """Return a value with what the sweep's own figure was off by, if that is more than its numerical error."""
    setup, numbers = place
    error = max(value.error, difference(float(swept.values[setup][measure.name][numbers]), value.value))
    return Value(value.value, error, value.flagged or error > allowed(value.value, measure.quantity))


def _again(points: Points, place: Place, measures: Sequence[Measure]) -> tuple[dict[str, Value], tuple[Flag, ...]]:
    try:
        vehicle, run = points.point(place)
        ran = within(simulate(vehicle, run), points.band)
        return evaluate(ran, measures), ran.flags
    except JounceError:  # too long a road for a run by itself: the sweep's own figure stands
        return {}, ()


def best_place(
    values: Array, measure: Measure, worst: bool = False, flagged: Marks | None = None
) -> tuple[int, ...] | None:
    """Return where a measure is best, or worst; None if it has no value, or no better way.

    The best is never a flagged place while another has a value; the worst may be.
    """
    if measure.better is None or np.all(np.isnan(values)):
        return None
    if not worst and flagged is not None:
        sound = np.where(flagged, np.nan, values)
        values = values if np.all(np.isnan(sound)) else sound
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


def step_in_words(swept: Swept, measures: Sequence[Measure]) -> str:
    """Return which step a large sweep took, and why; nothing where it was asked for or there are few points."""
    return swept.tried.sentence({one.name: one.label for one in measures}) if swept.tried else ""


def recorded(ends: Ends) -> dict[str, dict[str, dict[str, Any]]]:
    """Return the values and errors for a record, by set-up, measure, and best or worst, in SI."""
    record: dict[str, dict[str, dict[str, Any]]] = {}
    for (setup, name, worst), value in ends.items():
        numbers = {"value": value.value, "numerical error": value.error}
        # JSON has neither inf nor nan: as words.
        said = {key: number if isfinite(number) else str(number) for key, number in numbers.items()}
        record.setdefault(setup, {}).setdefault(name, {})["worst" if worst else "best"] = said
    return record


def end_of(swept: Swept, measure: Measure, worst: bool, setup: str) -> End | None:
    """Return the best, which is flagged only where every point is, or the worst of a set-up; None without a value."""
    row = swept.values[setup][measure.name]
    return _end(swept, measure, setup, best_place(row, measure, worst, swept.flagged(setup)))


def better_flagged(swept: Swept, measure: Measure, setup: str) -> End | None:
    """Return the flagged point that would be better than the best of a set-up that is not flagged; None if there is none."""
    sound, every = end_of(swept, measure, False, setup), None
    if sound is not None and not sound.flags:
        every = _end(swept, measure, setup, best_place(swept.values[setup][measure.name], measure))
    return every if every is not None and every.flags else None


def over_setups(swept: Swept, measure: Measure, worst: bool) -> End | None:
    """Return the best or the worst of all set-ups; the best is flagged only if every point of all of them is."""
    ends = [end for setup in swept.values if (end := end_of(swept, measure, worst, setup)) is not None]
    if not worst:
        ends = [end for end in ends if not end.flags] or ends
    # Best is the largest or the smallest, by the measure's better way; worst is the other one.
    most = (measure.better == "more") != worst
    return (max if most else min)(ends, key=lambda end: end.value) if ends else None


def _end(swept: Swept, measure: Measure, setup: str, place: tuple[int, ...] | None) -> End | None:
    if place is None:
        return None
    return End(setup, place, float(swept.values[setup][measure.name][place]), swept.flags_at(setup, place))


def where(swept: Swept, place: tuple[int, ...], between: str = ", ") -> str:
    """Return the values of the inputs at a place, in words."""
    return between.join(a.words(float(a.numbers[i])) for a, i in zip(swept.axes, place, strict=True))


def best_and_worst(swept: Swept, measure: Measure) -> list[tuple[str, str, str, str]]:
    """Return for each set-up its best and its worst, and what is flagged about them, in words."""
    rows = []
    for setup in swept.values:

        def said(end: End | None) -> str:
            return "-" if end is None else f"{show(end.value, measure.quantity)} at {where(swept, end.place)}"

        best, worst, better = (
            end_of(swept, measure, False, setup), end_of(swept, measure, True, setup), better_flagged(swept, measure, setup),
        )  # fmt: skip
        faults = []
        if best is not None and best.flags:
            faults.append(f"every point; at the best: {in_words(best.flags)}")
        if better is not None:
            faults.append(f"better still but flagged: {said(better)} ({in_words(better.flags)})")
        if worst is not None and worst.flags:
            faults.append(f"at the worst: {in_words(worst.flags)}")
        # Before the figure, as it is read first.
        mark = "FLAGGED " if best is not None and best.flags else ""
        rows.append((setup, mark + said(best), said(worst), "; ".join(faults)))
    return rows


def flagged_lines(swept: Swept) -> list[str]:
    """Return a line for each fault of each set-up: at how many points, where it is worst, and what to do about it."""
    points = int(np.prod([a.numbers.size for a in swept.axes]))
    lines = []
    for setup in swept.values:
        for fault in swept.faults(setup):
            many = f"{fault.count} of {points} points, {'worst ' if fault.flag.past_m else 'first '}at {where(swept, fault.where)}"
            lines.append(f"{setup}, {many}: {fault.flag.sentence}")
    return lines


def rear_hits(swept: Swept, shown: Sequence[Measure]) -> list[str]:
    """Return for each set-up at which points it runs into its rear bump stops, and where hardest; nothing of those that do not.

    Of `WATCHED`, if the sweep has it and does not show it.
    """
    if any(one.name == WATCHED for one in shown):
        return []
    said = []
    for setup, rows in swept.values.items():
        if WATCHED not in rows:
            continue
        left = rows[WATCHED]
        # nan, of a truck without stops or of a point that could not be run, is below nothing.
        hits = [tuple(map(int, place)) for place in np.argwhere(left < -TOUCH_M)]
        if not hits:
            continue
        hardest = min(hits, key=lambda place: float(left[place]))
        more = f", and at {len(hits) - 1} more of {left.size} points" if len(hits) > 1 else ""
        said.append(
            f"hits rear stops at {where(swept, hits[0])} with '{setup}'{more}; hardest at {where(swept, hardest)}: rear bump travel left "
            f"{show(float(left[hardest]), 'length')} (--measure {WATCHED} shows it all)"
        )
    return said
