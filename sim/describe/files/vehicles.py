"""Vehicle files, and vehicles of plain data."""

import copy
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from sim.describe.estimates.as_measured import shop_names
from sim.describe.estimates.completing import without_shop_keys
from sim.describe.estimates.estimate import Estimate
from sim.describe.estimates.truck import typed_system
from sim.describe.files.changes import changed, changed_as_far_as_it_goes
from sim.describe.files.hardly_meant import Notice, off_their_tyres, unusual
from sim.describe.files.kinds import of_kind
from sim.describe.files.measured import completed_document, estimated, measured_parts
from sim.describe.files.messages import doubts_in_range, problems_of
from sim.describe.files.odd_loads import odd_loads_of
from sim.describe.files.off_their_lengths import off_their_lengths
from sim.describe.files.off_their_springs import off_their_springs
from sim.describe.files.reader import Document, Mark, read
from sim.describe.files.renewed import renewed_vehicle
from sim.describe.files.two_tyre_sizes import two_tyre_sizes
from sim.describe.old_words import new_path
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import System
from sim.errors import InputError, Problem

PARTS_DEEP = 2
"""Levels below the truck down to which parts are known: axles, and springs and dampers by their names."""


@dataclass(frozen=True)
class Written:
    """The document that a vehicle was read from: what a set-up changes."""

    document: Document

    def notices(self, vehicle: Vehicle) -> tuple[str, ...]:
        """Return which words of its file have a newer one, and what was typed and is possible, but hardly meant."""
        return (*self.document.notices, *(notice.text for notice in self.unusual(vehicle)))

    def unusual(self, vehicle: Vehicle) -> tuple[Notice, ...]:
        """Return what was typed and is possible, but hardly meant, with its place."""
        parts = [unusual(part, self.document, place) for place, part in measured_parts(self.document).items()]
        return (
            *unusual(vehicle, self.document),
            *(notice for notices in parts for notice in notices),
            *off_their_tyres(vehicle, self.document),
            *off_their_springs(vehicle, self.document),
            *off_their_lengths(vehicle, self.document),
            *odd_loads_of(vehicle, self.document),
            *two_tyre_sizes(vehicle, self.document),
        )

    @property
    def typed_system(self) -> System:
        """In which units most of it is written."""
        return typed_system(self.document.data)

    @property
    def was_aboard(self) -> tuple[str, ...]:
        """What its file says was aboard on the scale."""
        weighed = self.document.data.get("weighed")
        words = weighed.get("aboard") if isinstance(weighed, Mapping) else None
        return tuple(map(str, words)) if isinstance(words, list | tuple) else ()

    def tyre_size(self, axle: str) -> str:
        """Return what its file says that stands on the wall of an axle's tyres; empty if it does not."""
        part = measured_parts(self.document).get((axle, "tyre"))
        return "" if part is None else str(getattr(part, "size", None) or "")

    def taped(self, *place: str) -> dict[str, float]:
        """Return the lengths [m] that a shop taped at a place, an axle or its stop, by their keys."""
        part = measured_parts(self.document).get(place)
        heights = {} if part is None else part.model_dump()
        return {key: value for key, value in heights.items() if isinstance(value, float)}

    @property
    def estimates(self) -> tuple[Estimate, ...]:
        """What of the vehicle nobody gave."""
        return tuple(self.document.estimates.values())

    def changed(self, changes: Mapping[str, object], known: Vehicle) -> Vehicle:
        """Return the vehicle of the document with changes in it; parts that no change reaches are those of the one that is known.

        Raises
        ------
        InputError
            If a path or a value is not understood.
        """
        return validated_vehicle(changed(self.document, changes), known)

    def setup(self, changes: Mapping[str, object], marks: Mapping[str, Mark], name: str, folder: Path) -> Vehicle:
        """Return a set-up that a scenario writes; a file that it names lies in the scenario's folder.

        Raises
        ------
        InputError
            If a path or a value is not understood, at the line where the change is written.
        """
        # First the scenario's folder, then the vehicle's own: a set-up may bring a damper's test beside the scenario.
        here = replace(self.document, folders=(folder,))
        document, problems = changed_as_far_as_it_goes(here, changes, marks, name)
        # What is wrong with one path hides nothing of the others: all is said at once.
        try:
            vehicle = validated_vehicle(document)
        except InputError as error:
            lines = {(mark.file, mark.line, mark.column) for mark in marks.values()}
            problems += [_of_setup(_at_change(problem, marks), name, lines) for problem in error.problems]
        if problems:
            raise InputError(problems)
        return vehicle


