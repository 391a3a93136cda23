"""From pydantic's errors to problems that a person can act on."""

import difflib
import types
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError

from sim.describe.doubt import is_doubtful
from sim.describe.doubtful import doubtful
from sim.describe.files.reader import Document, Place
from sim.describe.shown import in_the_unit_of
from sim.errors import InputError, Problem

KNOWN = {
    "int_parsing": "a count", "int_type": "a count", "int_from_float": "a count", "float_parsing": "such a number",
    "float_type": "such a number", "literal_error": "a word of a list", "bool_parsing": "true or false", "bool_type": "true or false",
}  # fmt: skip
"""Kinds of error where something else than a physical number is wanted, by what that is."""


def problems_of(error: ValidationError, document: Document, model: Any, prefix: Place = ()) -> list[Problem]:
    """Return every error as a problem at its place in the file.

    Parameters
    ----------
    error : ValidationError
        From validating what stands at `prefix` in the document.
    model : type
        What was validated: a model or an annotated union.
    """
    problems = []
    for item in error.errors(include_url=False):
        # pydantic's location is not the place in the file; a key that is missing is in what is left over (`tail`).
        place, tail = _place(document.data, prefix, item["loc"])
        problems.append(_problem(dict(item), document, model, place, tail, len(prefix)))
    return problems


def doubts_in_range(part: Any, document: Document, prefix: Place = ()) -> None:
    """See that what is known of each number lies within what its key allows; `part` is what stands at `prefix` in the document.

    Raises
    ------
    InputError
        With every number whose doubt reaches outside.
    """
    problems = []
    for one in doubtful(part, prefix):
        if one.outside:
            mark = document.mark(one.place)
            ends = "each end of the range" if one.doubt.shape == "even" else "the value and how far off it may be"
            problems.append(
                Problem(
                    f"what is known of this number {one.outside} what it may be", mark.file, mark.line, mark.column, one.path,
                    one.doubt.written, one.allowed,
                    f"a smaller doubt ({ends} must fit), or a range that ends inside: '... to ...'",
                )
            )  # fmt: skip
    if problems:
        raise InputError(problems)


def _place(data: Any, prefix: Place, loc: tuple[str | int, ...]) -> tuple[Place, tuple[str | int, ...]]:
    """Return the part of an error's location that is in the file, and what is left of it.

    pydantic puts the chosen kind of a union into its locations; those words are not in the file.
    """
    inside: Any = data
    for step in prefix:
        inside = inside[step]
    return _followed(inside, prefix, loc)


def _followed(inside: Any, place: Place, loc: tuple[str | int, ...]) -> tuple[Place, tuple[str | int, ...]]:
    """Follow a location into data as far as it goes.

    A word may be the kind of what is here and one of its keys too: a run of the kind `course` has the key `course`. Then what
    leads further is meant, and the kind if neither does.
    """
    if not loc:
        return place, ()
    step, rest = loc[0], loc[1:]
    ways = []
    if isinstance(inside, dict) and inside.get("kind") == step:
        ways.append(_followed(inside, place, rest))
    if step in inside if isinstance(inside, dict) else isinstance(inside, list) and step in range(len(inside)):
        ways.append(_followed(inside[step], (*place, step), rest))
    # the way that leaves the least of the location over
    return min(ways, key=lambda way: len(way[1]), default=(place, loc))


