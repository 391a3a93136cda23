"""Wanted heights of the frame over an axle, as `jounce sheet --height` takes them."""

from collections.abc import Sequence

from sim.errors import InputError


def heights_of(given: Sequence[str]) -> dict[str, float]:
    """Return the wanted heights [m] by axle.

    Raises
    ------
    InputError
        If one is not an axle and a length.
    """
    from pydantic import TypeAdapter, ValidationError

    from sim.describe.notations import with_a_point
    from sim.describe.units import Length

    heights = {}
    for text in given:
        axle, _, length = (part.strip() for part in text.partition("="))
        try:
            heights[axle] = float(TypeAdapter(Length).validate_python(length))
        except ValidationError:
            # nan is refused below, with a wrong axle and a height too far: one sentence says how all of it is written.
            heights[axle] = float("nan")
        if axle not in ("front", "rear") or not abs(heights[axle]) <= 0.5:
            point = with_a_point(length)
            raise InputError(
                f"--height '{text}': {f'the decimal point is a point, write {axle}={point}; wanted is ' if point else ''}an axle and a length of at most 500 mm (20 in) up or down, as front=40mm or rear=-1.5in"
            )
    return heights
