"""What may move: from a place between its ends to a set-up, and back to what a person would write."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, TypeVar

from pydantic import BaseModel, TypeAdapter, ValidationError

from sim.describe.asked.tune import Move, ScaleMove, SplitMove, ValueMove
from sim.describe.parts.dampers.law import DamperLaw, MoveWord
from sim.describe.parts.dampers.laws import LAWS
from sim.describe.parts.vehicle import Vehicle
from sim.describe.quantity import SI, Quantity
from sim.describe.rate_given_otherwise import given_otherwise
from sim.describe.replaced import value_at, with_values
from sim.describe.shown import SHOWN, show
from sim.describe.wrong import first_in_words
from sim.errors import InputError, Problem
from sim.study.tuning.followers import followed, followers

SPLIT_SPEED = 0.1
"""Speed [m/s] at which a split is given: 4 in/s, on the low-speed side of usual knees."""

# A field has its SI unit; people read by what is measured, which picks the unit they use.
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
        As `sim.describe.shown.show` knows it.
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
        # Rounded here, not in the search, whose places stay real numbers.
        value = self.low + share * (self.high - self.low)
        return float(round(value)) if self.whole else value

    def share(self, value: float) -> float:
        """Return the share of the way at which a value is, kept within the ends."""
        return min(max((value - self.low) / (self.high - self.low), 0.0), 1.0)

    def words(self, value: float) -> str:
        """Return a value in words."""
        return show(value, self.quantity)


def moving(name: str, move: Move, start: Vehicle) -> Moving:
    """Return a move made ready for a set-up.

    Raises
    ------
    InputError
        If its path leads nowhere, its ends are not allowed there or are crossed.
    """
    there = [value_at(start, path) for path in move.paths]
    otherwise = [problem for path in move.paths if (problem := given_otherwise(start, path))]
    if otherwise:
        raise InputError(otherwise)
    for path in move.paths:
        _writable(start, path, move)
    # Ends of a value are written with units, so they are compared further down, in SI.
    if not isinstance(move, ValueMove) and move.low >= move.high:
        raise _crossed(move)
    if isinstance(move, SplitMove):
        for path, law in zip(move.paths, there, strict=True):
            if not isinstance(law, DamperLaw):
                raise InputError(
                    Problem(
                        f"{path}: a split needs a valving with a compression and a rebound side", given=path,
                        allowed=f"valvings of kind {_splitting()}", suggestion="e.g. front.dampers.main.valving",
                    )
                )  # fmt: skip
        # Laws that move together have one number: where the first of them is.
        return Moving(name, move, move.low, move.high, _split(there[0]), False, "number")
    if isinstance(move, ScaleMove):
        for path, part in zip(move.paths, there, strict=True):
            if not isinstance(part, DamperLaw | float):
                raise InputError(
                    Problem(
                        f"{path}: only a valving or a number with a unit can be scaled", given=path,
                        suggestion="kind: value with low and high, if it is a whole number",
                    )
                )  # fmt: skip
        return Moving(name, move, move.low, move.high, 1.0, False, "number")
    low, high = (_value(start, move.paths[0], end, given) for end, given in (("low", move.low), ("high", move.high)))
    if not low < high:
        raise _crossed(move)
    now = there[0]
    # True and False are ints to Python.
    if now is None or isinstance(now, bool) or not isinstance(now, int | float):
        raise InputError(f"{move.paths[0]}: this is not a number of the starting set-up, so it cannot be moved")
    # Both ends are put in now, so that no search learns after an hour that one of them is refused.
    for value in (low, high):
        changes = dict.fromkeys(move.paths, value)
        with_together(start, changes | followers(start, changes, move.paths))
    # The field says whether it counts: it reads a count as int and anything else as float.
    whole = isinstance(low, int)
    return Moving(
        name, move, float(low), float(high), float(now), whole, "count" if whole else _quantity(start, move.paths[0])
    )


def _crossed(move: Move) -> InputError:
    return InputError(
        Problem(
            "low must be less than high", given=f"low {move.low}, high {move.high}",
            suggestion="swap them, or leave the move out if it shall not move",
        )
    )  # fmt: skip


def _writable(start: Vehicle, path: str, move: Move) -> None:
    """Refuse to move what could not be written down again."""
    whole = law_above(path)
    law = value_at(start, whole) if whole is not None else None
    if not isinstance(law, DamperLaw):
        return
    word: MoveWord = "split" if isinstance(move, SplitMove) else "scale" if isinstance(move, ScaleMove) else "value"
    # A number inside a law that is scaled is a value that moves.
    if (word if path == whole else "value") not in law.moves:
        why, instead = law.moved_instead
        raise InputError(Problem(f"{whole}: {why}", given=path, suggestion=instead.format(law=whole)))


def _splitting() -> str:
    """Return the kinds of law that a split may move, in words."""
    # Read off the laws, so that a new one with two sides is named by itself.
    kinds = sorted(law.model_fields["kind"].annotation.__args__[0] for law in LAWS if "split" in law.moves)  # type: ignore[union-attr]
    return f"{', '.join(kinds[:-1])} or {kinds[-1]}" if len(kinds) > 1 else "".join(kinds)


def _field(start: Vehicle, path: str) -> tuple[Any, Any]:
    parent, _, last = path.rpartition(".")
    part = value_at(start, parent) if parent else start
    if not isinstance(part, BaseModel) or last not in type(part).model_fields:
        raise InputError(f"{path}: a value can move only where one is written")
    field = type(part).model_fields[last]
    # pydantic keeps a field's type and its limits apart; reading one value needs both.
    return field, Annotated[field.annotation, *field.metadata] if field.metadata else field.annotation


def _value(start: Vehicle, path: str, end: str, given: object) -> Any:
    _, kind = _field(start, path)
    adapter: TypeAdapter[Any] = TypeAdapter(kind)
    try:
        value = adapter.validate_python(given)
    except ValidationError as error:
        raise InputError(Problem(first_in_words(error, given), where=end, given=str(given))) from None
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InputError(f"'{given}' is not a number that can be moved through")
    return value


def _quantity(start: Vehicle, path: str) -> str:
    unit = unit_of(_field(start, path)[0])
    return OF_UNIT.get(unit, "number")


def unit_of(field: Any) -> str:
    """Return the SI unit of a model's field, empty if it has none."""
    # The unit stands on the field, or inside the type of one that may be left out.
    marks = [mark for mark in field.metadata if isinstance(mark, Quantity)]
    marks += [mark for part in getattr(field.annotation, "__args__", ()) for mark in getattr(part, "__metadata__", ())
              if isinstance(mark, Quantity)]  # fmt: skip
    return marks[0].si if marks else ""