def _problem(item: dict[str, Any], document: Document, model: Any, place: Place, tail: Place, skip: int) -> Problem:
    # pydantic's own words are for programmers; the kinds of error that people meet are worded here, the rest below.
    kind, context = item["type"], item.get("ctx", {})
    mark = document.mark(place)
    where = ".".join(map(str, place))
    given = allowed = suggestion = ""
    if kind == "missing":
        key = str(tail[-1]) if tail else ""
        message = f"the key '{key}' is missing"
        where = ".".join(map(str, (*place, *tail)))  # a missing key has no place of its own: say where it would stand
    elif kind == "extra_forbidden":
        # At the key itself, not at its value: the key is what is wrong.
        mark = document.key_marks.get(place, mark)
        known = sorted(_fields(model, document.data, place[skip:-1], skip and place[:skip]))
        message = f"the key '{place[-1]}' is not known here"
        allowed = ", ".join(known)
        suggestion = _near(str(place[-1]), known)
    elif kind in KNOWN and is_doubtful(str(item.get("input"))):
        message = f"{KNOWN[kind]} is known or not: what is written here cannot be in doubt"
        given = _raw(document.data, place)
        allowed = str(context.get("expected", "")).replace("'", "")
        suggestion = "write the value alone"
    elif kind in ("union_tag_invalid", "literal_error"):
        allowed = str(context.get("expected_tags") or context.get("expected", "")).replace("'", "")
        # A wrong kind stands in the context as its tag; a wrong word is only the input.
        wrong = str(context.get("tag", item.get("input")))
        message = f"'{wrong}' is not one of the choices"
        if kind == "union_tag_invalid":
            message = f"the kind '{wrong}' is not known"
            mark = document.mark((*place, "kind"))
        suggestion = _near(wrong, [word.strip() for word in allowed.replace(" or ", ", ").split(",")])
    elif kind == "union_tag_not_found":
        message = "the key 'kind' is missing: it says what this is"
    elif kind in ("greater_than", "greater_than_equal", "less_than", "less_than_equal"):
        # The limit in the unit that was written: nobody who wrote lb/in looks for a number in N/m.
        word, key = {
            "greater_than": ("must be more than", "gt"), "greater_than_equal": ("must not be less than", "ge"),
            "less_than": ("must be less than", "lt"), "less_than_equal": ("must not be more than", "le"),
        }[kind]  # fmt: skip
        given = _raw(document.data, place)
        message = f"{word} {in_the_unit_of(given, context[key])}"
    # Raised by validators of ours, whose words are for people already.
    elif kind == "value_error":
        message = str(context.get("error", item["msg"]))
    elif kind == "quantity":
        message = item["msg"]
        given = _raw(document.data, place)
    # A bare value where a part is wanted: people write `front: 220 kg`.
    elif kind in ("model_type", "dict_type", "model_attributes_type"):
        message = "here a list of 'key: value' lines is wanted"
        given = _raw(document.data, place)
    else:
        message = item["msg"][0].lower() + item["msg"][1:]
        given = _raw(document.data, place)
    return Problem(message, mark.file, mark.line, mark.column, where, given, allowed, suggestion)


def _near(word: str, known: list[str]) -> str:
    # 0.55, a little under difflib's usual 0.6: keys are short, and one slip weighs more in them.
    near = difflib.get_close_matches(word, known, 1, 0.55)
    return f"did you mean '{near[0]}'?" if near else ""


def nearest(word: str, known: list[str]) -> str:
    """Return a hint at the nearest known word, or nothing."""
    return _near(word, known)


def _raw(data: Any, place: Place) -> str:
    for step in place:
        # A missing key leads nowhere in the data; then nothing is quoted.
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            return ""
    text = str(data)
    return text if len(text) <= 60 else text[:57] + "..."


def _fields(model: Any, data: Any, steps: Place, prefix: Any = ()) -> set[str]:
    """Return the keys that a model knows at a place."""
    for step in prefix or ():
        data = data[step]
    models = _models(model, data)
    for step in steps:
        data = _inside(data, step)
        # A union leaves several candidates; those of the kind that is written are followed, else all of them.
        inner: list[Any] = []
        for one in models:
            if isinstance(one, type) and issubclass(one, BaseModel) and step in one.model_fields:
                inner += _models(one.model_fields[str(step)].annotation, data)
            elif get_origin(one) in (dict, tuple):
                inner += _models(get_args(one)[1 if get_origin(one) is dict else 0], data)
        models = inner
    names: set[str] = set()
    for one in models:
        if isinstance(one, type) and issubclass(one, BaseModel):
            names |= set(one.model_fields)
    return names


def _inside(data: Any, step: str | int) -> Any:
    container: Any = data
    return container[step] if isinstance(data, dict | list) else None


def _models(annotation: Any, data: Any) -> list[Any]:
    """Return the models that an annotation stands for, only that of the data's kind if it tells."""
    origin = get_origin(annotation)
    if origin is Annotated:
        return _models(get_args(annotation)[0], data)
    if origin in (Union, types.UnionType):
        models = [m for part in get_args(annotation) for m in _models(part, data)]
        kind = data.get("kind") if isinstance(data, dict) else None
        chosen = [
            m for m in models
            if isinstance(m, type) and issubclass(m, BaseModel) and "kind" in m.model_fields
            and kind in get_args(m.model_fields["kind"].annotation)
        ]  # fmt: skip
        # Where the kind is missing or wrong, any of them may have been meant.
        return chosen or models
    return [annotation]
