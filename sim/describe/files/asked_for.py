"""What a key of a vehicle wants: its kind, how it is written, what it usually is; for whoever asks a person for it."""

from dataclasses import dataclass
from typing import Annotated, Any, Literal, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from sim.describe.files.examples import examples
from sim.describe.files.messages import models_of
from sim.describe.parts.vehicle import Vehicle
from sim.describe.quantity import Quantity
from sim.describe.usual import USUAL_RANGES, Usual

Place = tuple[str, ...]


@dataclass(frozen=True)
class Wanted:
    """What a key wants.

    Attributes
    ----------
    kind : str
        "quantity"; "word", one of `words`; "other", a text or a number without a unit; or "part", which has keys of its own.
    description : str
        What the key's model says of it; may be empty.
    examples : tuple of str
        How it is written.
    words : tuple of str
        The words that it may be.
    usual : Usual or None
        Range that it mostly lies in.
    quantity : str
        SI unit of a quantity, else empty.
    taken : str
        What is taken where nothing is written, if that is a count or a word.
    whole : bool
        Only whole numbers are one.
    """

    kind: str
    description: str = ""
    examples: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    usual: Usual | None = None
    quantity: str = ""
    taken: str = ""
    whole: bool = False


def wanted(place: Place, data: Any, model: Any = Vehicle) -> Wanted | None:
    """Return what the key at a place of a vehicle's mapping wants; None if the models know none there.

    Parameters
    ----------
    place : tuple of str
        Step by step.
    data : mapping
        The vehicle as far as it is written: its kinds of springs, guides and curves decide what keys there are.
    model : type
        What is described.
    """
    models: list[Any] = [model]
    owner = above = ""
    field: FieldInfo | None = None
    for step in place:
        inner: list[Any] = []
        inside = data.get(step) if isinstance(data, dict) else None
        for one in models:
            if isinstance(one, type) and issubclass(one, BaseModel) and step in one.model_fields:
                field, above, owner = one.model_fields[step], owner, f"{one.__name__}.{step}"
                inner += models_of(field.annotation, inside)
            elif get_origin(one) is dict:
                field = None
                inner += models_of(get_args(one)[1], inside)
        if not inner:
            return None
        models, data = inner, inside
    if field is None or any(isinstance(one, type) and issubclass(one, BaseModel) for one in models):
        return Wanted("part", (field.description or "") if field else "")
    return _of(field, owner, f"{above}.{place[-1]}")


def _of(field: FieldInfo, key: str, around: str) -> Wanted:
    parts, words = list(field.metadata), list(_words(field.annotation))
    for inner in (field.annotation, *get_args(field.annotation)):
        parts += get_args(inner)[1:] if get_origin(inner) is Annotated else []
    quantity = next((part for part in parts if isinstance(part, Quantity)), None)
    kind = "quantity" if quantity else "word" if words else "other"
    # A point says nothing of what it is a point of: its range is that of the part around it.
    usual = USUAL_RANGES.get(around, USUAL_RANGES.get(key))
    return Wanted(
        kind, field.description or "", examples(key, quantity) if quantity else (), tuple(words), usual,
        quantity.si if quantity else "", str(field.default) if isinstance(field.default, int | str) and not quantity else "",
        int in (field.annotation, *get_args(field.annotation)),
    )  # fmt: skip


def _words(annotation: Any) -> tuple[str, ...]:
    if get_origin(annotation) is Literal:
        return tuple(str(word) for word in get_args(annotation))
    return tuple(word for inner in get_args(annotation) for word in _words(inner))