def moved(vehicle: Vehicle, moves: Sequence[Moving], values: Sequence[float]) -> Vehicle:
    """Return a set-up with every move at its value, in their order, and with what follows from it.

    Numbers that move one after the other are put in together, so that a rod may grow with its bore, and so are laws that are
    made anew: every putting in checks the whole set-up.

    Raises
    ------
    InputError
        If they do not go together.
    """
    every = [path for one in moves for path in one.move.paths]

    def put(setup: Vehicle, laws: dict[str, Any], numbers: dict[str, Any]) -> Vehicle:
        return _put(with_values(setup, laws), numbers, every)

    return moved_by(put, vehicle, moves, values)


Whole = TypeVar("Whole")


def moved_by(
    put: Callable[[Whole, dict[str, Any], dict[str, Any]], Whole], whole: Whole, moves: Sequence[Moving], values: Sequence[float]
) -> Whole:  # fmt: skip
    """Return a set-up, or parts of one by name, with every move at its value, where `put` puts in laws and numbers by their paths."""
    numbers: dict[str, Any] = {}
    laws: dict[str, Any] = {}
    for one, value in zip(moves, values, strict=True):
        paths = one.move.paths
        # A move inside what an earlier one changes must see it there, so what has gathered is put in first.
        if any(_within(a, b) for a in paths for b in numbers) or any(
            _within(a, b) and a != b for a in paths for b in laws
        ):
            whole, numbers, laws = put(whole, laws, numbers), {}, {}
        changes = _numbers(whole, one, value)
        if changes is None:
            laws |= _laws(whole, laws, one, value)
        else:
            numbers |= changes
    return put(whole, laws, numbers)


def with_together(vehicle: Vehicle, values: Mapping[str, Any]) -> Vehicle:
    """Return a set-up with SI numbers at dotted paths, all put in before anything is checked again.

    Raises
    ------
    InputError
        If a path leads nowhere, or values are not allowed there.
    """
    # A tree, so that each part is checked once with all its new values: a rod may fit the new bore alone.
    tree: dict[str, Any] = {}
    for path, value in values.items():
        *places, last = path.split(".")
        inside = tree
        for place in places:
            inside = inside.setdefault(place, {})
        inside[last] = _Leaf(value)
    setup: Vehicle = _with_tree(vehicle, tree, "")
    # A new object knows nothing of the truck as measured, from which its springs are worked out.
    setup._reference = vehicle.reference
    return setup


@dataclass(frozen=True)
class _Leaf:
    value: Any


