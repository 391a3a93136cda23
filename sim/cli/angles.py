"""Angles and lengths on the command line."""

from math import degrees
from typing import Any

from sim.errors import InputError


def angle(text: str, option: str, least_deg: float, most_deg: float) -> float:
    """Return an angle written with its unit [rad].

    Raises
    ------
    InputError
        If it is not an angle, or out of range.
    """
    # Here, as it brings the library that checks files, and `jounce lean --help` needs none of it.
    from sim.describe.units import Angle

    value = _written(text, option, Angle)
    # In degrees, as the refusal says them.
    _within(text, option, degrees(value), least_deg, most_deg, "deg")
    return value


def length(text: str, option: str, least_mm: float, most_mm: float) -> float:
    """Return a length written with its unit [m].

    Raises
    ------
    InputError
        If it is not a length, or out of range.
    """
    from sim.describe.units import Length

    value = _written(text, option, Length)
    _within(text, option, 1e3 * value, least_mm, most_mm, "mm")
    return value


def _written(text: str, option: str, quantity: Any) -> float:
    """Return what was written in SI, by the same reader as files: `30 deg`, `0.5 rad`, and the same refusals."""
    from pydantic import TypeAdapter, ValidationError

    from sim.describe.wrong import first_in_words

    try:
        return float(TypeAdapter(quantity).validate_python(text))
    except ValidationError as error:
        raise InputError(f"{option}: {first_in_words(error, text)}\n    given: {text}") from None


def _within(text: str, option: str, number: float, least: float, most: float, unit: str) -> None:
    if not least <= number <= most:
        raise InputError(f"{option}: allowed is {least:g} to {most:g} {unit}\n    given: {text}")
