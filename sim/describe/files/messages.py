"""From pydantic's errors to problems that a person can act on."""

import difflib
import re
import types
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError

from sim.describe.doubt import is_doubtful
from sim.describe.doubtful import doubtful
from sim.describe.estimates.as_measured import TRIGGER
from sim.describe.estimates.fields import CHOICE, fields
from sim.describe.files.angles import across_of_angle
from sim.describe.files.examples import example_for
from sim.describe.files.reader import Document, Place
from sim.describe.files.slips import si_of, slip_of_text, with_a_unit
from sim.describe.notations import has_thousands
from sim.describe.usual import USUAL_RANGES, Usual
from sim.describe.wrong import LIMITS, in_words
from sim.errors import InputError, Problem

KNOWN = {
    "int_parsing": "a count", "int_type": "a count", "int_from_float": "a count", "float_parsing": "such a number",
    "float_type": "such a number", "literal_error": "a word of a list", "bool_parsing": "true or false", "bool_type": "true or false",
}  # fmt: skip
"""Kinds of error where something else than a physical number is wanted, by what that is."""


def problems_of(
    error: ValidationError, document: Document, model: Any, prefix: Place = (), more: Mapping[Place, Iterable[str]] | None = None
) -> list[Problem]:  # fmt: skip
    """Return every error as a problem at its place in the file.

    Parameters
    ----------
    error : ValidationError
        From validating what stands at `prefix` in the document.
    model : type
        What was validated: a model or an annotated union.
    more : mapping, optional
        Keys that may be written at a place beside those of the model.
    """
    # pydantic's location is not the place in the file; a key that is missing is in what is left over (`tail`).
    items: list[tuple[dict[str, Any], Place, Place]] = [
        (dict(item), *_place(document.data, prefix, item["loc"])) for item in error.errors(include_url=False)
    ]
    places = [place for _, place, _ in items]
    problems: dict[tuple[Place, Place], Problem] = {}
    for item, place, tail in items:
        # Where one of several forms may be written each form complains: whoever wrote rows wants to hear of the row.
        whole = item["type"] in ("quantity", "too_short") or item["type"].endswith("_type")
        if whole and any(other[: len(place)] == place and len(other) > len(place) for other in places):
            continue
        # A number that a comma cut in two lacks its unit for that alone.
        if item["type"] == "quantity" and _cut_in_two(_value(document.data, place[:-1]), place):
            continue
        problem = _problem(item, document, model, place, tail, len(prefix), more or {})
        # Of forms that complain about the same value the first is heard, with the words that another allows.
        key = (place, tail if item["type"] in ("missing", "extra_forbidden") else ())
        if key in problems and item["type"] != "value_error":
            problem = replace(problems[key], allowed=problems[key].allowed or problem.allowed)
        elif key in problems:
            key = (place, (*key[1], problem.message))  # two rules of one part are two problems
        problems[key] = problem
    return list(problems.values())


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
    # the name of the form that was tried, where several may be written
    elif rest and isinstance(step, str):
        further = _followed(inside, place, rest)
        ways += [further] if len(further[1]) < len(rest) else []
    # the way that leaves the least of the location over
    return min(ways, key=lambda way: len(way[1]), default=(place, loc))


