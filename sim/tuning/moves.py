"""What may move: from a place between its ends to a set-up, and back to what a person would write."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BaseModel, TypeAdapter, ValidationError

from sim.errors import InputError
from sim.many.replaced import found, with_values
from sim.parts.vehicle import Vehicle
from sim.tuning.asked import Move, ScaleMove, SplitMove, ValueMove
from sim.units import SHOWN, SI, Quantity, show

SPLIT_SPEED = 0.1
"""Speed [m/s] at which a split is told: 4 in/s, on the low-speed side of usual knees."""

OF_UNIT = {
    "N*s/m": "damping", "m": "length", "m/s": "speed", "N": "force", "N/m": "stiffness", "kg": "mass",
    "N*m/rad": "angular_stiffness",
}  # fmt: skip


@dataclass(frozen=True)
class Moving:
    """A move with its ends in SI.

    Attributes
    ----------
    name : str
    move : Move
    low, high, now : float
        Ends, and where the starting set-up is; may lie outside.
    whole : bool
        Only whole numbers.
    quantity : str
        As `sim.units.show` knows it.
    """

    name: str
    move: Move
    low: float
    high: float
    now: float
    whole: bool
    quantity: str

    def at(self, share: float) -> float:
        """Return the value at a share (0 to 1) of the way from the low to the high end."""
        value = self.low + share * (self.high - self.low)
        return float(round(value)) if self.whole else value

    def share(self, value: float) -> float:
        """Return the share of the way at which a value is, kept within the ends."""
        return min(max((value - self.low) / (self.high - self.low), 0.0), 1.0)

    def told(self, value: float) -> str:
        """Return a value in words."""
        return show(value, self.quantity)


def moving(name: str, move: Move, start: Vehicle) -> Moving:
    """Return a move made ready for a set-up.

    Raises
    ------
    InputError
        If its path leads nowhere, its ends are not allowed there or are crossed.
    """
    there = [found(start, path) for path in move.paths]
    if isinstance(move, SplitMove):
        for path, law in zip(move.paths, there, strict=True):
            if not (hasattr(law, "scaled") and hasattr(law, "bump") and hasattr(law, "rebound")):
                raise InputError(f"{path}: a split needs a law with a bump and a rebound side")
        return Moving(name, move, move.low, move.high, _split(there[0]), False, "number")
    if isinstance(move, ScaleMove):
        for path, part in zip(move.paths, there, strict=True):
            if not hasattr(part, "scaled") and not isinstance(part, float):
                raise InputError(f"{path}: only a law or a number can be scaled")
        return Moving(name, move, move.low, move.high, 1.0, False, "number")
    low, high = (_value(start, move.paths[0], given) for given in (move.low, move.high))
    if not low < high:
        raise InputError(f"low ({move.low}) must be less than high ({move.high})")
    for path in move.paths:
        for value in (low, high):
            with_values(start, {path: value})
    now = there[0]
    if now is None or isinstance(now, bool) or not isinstance(now, int | float):
        raise InputError(f"{move.paths[0]}: this is not a number of the starting set-up, so it cannot be moved")
    whole = isinstance(low, int)
    return Moving(
        name, move, float(low), float(high), float(now), whole, "count" if whole else _quantity(start, move.paths[0])
    )


def _field(start: Vehicle, path: str) -> tuple[Any, Any]:
    parent, _, last = path.rpartition(".")
    part = found(start, parent) if parent else start
    if not isinstance(part, BaseModel) or last not in type(part).model_fields:
        raise InputError(f"{path}: a value can move only where one is written")
    field = type(part).model_fields[last]
    return field, Annotated[field.annotation, *field.metadata] if field.metadata else field.annotation


def _value(start: Vehicle, path: str, given: object) -> Any:
    _, kind = _field(start, path)
    adapter: TypeAdapter[Any] = TypeAdapter(kind)
    try:
        value = adapter.validate_python(given)
    except ValidationError as error:
        raise InputError(f"{error.errors()[0]['msg']}\n    given: {given}") from None
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InputError(f"'{given}' is not a number that can be moved through")
    return value


def _quantity(start: Vehicle, path: str) -> str:
    unit = unit_of(_field(start, path)[0])
    return OF_UNIT.get(unit, "number")


def unit_of(field: Any) -> str:
    """Return the SI unit of a model's field, empty if it has none."""
    marks = [mark for mark in field.metadata if isinstance(mark, Quantity)]
    marks += [mark for part in getattr(field.annotation, "__args__", ()) for mark in getattr(part, "__metadata__", ())
              if isinstance(mark, Quantity)]  # fmt: skip
    return marks[0].si if marks else ""


