"""An angle where a distance is wanted: how the one is made of the other."""

from math import degrees, sin
from typing import Any

from pydantic import TypeAdapter, ValidationError

from sim.describe.estimates.truck import read_si
from sim.describe.files.reader import Place
from sim.describe.shown import show
from sim.describe.units import Angle

EXAMPLE = 0.480
"""Length of a damper [m] with which it is shown where nobody has taped it."""


def across_of_angle(text: str, data: Any, place: Place) -> str:
    """Return what is to be written in place of a lean that was measured as an angle; empty if the text is no angle.

    Parameters
    ----------
    text : str
        As it stands in the file.
    data : mapping
        The vehicle, which may have the damper's length as the truck stands.
    place : tuple
        Of the lean.
    """
    try:
        angle = float(TypeAdapter(Angle).validate_python(text))
    except ValidationError:
        return ""
    inside = data
    for step in place[:-1]:
        inside = inside.get(step) if isinstance(inside, dict) else None
    taped = read_si(inside.get("length_at_ride"), "length") if isinstance(inside, dict) else None
    length = taped or EXAMPLE
    reckoned = f"{show(length, 'length')} x sin {degrees(angle):.0f} deg = {show(length * sin(angle), 'length')}"
    if taped is None:
        return f"the distance across between the mounts: the damper's length eye to eye times the sine of its lean, e.g. {reckoned}"
    return f"the distance across between the mounts, of the damper as taped {reckoned}"