def _problem(
    item: dict[str, Any], document: Document, model: Any, place: Place, tail: Place, skip: int, more: Mapping[Place, Iterable[str]]
) -> Problem:  # fmt: skip
    # pydantic's own words are for programmers; the kinds of error that people meet are worded here, the rest below.
    kind, context = item["type"], item.get("ctx", {})
    if kind == "extra_forbidden" and place[-1:] != item["loc"][-1:]:
        place = (
            *place,
            item["loc"][-1],
        )  # a key that is called as the kind of what it stands in: `vehicle` in a vehicle
    mark = document.mark(place)
    where = ".".join(map(str, place))
    given = allowed = suggestion = ""
    if "usual" in context and place:
        # The example of any length is none of a wheelbase: that of the key stands in its place.
        example = example_for(_models_at(model, document.data, place[skip:-1], skip and place[:skip]), str(place[-1]))
        context = {**context, "usual": _meant(model, document, place, skip, example) or example or context["usual"]}
    if kind == "missing":
        # One that stands there and was taken out says that there is none, of what every truck has.
        message = f"the key '{tail[-1]}' is missing" if tail else "there is always one: write a number, or leave it out"
        where = ".".join(map(str, (*place, *tail)))  # a missing key has no place of its own: say where it would stand
    elif kind == "extra_forbidden":
        # At the key itself, not at its value: the key is what is wrong.
        mark = document.key_marks.get(place, mark)
        known = sorted(
            {*_fields(model, document.data, place[skip:-1], skip and place[:skip]), *more.get(place[:-1], ())}
        )
        message = f"the key '{place[-1]}' is not known here"
        if item.get("input") is None and re.match(r"\d", str(place[-1])):
            # `{mass: 1,640 kg}`: for YAML a key of its own
            message = f"inside {{ }} a comma begins the next key, so '{place[-1]}' is cut off from the number before it"
            suggestion = _with_its_comma(document.data, place)
        else:
            allowed = ", ".join(known)
            suggestion = _elsewhere(model, document.data, place, skip) or _near(str(place[-1]), known)
    elif item.get("input") is None and not tail and place and _value(document.data, place) is None:
        message = f"the value of '{place[-1]}' is missing"
        suggestion = f"write e.g. {context['usual']}" if "usual" in context else ""
    elif kind in KNOWN and is_doubtful(str(item.get("input"))):
        message = f"{KNOWN[kind]} is known or not: what is written here cannot be in doubt"
        given = _raw(document.data, place)
        allowed = str(context.get("expected", "")).replace("'", "")
        suggestion = "write the value alone"
    elif kind == "no_number":
        message = f"{_raw(document.data, place)} is no number"
        given = _raw(document.data, place)
        suggestion = "write a number, such as 2; true and false stand for none"
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
    else:
        # A rule over several keys has no one value to quote.
        given = "" if kind == "value_error" else _raw(document.data, place)
        message = in_words({**item, "ctx": context}, given)
        if kind.startswith("less_than") and has_thousands(given):
            suggestion = "the comma is read as a thousands mark; if it is a decimal comma, write a point"
        elif kind in LIMITS:
            usual = _usual_at(model, document, place, skip)
            suggestion = slip_of_text(given, usual) if usual is not None else ""
        if place and place[-1] == "lean_inward" and (across := across_of_angle(given, document.data, place)):
            suggestion = across
        if kind.startswith(("model_", "dict_")) and (words := _words_for(document.data, place)):
            allowed = ", ".join(words)
            message = f"'{given}' is not one of the words that may stand here in place of its numbers"
            suggestion = _near(given, list(words))
        if kind == "string_type" and isinstance(item.get("input"), int | float):
            suggestion = f"write it in quotes: '{given}'"
    return Problem(message, mark.file, mark.line, mark.column, where, given, allowed, suggestion)


def _cut_in_two(whole: Any, place: Place) -> str:
    """Return what a comma inside { } cut off from the number at a place, `5 kg` of `300,5 kg`; empty if nothing."""
    keys = list(whole) if isinstance(whole, dict) else []
    after = keys[keys.index(place[-1]) + 1 :][:1] if place[-1:] and place[-1] in keys else []
    return str(after[0]) if after and whole[after[0]] is None and re.match(r"\d", str(after[0])) else ""


def _with_its_comma(data: Any, place: Place) -> str:
    """Return how a number is to be written that a comma inside { } cut in two."""
    cut, whole = str(place[-1]), _value(data, place[:-1])
    before = next((whole[key] for key in whole or () if _cut_in_two(whole, (key,)) == cut), None)
    # Three digits behind a comma are thousands, any other number of them a decimal part.
    if isinstance(before, int) and not isinstance(before, bool) and not re.match(r"\d{3}(?!\d)", cut):
        return f"write the decimal point as a point: {before}.{cut}"
    return "write the number without a comma, or in quotes: '1,640 kg'"


def _elsewhere(model: Any, data: Any, place: Place, skip: int) -> str:
    """Return where a key belongs that stands in the wrong part: beneath the key before it, or inside a part beside it; empty if nobody knows."""
    key, whole = place[-1], _value(data, place[:-1])
    if not isinstance(whole, dict):
        return ""
    keys = list(whole)
    above = keys[keys.index(key) - 1] if key in keys[1:] else None
    # `setups:` with its set-ups as far left as itself is a key without a value.
    if above is not None and whole[above] is None and isinstance(whole[key], dict):
        return f"if it belongs to '{above}', indent it and what is in it by two spaces more"
    parts: list[tuple[Place, dict[Any, Any]]] = []
    parts += [((name,), part) for name, part in whole.items() if name not in NO_PARTS and isinstance(part, dict)]
    for way, inside in parts:
        at = (*place[:-1], *way, key)
        if key in inside or key in _fields(model, data, at[skip:-1], skip and at[:skip]):
            return f"it belongs inside '{'.'.join(map(str, way))}'"
        parts += [
            ((*way, name), part) for name, part in inside.items() if isinstance(part, dict) and len(way) < DEEPEST
        ]
    return ""


NO_PARTS = ("setups", "sweep", "tune")
"""Parts of a scenario in which a key of the same name means another thing."""