def moved(vehicle: Vehicle, moves: Sequence[Moving], values: Sequence[float]) -> Vehicle:
    """Return a set-up with every move at its value, in their order.

    Raises
    ------
    InputError
        If they do not go together.
    """
    for one, value in zip(moves, values, strict=True):
        vehicle = with_values(vehicle, _changes(vehicle, one, value))
    return vehicle


def _changes(vehicle: Vehicle, one: Moving, value: float) -> dict[str, Any]:
    move = one.move
    if isinstance(move, ValueMove):
        return dict.fromkeys(move.paths, int(value) if one.whole else value)
    if isinstance(move, ScaleMove):
        parts = {path: found(vehicle, path) for path in move.paths}
        return {p: part.scaled(value) if hasattr(part, "scaled") else part * value for p, part in parts.items()}
    return {path: with_split(found(vehicle, path), value) for path in move.paths}


def _split(law: Any) -> float:
    return abs(float(law.force(-SPLIT_SPEED))) / max(abs(float(law.force(SPLIT_SPEED))), 1e-9)


def with_split(law: Any, ratio: float) -> Any:
    """Return a law whose rebound is `ratio` times its bump at SPLIT_SPEED, with the sum of both as it was."""
    bump, rebound = (abs(float(law.force(sense * SPLIT_SPEED))) for sense in (1.0, -1.0))
    whole = bump + rebound
    return sided(law, whole / (1.0 + ratio) / max(bump, 1e-9), whole * ratio / (1.0 + ratio) / max(rebound, 1e-9))


def sided(law: Any, bump: float, rebound: float) -> Any:
    """Return a law with the forces of its sides multiplied; one without sides by the mean."""
    if not (hasattr(law, "bump") and hasattr(law, "rebound")):
        return law.scaled(0.5 * (bump + rebound))
    # Made anew, not copied: a table keeps what it has worked out of its rows.
    own = {name: getattr(law, name) for name in law.model_fields_set}
    own |= {"bump": law.scaled(bump).bump, "rebound": law.scaled(rebound).rebound}
    return type(law).model_validate(own, context=SI)


def scattered(vehicle: Vehicle, factors: Sequence[float]) -> Vehicle:
    """Return a set-up whose damper sets came out with other forces: two factors a set, bump and rebound, in the file's order."""
    places = damper_sets(vehicle)
    values = {
        f"{axle}.dampers.{name}.law": sided(dict(vehicle.axles)[axle].dampers[name].law, *factors[2 * n : 2 * n + 2])
        for n, (axle, name) in enumerate(places)
    }
    return with_values(vehicle, values)


def damper_sets(vehicle: Vehicle) -> list[tuple[str, str]]:
    """Return axle and name of every damper set."""
    return [(axle, name) for axle, part in vehicle.axles for name in part.dampers]


def changes_of(start: Vehicle, made: Vehicle, moves: Sequence[Moving], digits: int = 4) -> dict[str, Any]:
    """Return what turns the starting set-up into the moved one, as a person would write it: laws whole, values rounded."""
    written: dict[str, Any] = {}
    for one in moves:
        for path in one.move.paths:
            whole = _law_above(path)
            if whole is not None:
                written[whole] = as_written(found(made, whole), digits)
            else:
                parent, _, last = path.rpartition(".")
                part = found(made, parent)
                written[path] = _text(type(part).model_fields[last], getattr(part, last), digits)
    return written


def _law_above(path: str) -> str | None:
    places = path.split(".")
    return ".".join(places[: places.index("law") + 1]) if "law" in places else None


def as_written(part: Any, digits: int = 4) -> Any:
    """Return a described part as it would be written in a file."""
    if isinstance(part, BaseModel):
        fields = type(part).model_fields
        return {
            name: _text(field, getattr(part, name), digits)
            for name, field in fields.items()
            if getattr(part, name) is not None and (name in part.model_fields_set or field.is_required())
        }
    if isinstance(part, Mapping):
        return {name: as_written(value, digits) for name, value in part.items()}
    if isinstance(part, list | tuple):
        return [as_written(value, digits) for value in part]
    return part


def _text(field: Any, value: Any, digits: int) -> Any:
    unit = unit_of(field)
    if isinstance(value, bool) or not isinstance(value, int | float):
        return as_written(value, digits)
    if unit == "m":
        return f"{float(f'{value * 1e3:.{digits}g}'):g} mm"
    if unit:
        return f"{float(f'{value:.{digits}g}'):g} {unit.replace('*', ' ')}"
    return value if isinstance(value, int) else float(f"{value:.{digits}g}")


assert set(OF_UNIT.values()) <= set(SHOWN)
