"""Parts for pulling away and points of the outline that are half filled in, or wrong: the truck stands and drives over courses without them all the same."""

from collections.abc import Iterable, Iterator, Mapping
from copy import deepcopy
from dataclasses import replace
from typing import Any

from sim.describe.files.reader import Document
from sim.describe.files.round_trip import put
from sim.describe.files.vehicles import validated_vehicle
from sim.describe.parts.vehicle import Vehicle
from sim.errors import InputError, Problem
from sim.show.pages.rows import AXLES

Place = tuple[str, ...]

NEEDED: dict[Place, dict[Place, object]] = {
    ("driveline",): {
        ("engine", "torque"): "100 N m", ("engine", "limit"): "20000 rpm", ("engine", "inertia"): "0.3 kg m^2", ("gear",): 3.0,
    },
    **{(axle, "shafts"): {("final_drive",): 4.0, ("rate",): "10 kN m/rad"} for axle in AXLES},
    **{(axle, "brakes"): {("torque",): "3000 N m"} for axle in AXLES},
    **{(axle, "tyre", "slip"): {("stiffness",): 16.0} for axle in AXLES},
    **{
        ("outline", *point): {("behind_front_axle",): "0 mm", ("above_ground",): "500 mm"}
        for point in (("under", "front_end"), ("under", "belly"), ("under", "rear_end"), ("front_wing", "edge"), ("rear_wing", "edge"))
    },
}  # fmt: skip
"""Parts, and what of each nothing can be put in place of; with numbers that stand in for it while the rest is read, and are then taken out."""

FOR_LAUNCHES: tuple[Place, ...] = (
    ("driveline",),
    *(
        (axle, *part)
        for axle in AXLES
        for part in (("shafts",), ("brakes",), ("propshaft",), ("tyre", "slip"), ("tyre", "spin_inertia"))
    ),
)
"""Parts that nothing but a launch or a stop reads (docs/your-truck.md)."""

CLUTCH: dict[Place, object] = {("centre_torque",): "200 N m"}
"""What a driveline needs too whose centre is one with a clutch."""


def begun(data: Mapping[str, Any]) -> dict[Place, list[Place]]:
    """Return the parts that are there and not whole, each with the keys that it lacks."""
    found: dict[Place, list[Place]] = {}
    for part in NEEDED:
        own = _at(data, part)
        lacking = [key for key in wanting(data, part) if _at(own, key) is None] if isinstance(own, Mapping) else []
        if lacking:
            found[part] = lacking
    return found


def wanting(data: Mapping[str, Any], part: Place) -> dict[Place, object]:
    """Return what a part cannot be without, as the file has it now."""
    own = _at(data, part)
    # A measured tyre has coefficients in place of its stiffness.
    if part[-1] == "slip" and isinstance(own, Mapping) and own.get("coefficients") is not None:
        return {}
    clutch = part == ("driveline",) and _at(own, ("centre",)) == "limited_slip"
    return {**NEEDED[part], **(CLUTCH if clutch else {})}


def standing_vehicle(document: Document) -> tuple[Vehicle, tuple[Problem, ...]]:
    """Return the vehicle of a document without the parts for pulling away that are not whole yet or are wrong, and what is wrong with those.

    Raises
    ------
    InputError
        With every problem found, if one is of something that the truck stands on; none of what is only not filled in yet.
    """
    try:
        return _without_half(document), ()
    except InputError as error:
        wrong = {_of_launches(one.where) for one in error.problems}
        parts = [part for part in wrong if part is not None]
        if None in wrong or not parts:
            raise
        rest = _with(document, {part: None for part in parts if _at(document.data, part) is not None})
        # Without them too something may be wrong that was not come to: then all of it is said.
        return _without_half(rest), tuple(error.problems)


def _of_launches(where: str) -> Place | None:
    """Return the part for pulling away that a path leads into; None if it leads to anything else."""
    steps = tuple(where.split("."))
    return next((part for part in FOR_LAUNCHES if steps[: len(part)] == part), None)


def _without_half(document: Document) -> Vehicle:
    half = begun(document.data)
    if not half:
        return validated_vehicle(document)
    filled = {(*part, *key): wanting(document.data, part)[key] for part, keys in half.items() for key in keys}
    # What was typed there is read as it would be in a whole part, so that a wrong number is said at its box.
    validated_vehicle(_with(document, filled))
    return validated_vehicle(_with(document, dict.fromkeys(half)))


def boxes_of(data: Mapping[str, Any], missing: Iterable[str]) -> list[str]:
    """Return the paths of the boxes that are to be filled in before a truck can pull away.

    Parameters
    ----------
    data : mapping
        The truck as typed.
    missing : iterable of str
        Paths of the parts that its file lacks (`NeededError.missing`).
    """
    parts = list(missing)
    if "driveline" in parts:
        # What is driven may be typed before the driveline is whole.
        drive = _at(data, ("driveline", "drive")) or "rear"
        driven = [f"{axle}.shafts" for axle in AXLES if drive in ("both", axle)]
        parts = [
            "driveline",
            *driven,
            *(part for part in parts if part != "driveline" and not part.endswith(".shafts")),
        ]
    paths = []
    for path in parts:
        part = tuple(path.split("."))
        keys = wanting(data, part) if part in NEEDED else {(): ""}
        paths += [".".join((*part, *key)) for key in keys if _at(data, (*part, *key)) is None]
    return paths


def said_of(data: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Yield the boxes that parts which somebody has begun to fill in lack, each with what is said there."""
    for part, keys in begun(data).items():
        for key in keys:
            yield (
                ".".join((*part, *key)),
                "Needed too, or this point is not looked at."
                if part[0] == "outline"
                else "Needed too before it can pull away. The truck stands and drives over courses without.",
            )


def _with(document: Document, edits: Mapping[Place, object]) -> Document:
    data = deepcopy(document.data)
    put(data, edits)
    return replace(document, data=data)


def _at(data: Any, place: Place) -> Any:
    for step in place:
        data = data.get(step) if isinstance(data, Mapping) else None
    return data