def _with_tree(part: Any, tree: Any, path: str) -> Any:
    if isinstance(tree, _Leaf):
        return tree.value
    inner = {place: f"{path}.{place}".lstrip(".") for place in tree}
    if isinstance(part, Mapping) and tree.keys() <= part.keys():
        return {**part, **{place: _with_tree(part[place], below, inner[place]) for place, below in tree.items()}}
    if isinstance(part, tuple) and all(place.isdigit() and int(place) < len(part) for place in tree):
        return tuple(
            _with_tree(one, tree[str(n)], inner[str(n)]) if str(n) in tree else one for n, one in enumerate(part)
        )
    if not isinstance(part, BaseModel) or not tree.keys() <= type(part).model_fields.keys():
        # Called for its error, which lists what there is.
        value_at(part, next(iter(tree)))
        raise InputError(f"{path}: nothing can move there")
    # Only what the person gave: a default put in would count as given from then on.
    own = {name: getattr(part, name) for name in part.model_fields_set | tree.keys()}
    own |= {place: _with_tree(own[place], below, inner[place]) for place, below in tree.items()}
    try:
        return type(part).model_validate(own, context=SI)
    except ValidationError as error:
        given = ", ".join(_given(part, place, below.value) for place, below in tree.items() if isinstance(below, _Leaf))
        raise InputError(
            Problem(
                f"{path}: {first_in_words(error)}", given=given,
                suggestion="an end that goes together with all else in the starting set-up",
            )
        ) from None  # fmt: skip


def _given(part: BaseModel, place: str, value: Any) -> str:
    quantity = OF_UNIT.get(unit_of(type(part).model_fields[place]))
    return f"{place} {show(value, quantity) if quantity else value}"


def _within(one: str, other: str) -> bool:
    return f"{one}.".startswith(f"{other}.") or f"{other}.".startswith(f"{one}.")


def _put(vehicle: Vehicle, changes: dict[str, Any], every: Sequence[str]) -> Vehicle:
    return with_together(vehicle, changes | followers(vehicle, changes, every)) if changes else vehicle


def _numbers(whole: Any, one: Moving, value: float) -> dict[str, Any] | None:
    """Return the numbers that a move puts in by path, None if it makes a law anew."""
    move = one.move
    if isinstance(move, ValueMove):
        return dict.fromkeys(move.paths, int(value) if one.whole else value)
    if isinstance(move, ScaleMove):
        parts = {path: value_at(whole, path) for path in move.paths}
        # With a law among them all go in as laws do, since what is scaled together is put in together.
        if not any(isinstance(part, DamperLaw) for part in parts.values()):
            return {path: part * value for path, part in parts.items()}
    return None


def _laws(whole: Any, laws: dict[str, Any], one: Moving, value: float) -> dict[str, Any]:
    """Return laws made anew by a move, out of those that are to be put in, or else are there."""
    parts = {path: laws[path] if path in laws else value_at(whole, path) for path in one.move.paths}
    if isinstance(one.move, ScaleMove):
        return {p: part.scaled(value) if isinstance(part, DamperLaw) else part * value for p, part in parts.items()}
    return {path: with_split(part, value) for path, part in parts.items()}


def _split(law: Any) -> float:
    # A law without bump has a large split, not none.
    return abs(float(law.force(-SPLIT_SPEED))) / max(abs(float(law.force(SPLIT_SPEED))), 1e-9)


def with_split(law: DamperLaw, ratio: float) -> DamperLaw:
    """Return a law whose rebound is `ratio` times its bump at SPLIT_SPEED, with the sum of both as it was."""
    bump, rebound = (abs(float(law.force(sense * SPLIT_SPEED))) for sense in (1.0, -1.0))
    whole = bump + rebound
    return law.sided(whole / (1.0 + ratio) / max(bump, 1e-9), whole * ratio / (1.0 + ratio) / max(rebound, 1e-9))


def changes_of(start: Vehicle, made: Vehicle, moves: Sequence[Moving], digits: int = 4) -> dict[str, Any]:
    """Return what turns the starting set-up into the moved one, as a person would write it: laws whole, values rounded."""
    written: dict[str, Any] = {}
    every = [path for one in moves for path in one.move.paths]
    for paths in (*(one.move.paths for one in moves), followed(start, every)):
        for path in paths:
            whole = law_above(path)
            if whole is not None:
                written[whole] = as_written(value_at(made, whole), digits)
            else:
                parent, _, last = path.rpartition(".")
                part = value_at(made, parent)
                written[path] = _text(type(part).model_fields[last], getattr(part, last), digits)
    return written


def law_above(path: str) -> str | None:
    """Return the path of the damper's law that a path leads to or into, None if it leads elsewhere."""
    places = path.split(".")
    return ".".join(places[: places.index("valving") + 1]) if "valving" in places else None


def as_written(part: Any, digits: int = 4) -> Any:
    """Return a described part as it would be written in a file."""
    if isinstance(part, BaseModel):
        fields = type(part).model_fields
        return {
            name: _text(field, getattr(part, name), digits)
            for name, field in fields.items()
            # Defaults stay unwritten, as in the person's own file.
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
    # Lengths of a damper read best in millimetres. Rounded, then written again: 4 digits alone read 1.234e+04.
    if unit == "m":
        return f"{float(f'{value * 1e3:.{digits}g}'):g} mm"
    if unit:
        return f"{float(f'{value:.{digits}g}'):g} {unit.replace('*', ' ')}"
    return value if isinstance(value, int) else float(f"{value:.{digits}g}")


# A quantity that `show` does not know would fail only when an answer is printed.
assert set(OF_UNIT.values()) <= set(SHOWN)
