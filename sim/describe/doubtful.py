"""Every number of a described part that is written with what is known of it, by its path; and every one that nobody gave."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from math import inf
from typing import Annotated, Any, NamedTuple, get_args, get_origin

from pydantic import BaseModel

from sim.describe.description import limits_of
from sim.describe.doubt import Doubt, Estimated

Place = tuple[str | int, ...]

ENDS = (("gt", "least", True), ("ge", "least", False), ("lt", "most", True), ("le", "most", False))
"""Limits of a key by their name in its type: which end they are, and whether the limit itself is left out."""


@dataclass(frozen=True)
class Doubtful:
    """One number with what is known of it.

    Attributes
    ----------
    place : tuple
        Where it stands, from the top of its file.
    value : float
        Central value [SI].
    doubt : Doubt
    least, most : float
        Range that its key allows [SI].
    open_least, open_most : bool
        Whether an end of that range is itself left out.
    allowed : str
        That range in words; empty if the key has none.
    """

    place: Place
    value: float
    doubt: Doubt
    least: float = -inf
    most: float = inf
    open_least: bool = False
    open_most: bool = False
    allowed: str = ""

    @property
    def path(self) -> str:
        """Its dotted path, as a set-up writes it."""
        return ".".join(map(str, self.place))

    @property
    def outside(self) -> str:
        """Which end of what is known lies outside of what its key allows, in words; empty if none does."""
        low, high = self.doubt.low, self.doubt.high
        if low < self.least or (self.open_least and low <= self.least):
            return "reaches below"
        if high > self.most or (self.open_most and high >= self.most):
            return "reaches above"
        return ""


PLAIN = frozenset((float, int, bool, str, type(None)))
"""Of values of these there is nothing to look into, and most are."""


def any_in_doubt(vehicles: Iterable[Any], run: Any = None) -> bool:
    """Tell whether a number of any vehicle, of the truck as measured behind it or of a run is in doubt, without drawing any.

    Parameters
    ----------
    vehicles : iterable of Vehicle
    run : Description, optional
        What they are driven through.
    """
    # By identity: set-ups share a reference, which need not be looked through for each.
    parts = {id(one): one for vehicle in vehicles for one in (vehicle, vehicle.reference)}.values()
    return any(True for part in (*parts, run) for _ in doubtful(part))


def doubtful(part: Any, place: Place = ()) -> Iterator[Doubtful]:
    """Yield every number of a part and of all that it holds which is written with what is known of it, in the file's order."""
    if isinstance(part, BaseModel):
        for name in type(part).model_fields:
            value = getattr(part, name)
            if isinstance(value, Estimated):
                yield Doubtful((*place, name), float(value), value.doubt, **_range(type(part), name))
            elif type(value) not in PLAIN:
                yield from doubtful(value, (*place, name))
    elif isinstance(part, Mapping):
        for key, value in part.items():
            yield from doubtful(value, (*place, key))
    elif isinstance(part, tuple | list):
        for number, value in enumerate(part):
            yield from doubtful(value, (*place, number))
    elif isinstance(part, Estimated):
        yield Doubtful(place, float(part), part.doubt)


@cache
def _range(model: type[BaseModel], name: str) -> dict[str, Any]:
    """Return what a key allows, as arguments of `Doubtful`."""
    field = model.model_fields[name]
    parts = list(field.metadata)
    for inner in (field.annotation, *get_args(field.annotation)):
        parts += get_args(inner)[1:] if get_origin(inner) is Annotated else []
    allowed: dict[str, Any] = {}
    for part in parts:
        for word, end, left_out in ENDS:
            limit = getattr(part, word, None)
            if limit is not None:
                allowed[end] = float(limit)
                allowed[f"open_{end}"] = left_out
    return {**allowed, "allowed": limits_of(field)}


class Ordered(NamedTuple):
    """Two numbers of a part, by their dotted paths, the first of which must not be more than the second; and what they are [SI]."""

    lesser: str
    greater: str
    values: tuple[float, float]


def ordered(part: Any, place: Place = ()) -> Iterator[Ordered]:
    """Yield every pair of numbers of a part and of all that it holds that have an order (`Description.ORDERED`)."""
    if isinstance(part, BaseModel):
        for keys in getattr(type(part), "ORDERED", ()):
            values = [_inside(part, key) for key in keys]
            if all(isinstance(value, int | float) for value in values):
                first, second = (".".join(map(str, (*place, key))) for key in keys)
                yield Ordered(first, second, (float(values[0]), float(values[1])))
        for name in type(part).model_fields:
            yield from ordered(getattr(part, name), (*place, name))
    elif isinstance(part, Mapping):
        for key, value in part.items():
            yield from ordered(value, (*place, key))
    elif isinstance(part, tuple | list):
        for number, value in enumerate(part):
            yield from ordered(value, (*place, number))


def _inside(part: Any, key: str) -> Any:
    for step in key.split("."):
        part = getattr(part, step, None)
    return part


@dataclass(frozen=True)
class Assumed:
    """A number that nobody gave, and that is taken as nothing.

    Attributes
    ----------
    path : str
        Where it would stand.
    words : str
        What that means, in words.
    """

    path: str
    words: str


ASSUMED_NOTHING: dict[str, str] = {
    "friction": "leaf friction",
    "gas_force": "gas force of the dampers",
    "seal_friction": "seal friction of the dampers",
    "tube_mass": "mass of the dampers' tubes",
    "rod_mass": "mass of the dampers' rods",
    "damping": "damping",
    "contact_length": "length of the tyre's contact patch",
}
"""Keys that stand for something every truck has, and that are nothing where nobody gives them."""

WHOSE = {"tyre": "tyre damping", "wind_up": "damping against wind-up", "wind_up_link": "damping of the link's bushes",
         "fore_and_aft": "damping along the truck", "shafts": "damping of the shafts"}  # fmt: skip
"""Whose damping it is, by the part that it is a key of."""


def assumed(part: Any, place: Place = ()) -> Iterator[Assumed]:
    """Yield every number of a vehicle that nobody gave, and that is therefore taken as nothing though every truck has some."""
    if isinstance(part, BaseModel):
        brought: frozenset[str] = getattr(part, "brought", frozenset())
        for name, field in type(part).model_fields.items():
            if name in ASSUMED_NOTHING and name not in part.model_fields_set and field.default == 0.0:
                if name not in brought:
                    words = (
                        WHOSE.get(str(place[-1]), ASSUMED_NOTHING[name]) if name == "damping" else ASSUMED_NOTHING[name]
                    )
                    yield Assumed(".".join(map(str, (*place, name))), words)
                continue
            yield from assumed(getattr(part, name), (*place, name))
    elif isinstance(part, Mapping):
        for key, value in part.items():
            yield from assumed(value, (*place, key))


def estimates_of(setups: Iterable[Any]) -> tuple[Any, ...]:
    """Return the estimates of set-ups and of the trucks that they come from, each path and value once."""
    vehicles = [one for vehicle in setups for one in (vehicle.reference, vehicle)]
    found = {(one.path, one.written): one for vehicle in vehicles for one in vehicle.estimates}
    return tuple(found.values())