def _at_change(problem: Problem, marks: Mapping[str, Mark]) -> Problem:
    """Return a problem at the line of the change that brought it: the vehicle by itself was right.

    What is wrong between several numbers of a part stands at the part, which the vehicle's file has.
    """
    if any(
        (problem.file, problem.line, problem.column) == (mark.file, mark.line, mark.column) for mark in marks.values()
    ):
        return problem
    place = problem.where.split(".")
    # The change that shares most of the way with it, of a part's name at least: front.springs.coil.
    shared = {path: _steps_shared(place, new_path(path).split(".")) for path in marks}
    near = max(shared, key=lambda path: shared[path], default="")
    if not near or shared[near] < min(3, len(place)):
        return problem
    mark = marks[near]
    return replace(problem, file=mark.file, line=mark.line, column=mark.column)


def _steps_shared(one: list[str], other: list[str]) -> int:
    return next((n for n, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other)))


def _of_setup(problem: Problem, name: str, lines: set[tuple[str, int, int]]) -> Problem:
    """Return a problem with the set-up's name in its path, if it lies where the set-up writes its changes."""
    if (problem.file, problem.line, problem.column) not in lines:
        return problem
    return replace(problem, where=f"setups.{name}.{problem.where}")


def load_vehicle(path: str | Path, named: bool = False) -> Vehicle:
    """Read a vehicle file; `named` by another file, which is at fault if it is none."""
    return validated_vehicle(of_kind(read(path), "vehicle", named))


def vehicle_from(data: Mapping[str, Any], name: str = "vehicle") -> Vehicle:
    """Make a vehicle of a mapping with the same keys as a vehicle file."""
    # copied, as the caller may change it later
    return validated_vehicle(Document(copy.deepcopy(dict(data)), Path(name)))


def validated_vehicle(document: Document, known: Vehicle | None = None) -> Vehicle:
    """Validate a vehicle's document; the vehicle keeps it, so that set-ups can change it.

    Parameters
    ----------
    document : Document
    known : Vehicle, optional
        One that was read from the same files: parts that are written alike are taken from it, as the same objects.

    Raises
    ------
    InputError
        With every problem found.
    """
    document = renewed_vehicle(document)
    document, problems = completed_document(document)
    data = without_shop_keys(document.data)
    if known is not None:
        data = _with_known_parts(data, without_shop_keys(known._written.document.data), known)
    try:
        # `files` goes along with the document: a measured curve is read once for a vehicle and all its set-ups.
        context = {"folders": (*document.folders, document.path.parent), "files": document.files}
        vehicle = Vehicle.model_validate(data, context=context)
    except ValidationError as error:
        found = problems_of(error, document, Vehicle, more=shop_names(document.data))
        raise InputError(estimated([*problems, *found], document)) from None
    if problems:
        raise InputError(problems)
    doubts_in_range(vehicle, document)
    vehicle._written = Written(document)
    return vehicle


def _with_known_parts(
    data: Mapping[str, Any], known: Mapping[str, Any], parts: Any, depth: int = PARTS_DEEP
) -> dict[str, Any]:
    """Return a mapping with the part itself in place of every part that is written as in a known one.

    Whoever works with set-ups keeps what it has worked out of a part by the object, and nothing is validated twice.
    """
    put = dict(data)
    for key, value in data.items():
        own = parts.get(key) if isinstance(parts, Mapping) else getattr(parts, key, None)
        before = known.get(key)
        if not isinstance(value, dict) or not isinstance(before, dict):
            continue
        # As it is written, too: to Python true is 1, which a file may not have in its place.
        if isinstance(own, BaseModel) and value == before and repr(value) == repr(before):
            put[key] = own
        elif own is not None and depth:
            put[key] = _with_known_parts(value, before, own, depth - 1)
    return put
