"""Numbers that have no unit: counts, ratios, shares; these may be percentages. All may be written with what is known of them."""

import re
from collections.abc import Callable
from functools import partial
from typing import Annotated, Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import PydanticCustomError, core_schema

from sim.describe.doubt import Estimated, Reading, is_doubtful
from sim.describe.notations import NUMBER, with_a_point


def fraction(value: object) -> object:
    """Return a share: a bare number, or a percentage as text."""
    if isinstance(value, str) and is_doubtful(value):
        return _doubtful_number(value, _share, "share", points="%" in value)
    return _share(value)


def _refuse_comma(value: object) -> None:
    """Refuse a decimal comma in its own words: the library's say that a number is wanted, which to its writer it is."""
    if isinstance(value, str) and (point := with_a_point(value)):
        raise PydanticCustomError(
            "quantity", "the decimal point is a point, not a comma: write {point}", {"point": point}
        )


def _share(value: object) -> Any:
    _refuse_comma(value)
    if isinstance(value, str):
        match = NUMBER.match(value)
        # No other unit: `30 mm` as a share is a slip, not thirty.
        if match is None or match.group(2) not in ("", "%"):
            raise PydanticCustomError("quantity", "a share is a bare number or a percentage: write e.g. 0.3 or '30 %'")
        return float(match.group(1)) * (0.01 if match.group(2) else 1.0)
    return value


def _number(value: object) -> Any:
    """Return a bare number; with what is known of it, as text."""
    if isinstance(value, str) and is_doubtful(value):
        return _doubtful_number(value, _bare, "number", points=False)
    _refuse_comma(value)
    return value


COUNTED = re.compile(r"\s*([\d.,]+)\s*(?:turns?|coils?|leaf|leaves|pieces?|pcs\.?)\s*", re.IGNORECASE)
"""A count with the word for what is counted, as people say it."""


def counted(value: object) -> object:
    """Return a count without the word for what is counted: of `7.5 turns` the text 7.5, and what is none as it is."""
    match = COUNTED.fullmatch(value) if isinstance(value, str) else None
    return match[1] if match else value


def _bare(value: str) -> float:
    _refuse_comma(value)
    match = NUMBER.match(value)
    if match is None or match.group(2):
        raise PydanticCustomError(
            "quantity", "here a bare number is wanted, without a unit: write e.g. 0.3 or '0.3 +- 0.05'"
        )
    return float(match.group(1))


def _doubtful_number(text: str, read: Callable[[str], float], kind: str, points: bool) -> float:
    def refusal(message: str) -> PydanticCustomError:
        return PydanticCustomError(
            "quantity", "{message}: write e.g. '0.3 +- 0.05' or '0.2 to 0.4'", {"message": message}
        )

    return Reading(kind, "", read, read, refusal, points).read(text)


def _kept(given: Callable[[object], Any], value: object, check: Callable[[Any], float]) -> float:
    read = given(value)
    plain = check(read)
    return read if isinstance(read, Estimated) else plain


class _Bare:
    """Marks a pydantic float as a number without a unit that may be written with what is known of it."""

    given = staticmethod(_number)

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> core_schema.CoreSchema:
        return core_schema.no_info_wrap_validator_function(
            partial(_kept, self.given), core_schema.float_schema(allow_inf_nan=False)
        )

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {"type": ["number", "string"], "examples": [0.3, "0.3 +- 0.05"]}


class _Share(_Bare):
    given = staticmethod(fraction)

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        # a share needs no unit, so a bare number is as good
        return {"type": ["number", "string"], "examples": [0.3, "30 %"]}


Fraction = Annotated[float, _Share()]
Number = Annotated[float, _Bare()]
