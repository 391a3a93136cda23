"""Kinds of file, and problems of a file that another one names."""

import re
from pathlib import Path
from typing import Any

from sim.describe.files.messages import nearest
from sim.describe.files.reader import LARGEST_BYTES, Document, Place, shown
from sim.describe.files.regular import bytes_of
from sim.describe.files.standard_input import is_given
from sim.errors import InputError, Problem

KINDS = ("vehicle", "course", "scenario")


def kind_of(document: Document) -> str:
    """Return what kind of file a document says it is.

    Raises
    ------
    InputError
        If it says none, or one that is not known.
    """
    kind = document.data.get("kind")
    if kind not in KINDS:
        # A missing key has no mark; that of the file is nearest.
        mark = document.mark(("kind",))
        message = (
            "the key 'kind' is missing: it says what this file is"
            if kind is None
            else f"'{kind}' is not a kind of file"
        )
        raise InputError(
            Problem(
                message,
                mark.file,
                mark.line,
                mark.column,
                "kind",
                allowed=", ".join(KINDS),
                suggestion=nearest(str(kind), list(KINDS)),
            )
        )
    return str(kind)


def of_kind(document: Document, wanted: str, named: bool = False) -> Document:
    """Return a document that must be of one kind; of a file that is `named` in another one that line is wrong, not one in it.

    Raises
    ------
    InputError
        If it is of another.
    """
    kind = kind_of(document)
    if kind != wanted:
        mark = document.mark(("kind",))
        message = f"this is a {kind} file; here a {wanted} file is wanted"
        if named:
            raise InputError(Problem(message, mark.file))
        beside = scenario_of(document.path) if (kind, wanted) == ("vehicle", "scenario") else None
        raise InputError(
            Problem(
                message, mark.file, mark.line, mark.column, "kind",
                suggestion=f"{shown(beside)}, a scenario with this vehicle" if beside is not None else "",
            )
        )  # fmt: skip
    return document


MOST_BESIDE = 200
"""Files of a folder that are looked through for a scenario."""

NAMES_VEHICLE = re.compile(r"^vehicle:\s*(.+?)\s*(?:#.*)?$", re.MULTILINE)


def scenario_of(vehicle: Path) -> Path | None:
    """Return a scenario of the same folder that uses a vehicle's file, its first one before others; None if there is none."""
    if is_given(vehicle):
        return None
    # Only where a file is of the wrong kind: a glance at the text will do, as nothing is read of it.
    first = vehicle.with_name(f"{vehicle.stem}_first{vehicle.suffix}")
    others = sorted(one for ending in ("*.yaml", "*.yml") for one in vehicle.parent.glob(ending))
    for path in [first, *others[:MOST_BESIDE]]:
        try:
            text = bytes_of(path, LARGEST_BYTES).decode("utf-8-sig")
        except (OSError, ValueError):
            continue
        named = NAMES_VEHICLE.search(text)
        if (
            named
            and re.search(r"^kind:\s*scenario\b", text, re.MULTILINE)
            and (path.parent / named[1].strip("'\"")).resolve() == vehicle.resolve()
        ):
            return path
    return None


def pointed(error: InputError, document: Document, place: Place) -> list[Problem]:
    """Return the problems of a file that another one names; one without a line points to where it is named."""
    mark = document.mark(place)
    # The inner file's own line helps more than the line that names it, so it is kept where there is one.
    return [
        p
        if p.line is not None
        else Problem(
            f"{p.file}: {p.message}",
            mark.file,
            mark.line,
            mark.column,
            ".".join(map(str, place)),
            p.given,
            p.allowed,
            p.suggestion,
        )
        for p in error.problems
    ]


def with_value(data: Any, place: Place, value: Any) -> Any:
    """Return data with the value at a place replaced; what is around it is copied, not changed."""
    if not place:  # copied along the path only; the rest is shared
        return value
    return {**data, place[0]: with_value(data[place[0]], place[1:], value)}
