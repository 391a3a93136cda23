"""What is wrong with a value that was written, in words: the validating library's own are for programmers."""

import re
from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError

from sim.describe.notations import with_a_point
from sim.describe.written_unit import in_the_unit_of

LIST = "here a list is wanted: values in brackets, [one, two], or a line each that begins with a dash"
WANTED = {
    "int_parsing": "here a whole number without a unit is wanted", "int_type": "here a whole number without a unit is wanted",
    "int_from_float": "here a whole number is wanted", "float_parsing": "here a bare number is wanted, without a unit",
    "float_type": "here a bare number is wanted, without a unit", "bool_parsing": "here true or false is wanted",
    "bool_type": "here true or false is wanted", "string_type": "here text is wanted", "tuple_type": LIST, "list_type": LIST,
    "finite_number": "here a finite number is wanted", "string_too_short": "the text is empty",
    "model_type": "here a list of 'key: value' lines is wanted", "dict_type": "here a list of 'key: value' lines is wanted",
    "model_attributes_type": "here a list of 'key: value' lines is wanted",
}  # fmt: skip
"""What is wanted, by the library's name for what is wrong: its own words are for programmers."""

LENGTHS = {
    "too_short": ("min_length", "here at least {} must be written"), "too_long": ("max_length", "here at most {} may be written"),
    "string_too_long": ("max_length", "the text is too long: at most {} letters"),
}  # fmt: skip

TO_ONE = re.compile(r"\s*(\d+(?:\.\d+)?)\s*:\s*1\s*")
"""A ratio as plates have it: 4.10:1."""

LIMITS = {
    "greater_than": ("must be more than", "gt"), "greater_than_equal": ("must not be less than", "ge"),
    "less_than": ("must be less than", "lt"), "less_than_equal": ("must not be more than", "le"),
}  # fmt: skip
"""What a limit asks for, by the library's name for its breach, and the limit's name in the error's context."""


def in_words(item: Mapping[str, Any], given: object = "") -> str:
    """Return what is wrong, of one error as pydantic lists it; `given` is what was written."""
    kind, context = item["type"], item.get("ctx", {})
    if kind in LIMITS:
        # The limit in the unit that was written: nobody who wrote lb/in looks for a number in N/m.
        word, key = LIMITS[kind]
        return f"{word} {_shortly(in_the_unit_of(given, context[key]))}"
    # A comma is the fault then, and not that a number is wanted, which to its writer it is.
    if kind in ("float_parsing", "int_parsing") and (point := with_a_point(str(given))):
        return f"the decimal point is a point, not a comma: write {point}"
    if kind == "float_parsing" and (ratio := TO_ONE.fullmatch(str(given))):
        return f"a ratio is written as one number: write {ratio[1]}"
    if kind in LENGTHS:
        key, text = LENGTHS[kind]
        return text.format(context.get(key, "one"))
    # Raised by validators of ours, whose words are for people already.
    if kind == "value_error":
        return str(context.get("error", item["msg"]))
    if kind == "quantity":
        # put together here, as whoever knows the key has an example that fits it
        return f"{context['message']}: write e.g. {context['usual']}" if "usual" in context else str(item["msg"])
    return WANTED.get(kind, "what is written here is not understood")


def _shortly(limit: str) -> str:
    """Return a limit with three figures where a unit gives it more: 0.2 bar are 2.90075 psi, and nobody reads a gauge so far."""
    number, _, unit = limit.partition(" ")
    short = f"{float(number):.3g}"
    return limit if float(short) == float(number) or "e" in short else f"about {short} {unit}".rstrip()


def first_in_words(error: ValidationError, given: object = "") -> str:
    """Return what is wrong first."""
    return in_words(error.errors(include_url=False)[0], given)
