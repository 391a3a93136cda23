"""Dampers that are past an end where the truck stands: all of them, each at the line of the number that is likely wrong."""

from collections.abc import Iterator
from math import sqrt
from typing import Any

from sim.describe.estimates.truck import read_si
from sim.describe.files.hardly_meant import written_at
from sim.describe.files.reader import Document, Place
from sim.describe.parts.dampers.damper_set import DamperSet
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show
from sim.errors import Problem, RunError
from sim.lower.lowering import lower
from sim.lower.rest import rest
from sim.lower.stance import axle_stances

TAPED = "length_at_ride"

WHERE = (
    ("body", "above_ground"), ("body", "behind_front_axle"), ("axle", "above"), ("axle", "ahead"), ("lean_inward",),
    ("length_extended",), ("length_collapsed",),
)  # fmt: skip
"""Keys from which it comes that a damper is past an end, the likeliest first."""


def past_their_ends(vehicle: Vehicle) -> tuple[Problem, ...]:
    """Return a problem for every damper that cannot stand between its mounts; nothing of a truck whose axles cannot be weighed."""
    try:
        stances = axle_stances(vehicle.reference)
    except RunError:
        return ()
    found = []
    for axle, part in vehicle.axles:
        for name, damper in part.dampers.items():
            along = damper.body.behind_front_axle - vehicle.axle_behind_front_m(axle) + damper.axle.ahead
            rise = damper.body.above_ground - stances[axle].centre_height - damper.axle.above
            length = sqrt(rise**2 + along**2 + damper.lean_inward**2)
            low, high = damper.length_collapsed or 0.0, damper.length_extended or 1e3
            if not low < length < high:
                found.append(_problem(vehicle, axle, name, damper, length, along))
    return tuple(found)


def _problem(vehicle: Vehicle, axle: str, name: str, damper: DamperSet, length: float, along: float) -> Problem:
    written: Any = vehicle._written
    document: Document = written.document
    place: Place = (axle, "dampers", name)
    which = f"{axle} damper set '{name}'"
    low, high = damper.length_collapsed or 0.0, damper.length_extended or 1e3
    ends = (
        f"fully in it is {show(low, 'length')}, fully out {show(high, 'length')}"
        if high < 1e3
        else f"fully in it is {show(low, 'length')}"
    )
    given = [(*place, *keys) for keys in WHERE if _is_given(document, (*place, *keys))]
    # What a set-up writes itself is likelier wrong than what its truck stands well with.
    own = [one for one in given if document.mark(one).file != document.name]
    passed = (*place, "length_collapsed" if length <= low else "length_extended")
    own.sort(key=lambda one: one != passed)
    taped = None if own else read_si(written_at(document, (*place, TAPED)), "length")
    if taped is not None and not low < taped < high:
        return _at(
            document, (*place, TAPED), f"{which} cannot be {show(taped, 'length')} long as the truck stands: {ends}",
            "tape it again eye to eye, as the truck stands and at both ends",
        )  # fmt: skip
    behind = (*place, "body", "behind_front_axle")
    if abs(along) >= high and behind in (own or given):
        near = vehicle.axle_behind_front_m(axle)
        counted = (
            f"a mount is counted from the front axle, also a rear one: near the rear axle it is about {show(near, 'length')}, the wheelbase"
            if axle == "rear"
            else "a mount is counted from the front axle; ahead of it write a minus"
        )
        return _at(
            document, behind, f"{which} would have its mounts {show(abs(along), 'length')} apart along the truck: {ends}", counted
        )  # fmt: skip
    return _at(
        document, next(iter(own or given), place),
        f"{which} is {show(length, 'length')} long between its mounts at ride height, outside its stroke of {show(low, 'length')} to {show(high, 'length')}",
        "check mounts and lengths",
    )  # fmt: skip


def _is_given(document: Document, place: Place) -> bool:
    return written_at(document, place) is not None and place not in document.estimates


def _at(document: Document, place: Place, message: str, suggestion: str) -> Problem:
    mark = document.key_marks.get(place, document.mark(place))
    given = written_at(document, place) or ""
    return Problem(message, mark.file, mark.line, mark.column, ".".join(map(str, place)), given, suggestion=suggestion)


def cannot_stand(vehicle: Vehicle) -> Iterator[Problem]:
    """Yield what keeps a truck from standing, each by its place, or without one where it is of no one number."""
    problems = past_their_ends(vehicle)
    yield from problems
    if not problems:
        try:
            rest(lower(vehicle))
        except RunError as error:
            yield Problem(error.message, suggestion=error.suggestion)