DEEPEST = 3
"""So many steps further in a key is looked for that stands too far out."""


def _usual_at(model: Any, document: Document, place: Place, skip: int) -> Usual | None:
    """Return the usual range of the number at a place; None if nobody knows one."""
    if not place:
        return None
    owners = _models_at(model, document.data, place[skip:-1], skip and place[:skip])
    known = (USUAL_RANGES.get(f"{getattr(one, '__name__', '')}.{place[-1]}") for one in owners)
    return next(filter(None, known), None)


def _meant(model: Any, document: Document, place: Place, skip: int, example: str) -> str:
    """Return a number without its unit with the one that was likely meant; empty if it is not that alone which is wrong."""
    usual = _usual_at(model, document, place, skip)
    owners = _models_at(model, document.data, place[skip:-1], skip and place[:skip])
    fields_here = (getattr(one, "model_fields", {}).get(place[-1]) for one in owners)
    si = next(filter(None, (si_of(field) for field in fields_here if field is not None)), "")
    own = re.findall(r"'[\d.]+ ([^']+)'", example)
    return with_a_unit(_raw(document.data, place), usual, si, own) if usual is not None and si else ""


def _words_for(data: Any, place: Place) -> tuple[str, ...]:
    """Return the words that may stand in place of a part of a truck that is estimated: of a valving, soft or firm."""
    if not (isinstance(data, Mapping) and TRIGGER in data and isinstance(_value(data, place), str)):
        return ()
    path = ".".join(map(str, place))
    # Of springs the form's words are those of their kinds, which a file has inside.
    chosen = (one for one in fields() if one.path == path and one.kind == CHOICE and not path.endswith(".springs"))
    return next((field.choices for field in chosen), ())


def _near(word: str, known: list[str]) -> str:
    # 0.55, a little under difflib's usual 0.6: keys are short, and one slip weighs more in them.
    near = difflib.get_close_matches(word, known, 1, 0.55)
    return f"did you mean '{near[0]}'?" if near else ""


def nearest(word: str, known: list[str]) -> str:
    """Return a hint at the nearest known word, or nothing."""
    return _near(word, known)


def _raw(data: Any, place: Place) -> str:
    text = _as_a_file_has_it(_value(data, place, ""))
    return text if len(text) <= 60 else text[:57] + "..."


def _value(data: Any, place: Place, nothing: Any = None) -> Any:
    """Return what stands at a place; `nothing` where the data have no such place."""
    for step in place:
        # A missing key leads nowhere in the data; then nothing is quoted.
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            return nothing
    return data


def _as_a_file_has_it(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {_as_a_file_has_it(inner)}" for key, inner in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(_as_a_file_has_it, value)) + "]"
    if value is None or isinstance(value, bool):
        return {None: "nothing", True: "true", False: "false"}[value]
    return str(value)


def _fields(model: Any, data: Any, steps: Place, prefix: Any = ()) -> set[str]:
    """Return the keys that a model knows at a place."""
    names: set[str] = set()
    for one in _models_at(model, data, steps, prefix):
        if isinstance(one, type) and issubclass(one, BaseModel):
            names |= set(one.model_fields)
    return names


def _models_at(model: Any, data: Any, steps: Place, prefix: Any = ()) -> list[Any]:
    """Return the models that may stand at a place."""
    for step in prefix or ():
        data = data[step]
    models = models_of(model, data)
    for step in steps:
        data = _inside(data, step)
        # A union leaves several candidates; those of the kind that is written are followed, else all of them.
        inner: list[Any] = []
        for one in models:
            if isinstance(one, type) and issubclass(one, BaseModel) and step in one.model_fields:
                inner += models_of(one.model_fields[str(step)].annotation, data)
            elif get_origin(one) in (dict, tuple):
                inner += models_of(get_args(one)[1 if get_origin(one) is dict else 0], data)
        models = inner
    return models


def _inside(data: Any, step: str | int) -> Any:
    container: Any = data
    return container[step] if isinstance(data, dict | list) else None


def models_of(annotation: Any, data: Any) -> list[Any]:
    """Return the models that an annotation stands for, only that of the data's kind if it tells."""
    origin = get_origin(annotation)
    if origin is Annotated:
        return models_of(get_args(annotation)[0], data)
    if origin in (Union, types.UnionType):
        models = [m for part in get_args(annotation) for m in models_of(part, data)]
        kind = data.get("kind") if isinstance(data, dict) else None
        chosen = [
            m for m in models
            if isinstance(m, type) and issubclass(m, BaseModel) and "kind" in m.model_fields
            and kind in get_args(m.model_fields["kind"].annotation)
        ]  # fmt: skip
        # Where the kind is missing or wrong, any of them may have been meant.
        return chosen or models
    return [annotation]
