"""What a number that is out of the usual would be if one of the usual slips were behind it: another unit, a digit, a sign, a thousands mark, a radius for a diameter."""

import re
from collections.abc import Collection
from math import log, sqrt
from typing import Annotated, Any, get_args, get_origin

from sim.describe.doubt import without_doubt
from sim.describe.notations import NUMBER, one_number
from sim.describe.quantity import Quantity
from sim.describe.shown import in_system
from sim.describe.unit_factors import USUAL
from sim.describe.usual import OTHER_UNITS, Usual

DIGITS = (
    (0.1, "a digit too many, or a decimal point too far right"), (10.0, "a digit too few, or a decimal point too far left"),
)  # fmt: skip


THOUSANDS_POINT = re.compile(r"[+-]?[1-9]\d{0,2}\.\d{3}")
"""A number whose point may be a thousands mark, as much of the world writes it."""

INCH = 0.0254

SELDOM_WRITTEN = ("cm", "ft", "kN/mm", "kgf/mm", "kgf", "kgf m")
"""Units that are proposed only where a misplaced decimal point does not explain the number: a shop seldom writes them."""


def slip(written: str, value: float, si: str, usual: Usual, digits: bool) -> str:
    """Return what the value would be if one of the usual slips were behind it; empty if none brings it within the range.

    The likeliest comes first: a sign, a point as a thousands mark, what the number is easily taken for, a decimal point, another unit.
    """
    match = NUMBER.match(without_doubt(one_number(written, length=si == "m")))
    if match is None:
        return ""
    number, unit = abs(float(match[1])), match[2]
    if value < 0.0 and usual.low <= -value <= usual.high:
        return f"{_with(number, unit)} would be usual: look at the sign"
    if THOUSANDS_POINT.fullmatch(match[1]) and usual.low <= abs(value) * 1e3 <= usual.high:
        return f"{match[1].lstrip('+-').replace('.', '')} {unit}? That would be usual: the point is read as a decimal point"
    for factor, words in usual.slips:
        if usual.low <= abs(value) * factor <= usual.high:
            other = f"{_with(number * factor, unit)} would be usual: it looks like {words}"
            # A tyre of 31 cm may be one of 31 in as well as one of a radius of 31 cm.
            inches = unit == "cm" and usual.low <= number * INCH <= usual.high
            return f"{match[1].lstrip('+-')} in would be usual: look at the unit; or {other}" if inches else other
    # (its value, as it would be written, what to look at)
    moved = [
        (abs(value) * factor, _with(number * factor, unit), words)
        for factor, words in (DIGITS if digits else ())
        if usual.low <= abs(value) * factor <= usual.high
    ]
    within = [
        (number * factor, f"{match[1].lstrip('+-')} {other}", "at the unit")
        for other, factor in OTHER_UNITS.get(si, ())
        if other != unit and usual.low <= number * factor <= usual.high and not (moved and other in SELDOM_WRITTEN)
    ]
    if moved and within:
        # The likelier first: the one that is nearer to the middle of what is usual.
        both = sorted(
            ((*moved[0][:2], "at the decimal point"), within[0]),
            key=lambda one: abs(log(one[0] / sqrt(usual.low * usual.high))),
        )
        return f"{both[0][1]} or {both[1][1]} would be usual: look {both[0][2]}, or {both[1][2]}"
    if within:
        return f"{' or '.join(text for _, text, _ in within[:2])} would be usual: look at the unit"
    return f"{moved[0][1]} would be usual: {moved[0][2]}" if moved else ""


def with_a_unit(text: str, usual: Usual, si: str, own: Collection[str] = ()) -> str:
    """Return a bare number with the units in which it would be usual, `'2650 mm'` or `'104 in'`; empty if there is none.

    own : units in which that key is written; they go before any other one.
    """
    match = NUMBER.match(without_doubt(one_number(text, length=si == "m")))
    if match is None or match[2]:
        return ""
    number = abs(float(match[1]))
    within = [unit for unit, factor in OTHER_UNITS.get(si, ()) if usual.low <= number * factor <= usual.high]
    usually = [unit for unit in within if unit not in SELDOM_WRITTEN] or within
    # A damper's speed of 0.12 might be km/h by its size; nobody writes it so.
    usually = [unit for unit in within if unit in own] or usually
    return " or ".join(f"'{text}'" for text in in_system(tuple(f"{match[1]} {unit}" for unit in usually[:2])))


def _with(number: float, unit: str) -> str:
    return f"{number:.6g} {unit}".strip()


def slip_of_text(written: str, usual: Usual) -> str:
    """Return the same of a text alone, past the limits of its key; empty if its unit is not one of the usual ones."""
    match = NUMBER.match(without_doubt(one_number(written, length=True)))
    si = next((si for si, factors in USUAL.items() if match and match[2] in factors), "")
    return slip(written, float(match[1]) * USUAL[si][match[2]], si, usual, digits=True) if match and si else ""


def si_of(field: Any) -> str:
    """Return the SI unit of a key; empty if it is no quantity."""
    parts = list(field.metadata)
    for inner in (field.annotation, *get_args(field.annotation)):
        parts += get_args(inner)[1:] if get_origin(inner) is Annotated else []
    return next((part.si for part in parts if isinstance(part, Quantity)), "")
