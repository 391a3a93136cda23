"""Angles and lengths on the command line."""

from math import degrees

from sim.errors import InputError


def angle(text: str, option: str, least_deg: float, most_deg: float) -> float:
    """Return an angle written with its unit [rad].

    Raises
    ------
    InputError
        If it is not an angle, or out of range.
    """
    from pydantic import TypeAdapter, ValidationError

    from sim.describe.units import Angle

    try:
        # By the same reader as files: `30 deg`, `0.5 rad`, and the same refusals.
        value = float(TypeAdapter(Angle).validate_python(text))
    except ValidationError as error:
        raise InputError(f"{option}: {error.errors()[0]['msg']}\n    given: {text}") from None
    # In degrees, as the refusal beneath says them.
    if not least_deg <= degrees(value) <= most_deg:
        raise InputError(f"{option}: allowed is {least_deg:g} to {most_deg:g} deg\n    given: {text}")
    return value


def length(text: str, option: str, least_mm: float, most_mm: float) -> float:
    """Return a length written with its unit [m].

    Raises
    ------
    InputError
        If it is not a length, or out of range.
    """
    from pydantic import TypeAdapter, ValidationError

    from sim.describe.units import Length

    try:
        value = float(TypeAdapter(Length).validate_python(text))
    except ValidationError as error:
        raise InputError(f"{option}: {error.errors()[0]['msg']}\n    given: {text}") from None
    if not least_mm <= 1e3 * value <= most_mm:
        raise InputError(f"{option}: allowed is {least_mm:g} to {most_mm:g} mm\n    given: {text}")
    return value
