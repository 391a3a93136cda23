"""Numbers that move, put into a described set-up again and again: each is checked by its own key's rule, and no part is read anew.

`sim.describe.replaced.with_values` reads every part on the way again. Of thousands of set-ups that differ in the same few numbers that
takes longer than all else that is done for them, and says nothing new: only the numbers' own limits and what a part says of its
numbers together can refuse one. A whole law of a damper is put in as a number is: it was checked when it was made.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache, partial
from inspect import signature
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, TypeAdapter

from sim.describe.parts.axle import Axle
from sim.describe.parts.dampers.law import DamperLaw
from sim.describe.parts.vehicle import Vehicle
from sim.describe.quantity import SI
from sim.describe.replaced import with_values
from sim.describe.valved import Valved

Value = float | DamperLaw
"""What is put in at a path."""

KNOWN = 1024
"""So many parts of the same numbers are kept to be taken again."""


class Direct:
    """Puts numbers at the same dotted paths of one set-up, as `with_values` does, and refuses what that refuses.

    Where a path leads to more than a number of a part or a damper's law (a list, a word, another kind of part), or a part reads its keys
    in a way of its own, or a number is refused, it is `with_values` itself that answers.

    Parameters
    ----------
    vehicle : Vehicle
    paths : sequence of str
    """

    def __init__(self, vehicle: Vehicle, paths: Sequence[str]) -> None:
        self.vehicle, self.paths = vehicle, tuple(paths)
        try:
            self._root: _Part | None = _part(vehicle, [(path.split("."), n) for n, path in enumerate(self.paths)])
        except _NotDirectError:
            self._root = None
        self._sets = None if self._root is None else _sets(self._root)
        self._is_tried = False

    def at(self, numbers: Sequence[Value]) -> Vehicle:
        """Return the set-up with SI numbers or laws, one a path; parts off the paths are the same objects.

        Raises
        ------
        InputError
            If a path leads nowhere, or a number is not allowed there.
        """
        if not self.paths:
            return self.vehicle
        made = self._made(numbers)
        if made is None or not self._is_tried:
            read = with_values(self.vehicle, dict(zip(self.paths, numbers, strict=True)))
            # The first one is made in both ways: should they differ, a part does more when it is read than is known here.
            if made is not None and made != read:
                self._root = None
            self._is_tried = self._is_tried or made is not None
            return read
        return made

    def valved(self, numbers: Sequence[Value]) -> "Valved | Vehicle":
        """Return the same, not put together where all numbers are of dampers' laws.

        Raises
        ------
        InputError
            As `at` does.
        """
        # The first one is put together and compared; and one that is refused must be, for its words.
        if self._root is None or self._sets is None or not self._is_tried or not _are_numbers(numbers):
            return self.at(numbers)
        try:
            made = {place: part.made(numbers) for place, part in self._sets.items()}
        except ValueError:
            return self.at(numbers)
        for (axle, name), one in made.items():
            if one.push != getattr(self.vehicle, axle).dampers[name].push:  # then it also stands elsewhere
                return self.at(numbers)
        return Valved(self.vehicle, made, partial(self.at, numbers))

    def _made(self, numbers: Sequence[Value]) -> Vehicle | None:
        if self._root is None or not _are_numbers(numbers):
            return None
        try:
            made: Vehicle = self._root.made(numbers)
        except ValueError:  # refused, in words that `with_values` has
            return None
        made._reference = self.vehicle.reference  # still a set-up of the same measured truck
        return made


def _are_numbers(numbers: Sequence[Value]) -> bool:
    """Tell whether all are numbers or laws, and none a word of Python's that passes for one."""
    return all(type(number) in (float, int) or isinstance(number, DamperLaw) for number in numbers)


class _NotDirectError(Exception):
    """A path, or a part on it, that only `with_values` can follow."""


