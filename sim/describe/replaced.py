"""One value of a described part replaced by an SI number, with everything on the way checked again, and fast.

A set-up from a file is a changed document (`sim.describe.files.changes`); a search has thousands, and no document for them.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from pydantic import BaseModel, ValidationError

from sim.describe.parts.vehicle import Vehicle
from sim.describe.quantity import SI
from sim.describe.wrong import first_in_words
from sim.errors import InputError

AXLE_PARTS = (
    "housing", "tyre", "guide", "stop", "strap", "wind_up_link", "fore_and_aft", "shafts", "brakes", "propshaft",
)  # fmt: skip
"""Parts of an axle beside its springs and dampers."""


def with_values(vehicle: Vehicle, values: Mapping[str, Any]) -> Vehicle:
    """Return a set-up with SI numbers (or whole parts) at dotted paths; parts off these paths are the same objects.

    Raises
    ------
    InputError
        If a path leads nowhere, or a value is not allowed there.
    """
    setup = vehicle
    try:
        # Together first: some values are only allowed with each other, and everything is checked once.
        setup = put_in(vehicle, values)
    except (LookupError, TypeError, ValidationError):  # said of the path that is at fault, which one by one shows
        for path, value in values.items():
            setup = replaced(setup, path.split("."), value, path)
    if setup is not vehicle:
        setup._reference = vehicle.reference  # still a set-up of the same measured truck
    return setup


def put_in(part: Any, values: Mapping[str, Any]) -> Any:
    """Return a part, or parts by name, with values at dotted paths, everything on the way checked once.

    Raises LookupError, TypeError or ValidationError where that cannot be done.
    """
    return _together(part, [(tuple(path.split(".")), value) for path, value in values.items()])


def _together(part: Any, changes: Sequence[tuple[tuple[str, ...], Any]]) -> Any:
    """Return a part with several values replaced, everything on the way checked once.

    Raises LookupError or ValidationError where that cannot be done.
    """
    if not changes:
        return part
    below: dict[str, list[tuple[tuple[str, ...], Any]]] = {}
    for places, value in changes:
        below.setdefault(places[0], []).append((places[1:], value))
    own: Any
    if isinstance(part, BaseModel):
        fields = part.__dict__
        # what was written: some defaults depend on whether a key was
        own = {name: fields[name] for name in part.model_fields_set}
    elif isinstance(part, Mapping):
        fields = own = dict(part)
    else:
        # Rows of a table are known by number, which `replaced` does.
        raise LookupError("a list, of which a part is replaced one by one")
    for place, inside in below.items():
        whole = [value for places, value in inside if not places]
        if whole and len(inside) > 1:
            raise LookupError(place)  # a part and something in it: their order counts
        # a name that is not there would be added without a word
        if not isinstance(part, BaseModel) and place not in fields:
            raise LookupError(place)
        own[place] = whole[0] if whole else _together(fields[place], inside)
    # SI: the values inside are plain floats by now, which as text from a file would need a unit.
    return type(part).model_validate(own, context=SI) if isinstance(part, BaseModel) else own


def replaced(part: Any, places: Sequence[str], value: Any, path: str) -> Any:
    """Return a part with one value replaced."""
    place, rest = places[0], places[1:]
    if isinstance(part, Mapping):
        if place not in part:
            raise InputError(f"{path}: there is no '{place}' here; there is: {', '.join(part) or 'nothing'}")
        return {**part, place: replaced(part[place], rest, value, path) if rest else value}
    if isinstance(part, tuple):
        if not place.isdigit() or int(place) >= len(part):
            raise InputError(f"{path}: '{place}' must be a number from 0 to {len(part) - 1}")
        kept = list(part)
        kept[int(place)] = replaced(kept[int(place)], rest, value, path) if rest else value
        return tuple(kept)
    if not isinstance(part, BaseModel) or place not in type(part).model_fields:
        known = ", ".join(type(part).model_fields) if isinstance(part, BaseModel) else "nothing"
        raise InputError(f"{path}: there is no '{place}' here; there is: {known}")
    # `place` may be at its default, which is not among the written ones.
    own = {name: getattr(part, name) for name in part.model_fields_set | {place}}
    own[place] = replaced(own[place], rest, value, path) if rest else value
    try:
        return type(part).model_validate(own, context=SI)
    except ValidationError as error:
        raise InputError(f"{path}: {first_in_words(error)}\n    given: {_as_written(value)}") from None


def _as_written(value: object) -> str:
    return f"{value:.6g}" if isinstance(value, int | float) else str(value)


def value_at(part: Any, path: str) -> Any:
    """Return what stands at a dotted path.

    Raises
    ------
    InputError
        If it leads nowhere.
    """
    for place in path.split("."):
        if isinstance(part, Mapping) and place in part:
            part = part[place]
        elif isinstance(part, tuple) and place.isdigit() and int(place) < len(part):
            part = part[int(place)]
        elif isinstance(part, BaseModel) and place in type(part).model_fields:
            part = getattr(part, place)
        else:
            if isinstance(part, BaseModel):
                known = list(type(part).model_fields)
            else:
                known = list(part) if isinstance(part, Mapping) else []
            raise InputError(f"{path}: there is no '{place}'; there is: {', '.join(map(str, known)) or 'nothing'}")
    return part


def only_laws_differ(one: Vehicle, other: Vehicle) -> bool:
    """Tell whether two set-ups are made of the same objects but for their dampers' laws."""
    # `is`, not `==`: parts off the changed paths are the same objects, and a search compares thousands of set-ups.
    if one.reference is not other.reference or one.wheelbase != other.wheelbase or one.body is not other.body:
        return False
    if not _same(one.loads, other.loads) or one.points.keys() != other.points.keys():
        return False
    if not _same(one.points, other.points):
        return False
    for (_, a), (_, b) in zip(one.axles, other.axles, strict=True):
        if a is b:
            continue
        if a.dampers.keys() != b.dampers.keys() or not _same(a.springs, b.springs):
            return False
        if any(getattr(a, name) is not getattr(b, name) for name in AXLE_PARTS):
            return False
        for key, mine in a.dampers.items():
            theirs = b.dampers[key]
            if mine is theirs:
                continue
            # A damper with another law is another object, though nothing else of it need differ.
            others = theirs.__dict__
            if any(
                value is not others[f] and value != others[f] for f, value in mine.__dict__.items() if f != "valving"
            ):
                return False
            if mine.push != theirs.push:  # a law of valve parts brings its gas along
                return False
    return True


def _same(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    return one.keys() == other.keys() and all(one[key] is other[key] for key in one)
