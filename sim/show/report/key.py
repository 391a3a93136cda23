"""The measures to look at first, of tables and of the overview plot."""

from collections.abc import Mapping
from math import isnan

from sim.measure import Measure
from sim.measure.comparison import Comparison


def key_measures(comparison: Comparison) -> tuple[Measure, ...]:
    """Return the measures to look at first that say anything for these runs.

    Their places are what each says of itself (`sim.measure.measure.Shown`): contact with the ground and metal on metal;
    what is felt at the first point that the vehicle file names; then how the body behaves.
    """
    # What matters under torque (wind-up, slip) is not what matters at a held speed.
    drives = any(run.drive is not None for run in comparison.runs.values())
    places = {m: m.shown.key_driven if drives else m.shown.key for m in comparison.measures if says(comparison, m.name)}
    return in_place(places)


def short(comparison: Comparison) -> tuple[Measure, ...]:
    """Return the measures that decide most; all of them are in summary.csv."""
    # A launch is judged by wind-up and slip, a course by ride and travel: each has places of its own.
    drives = any(run.drive is not None for run in comparison.runs.values())
    places = {m: m.shown.table_driven if drives else m.shown.table for m in comparison.measures}
    return in_place(places)


def in_place(places: Mapping[Measure, int | None]) -> tuple[Measure, ...]:
    """Return the measures that have a place, by it; those of one place in the order in which they come."""
    there = {measure: place for measure, place in places.items() if place is not None}
    # sorted keeps the order of equals, on which the docstring's second half rests.
    return tuple(sorted(there, key=there.__getitem__))


def says(comparison: Comparison, name: str) -> bool:
    """Return whether a measure has a value for any set-up."""
    rows = comparison.values.values()
    return any(name in row and not isnan(row[name].value) for row in rows)
