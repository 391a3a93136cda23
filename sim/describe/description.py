"""Base of everything that people write: frozen, strict about names, and able to say what each key means."""

import ast
import inspect
from collections.abc import Mapping
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Annotated, Any, ClassVar, get_args, get_origin

from pydantic import BaseModel, ConfigDict, GetJsonSchemaHandler, ValidationError, model_validator
from pydantic_core import CoreSchema, InitErrorDetails, PydanticCustomError

from sim.describe.quantity import MOST


class Description(BaseModel):
    """A part, road or run as written in a file; values are SI floats after validation."""

    # Frozen, since set-ups share parts; extra keys are errors, else a misspelt one would silently mean its default.
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, arbitrary_types_allowed=False)

    ORDERED: ClassVar[tuple[tuple[str, str], ...]] = ()
    """Keys of which the first must not be more than the second; its own rule refuses a file that has them crossed."""

    LOOKS_AT_NO_PART: ClassVar[frozenset[str]] = frozenset()
    """Names of its checks that look at its own keys and into none of its parts: a number that moves inside one need not ask them."""

    def __eq__(self, other: object) -> bool:
        """Return whether both are written alike; what is worked out of them once and kept beside, arrays mostly, is no part of that."""
        if not isinstance(other, Description) or type(self) is not type(other):
            return NotImplemented
        # The base would compare all that is kept first, and arrays know no yes or no.
        return self.__pydantic_private__ == other.__pydantic_private__ and all(
            self.__dict__.get(name) == other.__dict__.get(name) for name in type(self).__pydantic_fields__
        )

    @model_validator(mode="before")
    @classmethod
    def _no_number(cls, data: Any) -> Any:
        """Refuse `true` and `false` as numbers, as which Python would take them: 1 and 0."""
        wrong: list[InitErrorDetails] = []
        for key, value in data.items() if isinstance(data, Mapping) else ():
            if not isinstance(value, bool):
                continue
            field = cls.model_fields.get(key) if isinstance(key, str) else None
            # A quantity's own rule says how it is written.
            if field is None or any(hasattr(part, "si") for part in field.metadata):
                continue
            if not _takes_bool(field.annotation):
                text = f"{str(value).lower()} is no number: write one, such as 2"
                wrong.append(InitErrorDetails(type=PydanticCustomError("no_number", text), loc=(key,), input=value))
        if wrong:
            raise ValidationError.from_exception_data(cls.__name__, wrong)
        return data

    @classmethod
    def __get_pydantic_json_schema__(cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        """Put the meaning of each key into the JSON schema."""
        schema = handler(core_schema)
        # the schema itself may be but a reference to it
        properties = handler.resolve_ref_schema(schema).get("properties", {})
        for name, meaning in meanings(cls).items():
            if name in properties:
                properties[name].setdefault("description", meaning)
        for name, field in cls.model_fields.items():
            limits = limits_of(field, whole=True)
            if limits and name in properties:
                # In words: a quantity is a text with its unit, of which JSON schema's `minimum` says nothing.
                said = properties[name].get("description", "").rstrip(".")
                properties[name]["description"] = f"{said}. Allowed: {limits}.".lstrip(". ")
        return schema


def _takes_bool(kind: Any) -> bool:
    """Return whether a key may be `true`, or is read by a rule of its own, which says what is wrong."""
    if kind not in (int, float):
        inner = get_args(kind)
        return any(map(_takes_bool, inner)) if get_origin(kind) is not Annotated and inner else kind is not type(None)
    return False


WORDS = (("gt", "more than"), ("ge", "at least"), ("lt", "less than"), ("le", "at most"))
"""How limits of a number are said."""


def limits_of(field: Any, whole: bool = False) -> str:
    """Return the limits of a key's number in words, in its SI unit; empty if it has none. `whole`: those of its quantity too."""
    parts = list(field.metadata)
    # An optional quantity has its limits one level down, inside the union with None.
    for inner in (field.annotation, *get_args(field.annotation)):
        parts += get_args(inner)[1:] if get_origin(inner) is Annotated else []
    limits = {word: getattr(part, word) for part in parts for word, _ in WORDS if getattr(part, word, None) is not None}
    unit = next((part.si for part in parts if hasattr(part, "si")), "")
    # Every quantity has a largest size; it is worth saying only where the key sets none of its own.
    if whole and unit and "le" not in limits:
        limits["le"] = MOST[unit]
    said = ", ".join(f"{said} {limits[word]:g}" for word, said in WORDS if word in limits)
    return f"{said} {unit}".strip() if said else ""


@cache
def meanings(model: type[BaseModel]) -> dict[str, str]:
    """Return what each key of a model means, by key: its field's description, else the text below it in the source.

    Sources are read only when somebody asks, since reading them takes longer than checking a file does.
    """
    texts: dict[str, str] = {}
    for owner in reversed(model.__mro__):  # from the base down, so that a narrower text of a subclass wins
        if issubclass(owner, Description) and owner is not Description:
            texts |= _below_fields(owner)
    own = {name: field.description for name, field in model.model_fields.items() if field.description}
    # class variables have texts too, but are no keys
    return {name: text for name, text in (texts | own).items() if name in model.model_fields}


def _below_fields(owner: type) -> dict[str, str]:
    """Return the strings that stand right below the fields of one class."""
    body = _class_bodies(inspect.getsourcefile(owner) or "").get(owner.__qualname__, [])
    texts = {}
    for field, below in pairwise(body):
        if (
            isinstance(field, ast.AnnAssign)
            and isinstance(field.target, ast.Name)
            and isinstance(below, ast.Expr)
            and isinstance(below.value, ast.Constant)
            and isinstance(below.value.value, str)
        ):
            texts[field.target.id] = inspect.cleandoc(below.value.value)
    return texts


@cache
def _class_bodies(path: str) -> dict[str, list[ast.stmt]]:
    """Return the statements of every class at the top of a source file, by name; none if the source is not there."""
    # A program packed without its sources still reads files; it only explains less.
    try:
        tree = ast.parse(Path(path).read_text(encoding="utf-8"))
    except OSError:
        return {}
    return {node.name: node.body for node in tree.body if isinstance(node, ast.ClassDef)}