@dataclass
class _Part:
    """A part on the way to numbers that move: what stays of it, and what is put in.

    Attributes
    ----------
    kind : type of BaseModel, or None
        None: parts by name.
    stays : dict of str to object
    written : set of str
        Keys that are written: what a key that is not means may depend on it.
    numbers : list of (str, callable, int)
        Key, its rule, and which of the numbers it is; laws are among them.
    below : list of (str, _Part)
    checks : tuple of callable
        What the part says of its numbers together.
    """

    kind: type[BaseModel] | None
    stays: dict[str, Any]
    written: set[str] = field(default_factory=set)
    numbers: list[tuple[str, Callable[..., Any], int]] = field(default_factory=list)
    below: list[tuple[str, "_Part"]] = field(default_factory=list)
    checks: tuple[Callable[[Any], Any], ...] = ()

    _known: dict[tuple[Value, ...], Any] = field(default_factory=dict)

    def made(self, numbers: Sequence[Value]) -> Any:
        """Return the part with numbers in their places.

        Raises
        ------
        ValueError
            If one is refused.
        """
        # A part with a memory of its own is one for each who asks; and 2 is not 2.0 to every rule.
        if self.below or self.kind is None or self.kind.__private_attributes__:
            return self._put(numbers)
        own = tuple([numbers[number] for _, _, number in self.numbers])
        if any(type(number) is not float for number in own):
            return self._put(numbers)
        # In a map of two inputs each value comes again and again, mostly in a part that the other one does not reach.
        if own not in self._known:
            if len(self._known) >= KNOWN:
                self._known.clear()
            self._known[own] = self._put(numbers)
        return self._known[own]

    def _put(self, numbers: Sequence[Value]) -> Any:
        own = self.stays.copy()
        for key, rule, number in self.numbers:
            own[key] = rule(numbers[number], context=SI)
        for key, part in self.below:
            own[key] = part.made(numbers)
        if self.kind is None:
            return own
        # As pydantic itself makes one of values that are checked (`BaseModel.model_construct`).
        made = self.kind.__new__(self.kind)
        object.__setattr__(made, "__dict__", own)
        object.__setattr__(made, "__pydantic_fields_set__", self.written.copy())
        object.__setattr__(made, "__pydantic_extra__", None)
        object.__setattr__(made, "__pydantic_private__", None)
        if self.kind.__private_attributes__:
            made.model_post_init(None)
        for check in self.checks:
            made = check(made)
        return made


def _part(part: Any, ways: Sequence[tuple[Sequence[str], int]]) -> _Part:
    """Return how numbers are put into a part, `ways` leading to each.

    Raises
    ------
    _NotDirectError
        If that is more than to put in numbers.
    """
    if isinstance(part, BaseModel):
        kind = type(part)
        values = part.__dict__
        made = _Part(kind, {}, set(part.model_fields_set), checks=_checks(kind))
    elif isinstance(part, Mapping):
        kind, values = None, dict(part)
        made = _Part(None, dict(part))
    else:
        raise _NotDirectError
    below: dict[str, list[tuple[Sequence[str], int]]] = {}
    for (key, *rest), number in ways:
        if key not in values:
            raise _NotDirectError
        if rest:
            below.setdefault(key, []).append((rest, number))
        elif kind is None or isinstance(values[key], bool) or not isinstance(values[key], int | float | DamperLaw):
            raise _NotDirectError
        else:
            made.numbers.append((key, _rule(kind, key), number))
    made.below = [(key, _part(values[key], inside)) for key, inside in below.items()]
    made.written |= {key for key, _, _ in made.numbers} | set(below) if kind else set()
    if kind is not None:
        # A key that is not written is at its default again, from which a check may work it out anew.
        made.stays = {
            key: values[key] if key in made.written else _default(one) for key, one in kind.model_fields.items()
        }
    return made


def _sets(root: _Part) -> dict[tuple[str, str], _Part] | None:
    """Return the sets of dampers, by axle and name, if numbers are put into their laws and nowhere else; else None."""
    found: dict[tuple[str, str], _Part] = {}
    for axle, part in root.below:
        if part.kind is not Axle or [key for key, _ in part.below] != ["dampers"] or part.numbers or _looks_down(part):
            return None
        for name, one in part.below[0][1].below:
            if [key for key, *_ in (*one.numbers, *one.below)] != ["valving"]:
                return None
            found[axle, name] = one
    return None if root.numbers or _looks_down(root) or not found else found


def _looks_down(part: _Part) -> bool:
    """Tell whether a part has a check that is not known to look at its own keys alone."""
    own: Any = part.kind
    return any(check.__name__ not in own.LOOKS_AT_NO_PART for check in part.checks)


def _default(one: Any) -> Any:
    if one.validate_default:
        raise _NotDirectError
    return one.get_default(call_default_factory=True)


@cache
def _rule(kind: type[BaseModel], key: str) -> Callable[..., Any]:
    """Return what a key's number goes through: the very rule that reading has for it.

    Raises
    ------
    _NotDirectError
        If its class has a check for that key of its own.
    """
    own = kind.__pydantic_decorators__
    if any(key in one.info.fields or "*" in one.info.fields for one in own.field_validators.values()):
        raise _NotDirectError
    found = kind.model_fields[key]
    meant: Any = Annotated[(found.annotation, *found.metadata)] if found.metadata else found.annotation
    rule: Callable[..., Any] = TypeAdapter(meant, config=ConfigDict(allow_inf_nan=False)).validate_python
    return rule


@cache
def _checks(kind: type[BaseModel]) -> tuple[Callable[[Any], Any], ...]:
    """Return what a class says of its numbers together, once they are in.

    Raises
    ------
    _NotDirectError
        If it reads what is written in a way of its own.
    """
    own = kind.__pydantic_decorators__
    if own.validators or own.root_validators or kind.model_config.get("extra") == "allow":
        raise _NotDirectError
    checks = []
    for name, one in own.model_validators.items():
        if name == "_no_number":  # of true and false, which are no numbers here
            continue
        if one.info.mode != "after" or len(signature(one.func).parameters) != 1:
            raise _NotDirectError
        checks.append(one.func)
    return tuple(checks)
